package agronomy

import (
	"evenfall/agronomy/source"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// advisedOn are the pieces of the spreader's advice that stand on every sheet.
var advisedOn = []string{"water", "wind-field", "slope"}

// cautions stand on every sheet. They defer to the label, to local codes and
// to licensed practice.
func cautions(sys units.System) ([]Note, error) {
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
