package record

import "encoding/json"

// Spreader is a machine as its owner described it. Document is the spreader in
// the form that agronomy reads; whoever takes it in has it checked there.
type Spreader struct {
	Stamp
	Name     string          `json:"name"`
	Document json.RawMessage `json:"document"`
}

// Check is nil or the rule that the spreader breaks.
func (s *Spreader) Check() error { return checkDocument(s.Name, s.Document) }

// Mix is what goes on the ground, in the form that agronomy reads.
type Mix struct {
	Stamp
	Name     string          `json:"name"`
	Document json.RawMessage `json:"document"`
}

// Check is nil or the rule that the mix breaks.
func (m *Mix) Check() error { return checkDocument(m.Name, m.Document) }

func checkDocument(name string, document json.RawMessage) error {
	return first(checkName(name), checkObject(document, "document", false))
}
