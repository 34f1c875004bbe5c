package agronomy

import (
	"fmt"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/units"
)

// SoilCheck holds what the mix gives against what the soil test asks for.
// Wanted is the need less the credits; Over and Short are the differences.
type SoilCheck struct {
	Need   soil.Need      `json:"need"`
	Wanted mix.Nutrients  `json:"wanted"`
	Gives  mix.Nutrients  `json:"gives"`
	Over   mix.Nutrients  `json:"over"`
	Short  mix.Nutrients  `json:"short"`
	Says   string         `json:"says"`
	Lime   *soil.LimeDose `json:"lime,omitempty"`
}

// nitrogenOver is the surplus of nitrogen over the need that is warned of, as
// a share; common practice, no source. Nitrogen beyond the need leaches.
const nitrogenOver = 0.10

// checkSoil compares with the soil test and warns of rates that burn or run off.
func (j *job) checkSoil() error {
	for _, note := range soil.Hazards(j.quickNutrients(), nil, j.options.Placement, j.options.System) {
		j.warn(note.Says, note.Mark)
	}
	if err := j.nameSweetening(); err != nil {
		return err
	}
	if j.options.Soil == nil {
		return nil
	}
	need, err := j.options.Soil.Need()
	if err != nil {
		return err
	}
	wanted, _ := need.After(j.options.Credits...)
	check := &SoilCheck{Need: need, Wanted: wanted, Gives: j.result.Nutrients}
	check.Over, check.Short = difference(check.Gives, wanted), difference(wanted, check.Gives)
	check.Says = soilWords(*check, j.options.System)
	j.sheet.Soil = check
	if check.Over.N > nitrogenOver*wanted.N {
		j.warn(fmt.Sprintf("%s more nitrogen than the soil test asks for: spread less, it leaches", check.Over.N.Format(j.options.System)), need.Mark)
	}
	return j.limeDose()
}

// limeDose works out the lime that the laboratory asks for, if it does.
func (j *job) limeDose() error {
	if j.options.Lime == nil {
		return nil
	}
	ask := *j.options.Lime
	ask.Area = units.Area(j.sheet.Ground.SpreadM2)
	for _, p := range j.result.Products {
		if p.Class == catalog.Lime {
			dose, err := soil.Lime(p, ask)
			j.sheet.Soil.Lime = &dose
			return err
		}
	}
	return nil
}

// nameSweetening names doses of lime that are too small to change the soil.
func (j *job) nameSweetening() error {
	for i, p := range j.result.Products {
		if p.Class != catalog.Lime {
			continue
		}
		note, small, err := soil.Sweetening(p, j.result.Amounts[i].SpreadRate, nil, j.options.System)
		if err != nil {
			return err
		}
		if small {
			j.warn(note.Says, note.Mark)
		}
	}
	return nil
}

// quickNutrients are those that are soluble at once: all but slow and inhibited
// nitrogen.
func (j *job) quickNutrients() mix.Nutrients {
	var quick mix.Nutrients
	for i, p := range j.result.Products {
		if p.Class != catalog.Fertilizer {
			continue
		}
		gives := soil.Gives(p.Grade(), j.result.Amounts[i].SpreadRate)
		if p.Release == catalog.Plain {
			quick.N += gives.N
		}
		quick.P2O5 += gives.P2O5
		quick.K2O += gives.K2O
	}
	return quick
}

// difference is what the first has over the second, nutrient by nutrient.
func difference(a, b mix.Nutrients) mix.Nutrients {
	return mix.Nutrients{N: max(0, a.N-b.N), P2O5: max(0, a.P2O5-b.P2O5), K2O: max(0, a.K2O-b.K2O)}
}

func soilWords(c SoilCheck, sys units.System) string {
	var parts []string
	for _, n := range []struct {
		name               string
		gives, over, short units.MassPerArea
	}{{"N", c.Gives.N, c.Over.N, c.Short.N}, {"P2O5", c.Gives.P2O5, c.Over.P2O5, c.Short.P2O5}, {"K2O", c.Gives.K2O, c.Over.K2O, c.Short.K2O}} {
		words := n.gives.Format(sys) + " " + n.name
		switch {
		case n.over > 0:
			words += " (" + n.over.Format(sys) + " over)"
		case n.short > 0:
			words += " (" + n.short.Format(sys) + " short)"
		}
		parts = append(parts, words)
	}
	return strings.Join(parts, ", ")
}
