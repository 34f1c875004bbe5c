package agronomy

import (
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// advisedOn are the pieces of the spreader's advice that stand on every sheet.
var advisedOn = []string{"water", "wind-field", "slope"}

// Cautions stand on every sheet. They defer to the label, to local codes and
// to licensed practice.
func Cautions(sys units.System) ([]Note, error) {
	practice := source.Mark{Kind: source.Practice}
	notes := []Note{
		{"Gloves, eye protection and a dust mask. Read the product label and the safety data sheet first.", practice},
		{"Keep fertilizer out of water and off hard surfaces; local setback rules apply.", practice},
		{"Treated seed must be covered with soil and is never left as feed.", practice},
		{"Spread a seed-and-fertilizer mix at once; never store it.", practice},
	}
	advices, err := spreader.Advices(sys)
	if err != nil {
		return nil, err
	}
	for _, id := range advisedOn {
		for _, a := range advices {
			if a.ID == id {
				notes = append(notes, Note{a.Says + ".", a.Mark})
			}
		}
	}
	return append(notes,
		Note{"Keep within the ATV maker's limits for slope and load.", practice},
		Note{"The soil-test laboratory, the extension office and licensed applicators have the last word.", practice}), nil
}

// warmFrom is the soil temperature from which a crop's least one is told: the
// others come up whenever a small plot is sown. Common practice, no source.
const warmFrom units.Temperature = 10

// goodsCautions are what the catalog says of the materials themselves, and the
// soil temperature that a warm-season seed waits for.
func goodsCautions(r mix.Result, sys units.System) []Note {
	var notes []Note
	for _, s := range r.Sowings {
		if f, ok := s.Crop.Figure(catalog.MinSoilTemp); ok && units.Temperature(f.Low) >= warmFrom-1e-9 {
			notes = append(notes, Note{s.Crop.Name + ": sow once the soil is " + warmth(f, sys) + " warm.", f.Mark})
		}
		notes = append(notes, named(s.Crop.Name, s.Crop.Cautions)...)
	}
	for _, p := range r.Products {
		if p.Urea && p.Release == catalog.Plain {
			continue // the warnings say it, with the days
		}
		notes = append(notes, named(p.Name, p.Cautions)...)
	}
	return notes
}

func warmth(f catalog.Figure, sys units.System) string {
	low, high := units.Temperature(f.Low).Format(sys), units.Temperature(f.High).Format(sys)
	if low == high {
		return low
	}
	return strings.TrimRight(low, " °FC") + " to " + high
}

func named(name string, cautions []catalog.Note) []Note {
	var notes []Note
	for _, c := range cautions {
		notes = append(notes, Note{name + ": " + c.Says + ".", c.Mark})
	}
	return notes
}
