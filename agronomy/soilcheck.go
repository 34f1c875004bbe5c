package agronomy

import (
	"fmt"
	"math"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/source"
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
	for _, note := range soil.Hazards(quickNutrients(j.result), nil, j.options.Placement, j.options.System) {
		j.warn(note.Says, note.Mark)
	}
	if err := j.checkNutrients(); err != nil {
		return err
	}
	return j.checkLime()
}

// checkNutrients holds the mix against the soil test, or without one against
// what hardly any crop takes up.
func (j *job) checkNutrients() error {
	if j.options.Soil == nil || !j.options.Soil.Told() {
		if note, much := soil.MuchNitrogen(j.result.Nutrients, j.options.System); much {
			j.warn(note.Says, note.Mark)
		}
		return nil
	}
	need, err := j.options.Soil.Need()
	if err != nil {
		return err
	}
	wanted, _, err := need.After(j.options.Credits...)
	if err != nil {
		return err
	}
	check := &SoilCheck{Need: need, Wanted: wanted, Gives: j.result.Nutrients}
	check.Over, check.Short = difference(check.Gives, wanted), difference(wanted, check.Gives)
	check.Says = soilWords(*check, j.options.System) + creditWords(j.options.Credits)
	j.sheet.Soil = check
	if check.Over.N > nitrogenOver*wanted.N {
		j.warn(fmt.Sprintf("%s more nitrogen than the soil test asks for: spread less, it leaches", check.Over.N.Format(j.options.System)), need.Mark)
	}
	return nil
}

// limeApart is the share by which the lime of a mix may differ from what the
// laboratory asks for before it is told; common practice, no source.
const limeApart = 0.1

// checkLime holds each lime of the mix against what the laboratory asks for, if
// it does, and names a dose that is too small to change the soil.
func (j *job) checkLime() error {
	for i, p := range j.result.Products {
		if p.Class != catalog.Lime {
			continue
		}
		rate := j.result.Amounts[i].SpreadRate
		asked, err := j.limeAsked(p)
		if err != nil {
			return err
		}
		note, small, err := soil.Sweetening(p, rate, asked, j.options.System)
		if err != nil {
			return err
		}
		if small {
			j.warn(note.Says, note.Mark)
		}
		if asked != nil && math.Abs(float64(rate/asked.Rate)-1) > limeApart {
			j.warn(limeWords(*asked, rate, j.options.System), source.Mark{Kind: source.Measured})
		}
	}
	return nil
}

// limeAsked is what the laboratory asks for, worked out for a product; nil when
// it asks for none.
func (j *job) limeAsked(p catalog.Product) (*soil.LimeDose, error) {
	if j.options.Lime == nil || j.options.Lime.Recommended == 0 {
		return nil, nil
	}
	ask := *j.options.Lime
	ask.Area = units.Area(j.sheet.Ground.SpreadM2)
	dose, err := soil.Lime(p, ask)
	if err != nil {
		return nil, err
	}
	if j.sheet.Soil != nil && j.sheet.Soil.Lime == nil {
		j.sheet.Soil.Lime = &dose
	}
	return &dose, nil
}

func limeWords(d soil.LimeDose, rate units.MassPerArea, sys units.System) string {
	words := fmt.Sprintf("The laboratory's lime comes to %s of %s here, %s in all", d.Rate.Format(sys), d.Name, d.Mass.Format(sys))
	if d.Bags > 0 {
		words += fmt.Sprintf(" (bags of %s: %s)", d.BagMass.Format(sys), units.Count(d.Bags))
	}
	return words + "; the mix has " + rate.Format(sys)
}

// quickNutrients are those that are soluble at once: all but slow and inhibited
// nitrogen.
func quickNutrients(r mix.Result) mix.Nutrients {
	var quick mix.Nutrients
	for i, p := range r.Products {
		if p.Class != catalog.Fertilizer {
			continue
		}
		gives := soil.Gives(p.Grade(), r.Amounts[i].SpreadRate)
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

// creditWords names what was taken off the need.
func creditWords(credits []soil.Credit) string {
	if len(credits) == 0 {
		return ""
	}
	from := make([]string, len(credits))
	for i, c := range credits {
		from[i] = c.From
	}
	return "; what " + strings.Join(from, " and ") + " brings is counted"
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
