package agronomy

import (
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/units"
)

// Hazards are what has to be read before a mix is poured, beyond the Cautions
// that hold for every job: what the materials call for, what must not share a
// hopper, and rates that burn or run off. At says how the fertilizer will
// lie. A sheet has the same, and more where a soil test was given.
func Hazards(r mix.Result, at soil.Placement, sys units.System) []Note {
	var notes []Note
	for _, w := range r.Warnings {
		if w.Code != bagNotes {
			notes = append(notes, Note{w.Says, w.Mark})
		}
	}
	for _, n := range soil.Hazards(quickNutrients(r), nil, at, sys) {
		notes = append(notes, Note{n.Says, n.Mark})
	}
	if n, much := soil.MuchNitrogen(r.Nutrients, sys); much {
		notes = append(notes, Note{n.Says, n.Mark})
	}
	return append(notes, goodsCautions(r, sys)...)
}
