package record

// Property is a piece of land that a person looks after; its plots belong to
// it.
type Property struct {
	Stamp
	Name string `json:"name"`
	Note string `json:"note,omitempty"`
}

// Check is nil or the rule that the property breaks.
func (p *Property) Check() error { return first(checkName(p.Name), checkNote(p.Note)) }
