package passes

import (
	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

// LapsWithin is Laps under the limits of a search: every pass is cut to where
// the throw of the profile may land, clear of the keep-off lines and, if so
// wished, inside the plot. Nothing else of the search's options is used. A pass
// shorter than half the spacing is left out. When nothing may land anywhere the
// plan is refused.
func (g *Ground) LapsWithin(o LapOptions, p coverage.Profile, by SearchOptions) (Plan, error) {
	driven, err := g.LapRings(o)
	if err != nil {
		return Plan{}, err
	}
	unturned := turned{cos: 1}
	limits := newLimits(g, p, by, unturned)
	if limits.any() {
		driven = limits.cut(driven, o.SpacingM/2)
	}
	if len(driven) == 0 {
		return Plan{}, fault.New("no_plan", "no lap keeps its throw within the limits set",
			"shorten the keep-off distances, allow some throw beyond the edge, or let the passes be searched for").Of(fault.Refused)
	}
	plan := Plan{Name: "laps", SpacingM: o.SpacingM, FirstInsetM: o.FirstInsetM, TurnRadiusM: o.TurnRadiusM, Passes: driven}
	g.addTravel(&plan, o, false)
	plan.Total(g.areaM2)
	return plan, nil
}

// cut trims passes to the limits; a lap that is all within them stays closed.
func (l *limits) cut(all []Pass, leastM float64) []Pass {
	var out []Pass
	for _, pass := range all {
		parts := l.trim(pass.Line, leastM)
		if len(parts) == 1 && lineLength(parts[0]) > pass.LengthM-foundToM {
			out = append(out, pass)
			continue
		}
		for _, part := range parts {
			short := newPass(pass.Kind, part)
			short.Flow = pass.Flow
			out = append(out, short)
		}
	}
	return out
}
