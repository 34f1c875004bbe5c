package soil

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// saltLimits is nitrogen plus potash in lb/ac that may lie with the seed in
// the row, by row spacing in inches, on medium or fine soil and on sandy soil
// (Kansas State Univ. eUpdate).
var saltLimits = [][3]float64{{20, 12, 8}, {30, 8, 6}, {40, 6, 4}}

// SaltLimit is the N plus K2O that may lie with the seed in a row, read along
// straight lines between the printed spacings; valid for rows of 20 to 40 in.
func SaltLimit(row units.Length, sandy bool) (units.MassPerArea, source.Mark, error) {
	mark := source.Mark{Kind: source.Published, Cite: "Kansas State Univ. eUpdate"}
	soil := 1
	if sandy {
		soil = 2
	}
	const slack = 1e-9 // inches; a row of 40 in is not beyond 40 in for rounding
	for i := 1; i < len(saltLimits); i++ {
		a, b := saltLimits[i-1], saltLimits[i]
		if in := row.Inches(); in >= a[0]-slack && in <= b[0]+slack {
			lb := a[soil] + (b[soil]-a[soil])*(in-a[0])/(b[0]-a[0])
			return units.MassPerArea(lb) * units.PoundPerAcre, mark, nil
		}
	}
	return 0, mark, fault.New("row", "the salt limit is printed for rows of 20 to 40 in", "keep fertilizer out of the seed row").In("row_m")
}

// Placement is how fertilizer lies with the seed and on the ground. Row is
// zero when it is broadcast and not in the row with the seed.
type Placement struct {
	Row       units.Length `json:"row_m,omitempty"`
	Sandy     bool         `json:"sandy,omitempty"`
	Frozen    bool         `json:"frozen,omitempty"`     // or snow-covered
	HeavyRain bool         `json:"heavy_rain,omitempty"` // forecast within a day or two
	WorkedIn  bool         `json:"worked_in,omitempty"`  // the same day
	SlopeRise float64      `json:"slope_rise,omitempty"` // metres per metre
	NearWater bool         `json:"near_water,omitempty"` // water or a drain beside the plot
}

// From these on a single dressing is warned about: lb/ac of nitrogen at once,
// lb/ac of N plus K2O broadcast where seed lies on top, and the slope from
// which rain carries fertilizer off. From memory, unverified.
const (
	muchNitrogen = 100 * units.PoundPerAcre
	muchSalt     = 150 * units.PoundPerAcre
	steep        = 0.08
)

// mostNitrogen is the nitrogen of all kinds, slow-release too, that hardly any
// crop of a small plot takes up in a season. From memory, unverified.
const mostNitrogen = 200 * units.PoundPerAcre

// MuchNitrogen warns of a dressing whose nitrogen no soil test has asked for
// and that no crop is likely to use; much is false below that.
func MuchNitrogen(n mix.Nutrients, sys units.System) (note catalog.Note, much bool) {
	if n.N < mostNitrogen {
		return catalog.Note{}, false
	}
	return catalog.Note{
		Says: n.N.Format(sys) + " of nitrogen is more than most crops take up in a season, and what is left over goes to the water: ask for a soil test and spread less",
		Mark: source.Mark{Kind: source.Memory},
	}, true
}

// Hazards warns of a dressing that could burn seed or run off, and of urea
// left lying. Quick is the part of the dressing that is soluble at once.
func Hazards(quick mix.Nutrients, products []catalog.Product, at Placement, sys units.System) []catalog.Note {
	return append(append(burn(quick, at, sys), runoff(quick, at, sys)...), left(products, at, sys)...)
}

func burn(quick mix.Nutrients, at Placement, sys units.System) []catalog.Note {
	salt := quick.N + quick.K2O
	switch {
	case at.Row > 0:
		return burnInRow(salt, at, sys)
	case salt >= muchSalt && !at.WorkedIn:
		return []catalog.Note{{
			Says: fmt.Sprintf("%s of N and K2O beside seed can burn it: spread the fertilizer first and work it in, or split it", salt.Format(sys)),
			Mark: source.Mark{Kind: source.Memory},
		}}
	default:
		return nil
	}
}

func burnInRow(salt units.MassPerArea, at Placement, sys units.System) []catalog.Note {
	limit, mark, err := SaltLimit(at.Row, at.Sandy)
	switch {
	case err != nil && salt > 0:
		return []catalog.Note{{Says: "No salt limit is printed for rows this wide: keep fertilizer out of the seed row", Mark: source.Mark{Kind: source.Practice}}}
	case err == nil && salt > limit:
		return []catalog.Note{{
			Says: fmt.Sprintf("%s of N and K2O in the row with the seed can burn it: no more than %s in rows of %s", salt.Format(sys), limit.Format(sys), at.Row.Format(sys)),
			Mark: mark,
		}}
	default:
		return nil
	}
}

func runoff(quick mix.Nutrients, at Placement, sys units.System) []catalog.Note {
	practice, memory := source.Mark{Kind: source.Practice}, source.Mark{Kind: source.Memory}
	var notes []catalog.Note
	add := func(when bool, says string, mark source.Mark) {
		if when {
			notes = append(notes, catalog.Note{Says: says, Mark: mark})
		}
	}
	some := quick.N+quick.P2O5 > 0
	add(quick.N >= muchNitrogen, fmt.Sprintf("%s of soluble nitrogen at once is more than young plants take up: split it", quick.N.Format(sys)), memory)
	add(some && at.Frozen, "Spread nothing on frozen or snow-covered ground: it runs off with the thaw", practice)
	add(some && at.HeavyRain, "Wait until the heavy rain has passed: it carries fertilizer off", practice)
	add(some && at.SlopeRise >= steep && !at.WorkedIn, "On this slope rain carries fertilizer off: work it in the same day", memory)
	add(some && at.NearWater, "Keep fertilizer back from the water; local setback rules decide how far", practice)
	return notes
}

// left is what urea needs that stays on the surface.
func left(products []catalog.Product, at Placement, sys units.System) []catalog.Note {
	var notes []catalog.Note
	for _, p := range products {
		if !p.Urea || p.Release != catalog.Plain || at.WorkedIn {
			continue
		}
		rain := catalog.UreaRainInches * units.Inch
		notes = append(notes, catalog.Note{
			Says: fmt.Sprintf("%s: work it in or have %s of rain within %d to %d days on warm soil, up to %d on cool soil, or part of the nitrogen is lost to the air",
				p.Name, rain.Format(sys), catalog.UreaWarmDaysLow, catalog.UreaWarmDaysHigh, catalog.UreaCoolDays),
			Mark: catalog.UreaMark(),
		})
	}
	return notes
}
