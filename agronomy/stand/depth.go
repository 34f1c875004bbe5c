package stand

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Sowing is how deep one species may lie. Treated seed may never lie on top.
type Sowing struct {
	Species string       `json:"species"`
	Min     units.Length `json:"min_m"`
	Max     units.Length `json:"max_m"`
	Treated bool         `json:"treated,omitempty"`
	Mark    source.Mark  `json:"mark"`
}

// SowingOf is a crop's depth; ok is false when the catalog has none.
func SowingOf(c catalog.Crop) (s Sowing, ok bool) {
	f, ok := c.Figure(catalog.Depth)
	return Sowing{Species: c.Name, Min: units.Length(f.Low), Max: units.Length(f.High), Treated: c.Treated, Mark: f.Mark}, ok
}

// DepthAdvice is how deep to disc a mix. Restrictive is the species that bears
// least soil. After holds the species to sow once the disc is done, when no
// depth suits all; Min and Max are for the others.
type DepthAdvice struct {
	Min         units.Length `json:"min_m"`
	Max         units.Length `json:"max_m"`
	Restrictive string       `json:"restrictive"`
	After       []string     `json:"after_disc,omitempty"`
	Says        []string     `json:"says"`
	Mark        source.Mark  `json:"mark"` // of the most restrictive depth
}

// Depths finds the depth that suits every species, leaving out the shallowest
// until the rest agree. ok is false when no depth is known.
func Depths(mix []Sowing, sys units.System) (a DepthAdvice, ok bool) {
	if len(mix) == 0 {
		return DepthAdvice{}, false
	}
	given := mix
	mix = slices.Clone(mix)
	slices.SortStableFunc(mix, func(x, y Sowing) int { return cmp.Compare(x.Max, y.Max) })
	first := mix[0]
	a.Restrictive, a.Mark = first.Species, first.Mark
	for len(mix) > 1 && deepest(mix) > mix[0].Max {
		a.After = append(a.After, mix[0].Species)
		mix = mix[1:]
	}
	a.Min, a.Max = deepest(mix), mix[0].Max
	a.Says = a.sentences(first, mix[0], len(mix) > 1, sys)
	a.Says = append(a.Says, a.coverTreated(given)...)
	return a, true
}

// deepest is the least depth that every species reaches.
func deepest(mix []Sowing) units.Length {
	least := units.Length(0)
	for _, s := range mix {
		least = max(least, s.Min)
	}
	return least
}

// discHolds is the least depth that a disc can be held to; shallower seed is
// sown after it. Common practice, no source.
const discHolds = units.Inch/2 + 1e-9

// coverTreated speaks up for treated seed that would be sown on top.
func (a DepthAdvice) coverTreated(mix []Sowing) []string {
	var says []string
	for _, s := range mix {
		if s.Treated && (a.Max <= discHolds || slices.Contains(a.After, s.Species)) {
			says = append(says, "Treated seed may not lie on top: rake or drag "+s.Species+" in until none shows")
		}
	}
	return says
}

func (a DepthAdvice) sentences(restrictive, rest Sowing, several bool, sys units.System) []string {
	switch {
	case len(a.After) > 0:
		return []string{
			fmt.Sprintf("The depths disagree: %s bears no more than %s", restrictive.Species, restrictive.Max.Format(sys)),
			fmt.Sprintf("Disc first, no deeper than %s for %s; then sow %s on top and press it in", a.Max.Format(sys), rest.Species, listed(a.After)),
		}
	case a.Max <= discHolds && several:
		return []string{fmt.Sprintf("Disc first, then sow on top and press it in: %s bears no more than %s", restrictive.Species, a.Max.Format(sys))}
	case a.Max <= discHolds:
		return []string{fmt.Sprintf("Disc first, then sow %s on top and press it in: it bears no more than %s", restrictive.Species, a.Max.Format(sys))}
	case several:
		return []string{fmt.Sprintf("Disc no deeper than %s: %s bears the least soil", a.Max.Format(sys), restrictive.Species)}
	}
	return []string{fmt.Sprintf("Disc no deeper than %s for %s", a.Max.Format(sys), restrictive.Species)}
}

// listed joins names as a person writes them.
func listed(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
