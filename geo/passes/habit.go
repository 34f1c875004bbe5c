package passes

// HabitName is the name of the trade's own way as the alternatives list it.
const HabitName = "the habit"

// habit is what a driver does by custom: a lap along the edge, then laps inward
// with the edge of the throw on the last tracks, so that the spacing is half
// the throw. Purdue Turfgrass Science gives the spacing (row HALF-THROW of the
// reference values); the first inset, half the spacing, is common practice,
// no source.
func (pl *planner) habit() (Plan, error) {
	inset := pl.o.HabitInsetM
	if inset == 0 {
		inset = pl.evenM / 2
	}
	return pl.lapPlan(HabitName, inset, pl.evenM)
}

// lapPlan is laps all the way, within the limits.
func (pl *planner) lapPlan(name string, insetM, spacingM float64) (Plan, error) {
	o := pl.lapOptions(insetM, spacingM)
	driven, err := pl.ground.LapRings(o)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Name: name, SpacingM: spacingM, FirstInsetM: insetM, TurnRadiusM: o.TurnRadiusM, Passes: pl.limited(driven)}
	if len(p.Passes) == 0 {
		return Plan{}, tooSmall(pl.ground.areaM2, spacingM)
	}
	pl.addWays(&p, o.Start)
	return p, nil
}

func (pl *planner) lapOptions(insetM, spacingM float64) LapOptions {
	o := pl.straightOptions(&layout{spacingM: spacingM}).laps()
	o.FirstInsetM, o.MaxLaps, o.Core = insetM, 0, true
	return o
}
