// Package source says where a figure comes from, so that a person can ask any
// number on the sheet and get an answer.
package source

// Kind is what stands behind a figure.
type Kind string

// The kinds, from the firmest to the weakest.
const (
	Definition Kind = "definition" // exact by definition or arithmetic
	Published  Kind = "published"  // printed by the work that Cite names
	Measured   Kind = "measured"   // the user's own test or survey
	Stated     Kind = "stated"     // the user typed it, or it overrides a figure
	Practice   Kind = "practice"   // common practice, no source
	Memory     Kind = "memory"     // unverified: seen on no page
)

// Mark is what stands behind one figure: its kind and, when published, the
// work. Overrides holds the catalog's figure when the user replaced it.
type Mark struct {
	Kind      Kind   `json:"kind"`
	Cite      string `json:"cite,omitempty"`
	Overrides string `json:"overrides,omitempty"`
}

// Entry answers for one figure of a sheet. Figure is the path of the figure in
// the sheet's JSON (such as materials[0].amount_kg) or a short name.
type Entry struct {
	Figure string `json:"figure"`
	Says   string `json:"says"`
	Mark
}

// String is the mark as a footnote reads.
func (m Mark) String() string {
	switch m.Kind {
	case Published:
		return m.Cite
	case Practice:
		return "common practice, no source"
	case Memory:
		return "from memory, unverified"
	case Measured:
		return "your own measurement"
	case Stated:
		return stated(m)
	default:
		return "by definition"
	}
}

func stated(m Mark) string {
	if m.Overrides == "" {
		return "as you entered it"
	}
	return "as you entered it, instead of " + m.Overrides
}
