package agronomy

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/coverage"
	"evenfall/geo/passes"
)

// profileBins is into how many bins the throw is shared for the search; finer
// ones change no figure in its third digit.
const profileBins = 64

// drive finds the passes and what they put where: laps at the person's own
// figures or by habit when those are asked for, else the best that the search
// finds, with its alternatives.
func (j *job) drive() error {
	ground, err := passes.NewGround(j.sheet.Ground.Local)
	if err != nil {
		return err
	}
	pattern := j.machine.Patterns.For(string(j.mainClass()))
	profile, err := pattern.Profile(float64(pattern.Width()) / profileBins)
	if err != nil {
		return err
	}
	if j.options.Habit || j.options.Spacing != 0 || j.options.FirstInset != 0 {
		return j.driveLaps(ground, profile)
	}
	return j.driveBest(ground, profile)
}

// driveLaps drives laps only, half the throw apart unless the person says.
func (j *job) driveLaps(ground *passes.Ground, profile coverage.Profile) error {
	spacing, inset := float64(j.options.Spacing), float64(j.options.FirstInset)
	if spacing == 0 {
		spacing = profile.ThrowM() / 2
	}
	if inset == 0 {
		inset = spacing / 2
	}
	plan, err := ground.LapsWithin(passes.LapOptions{
		SpacingM: spacing, FirstInsetM: inset, TurnRadiusM: float64(turnRadius(j.machine)),
		ClearanceM: float64(j.options.Clearance), Clockwise: j.options.Clockwise, Core: true, Start: j.start(),
	}, profile, j.searchOptions())
	if err != nil {
		return err
	}
	if j.options.Along != nil {
		j.warn("Laps follow the edge: leave out the spacing and the first track of your own to have straight passes along a bearing", source.Mark{Kind: source.Definition})
	}
	j.take(plan)
	groundM2 := j.measure(profile)
	j.warnOfWaste()
	return j.keptOff(groundM2)
}

// driveBest searches, takes the plan that the person chose, or the best, and
// lists the alternatives.
func (j *job) driveBest(ground *passes.Ground, profile coverage.Profile) error {
	found, err := ground.Search(profile, j.searchOptions())
	if err != nil {
		return err
	}
	tellApart(found.Options)
	chosen := j.choose(found.Options)
	for i, o := range found.Options {
		j.sheet.Plans = append(j.sheet.Plans, j.summary(o, i == chosen))
	}
	best := found.Options[chosen]
	if err := j.keptOff(found.GroundM2); err != nil {
		return err
	}
	j.take(best.Plan)
	j.sheet.Evenness = Evenness{
		Figures: best.Figures, ExpectedCV: best.Wander.ExpectedCV, CVLow: best.Wander.LowCV, CVHigh: best.Wander.HighCV,
		Says: evennessWords(best.Figures),
	}
	for _, words := range found.Says {
		j.warn(units.Retell(words, j.options.System), source.Mark{Kind: source.Definition})
	}
	j.warnOfWaste()
	if !j.options.Quick {
		j.sheet.Evenness.Picture = j.lay(profile, pictureCells).picture()
	}
	return nil
}

// tellApart numbers plans of the same name, by which a person chooses.
func tellApart(options []passes.Option) {
	seen := map[string]int{}
	for i := range options {
		name := options[i].Plan.Name
		if seen[name]++; seen[name] > 1 {
			options[i].Plan.Name = fmt.Sprintf("%s (%d)", name, seen[name])
		}
	}
}

// choose finds the plan that the person named; the best one, and a word about
// it, where none of that name was found.
func (j *job) choose(options []passes.Option) int {
	if j.options.Plan == "" {
		return 0
	}
	at := slices.IndexFunc(options, func(o passes.Option) bool { return o.Plan.Name == j.options.Plan })
	if at < 0 {
		j.warn(fmt.Sprintf("No plan called %q was found here: %q is taken", j.options.Plan, options[0].Plan.Name), source.Mark{Kind: source.Definition})
	}
	return max(0, at)
}

// wasteTold is the share of the material beside the plot from which a hand
// spreader is proposed; common practice, no source.
const wasteTold = 0.2

// warnOfWaste speaks up where the throw is too wide for the plot.
func (j *job) warnOfWaste() {
	if out := j.sheet.Evenness.OutsideShare; out >= wasteTold {
		j.warn(units.Percent(out)+" of the material would miss the plot: on ground this small a hand spreader wastes less", source.Mark{Kind: source.Practice})
	}
}

func (j *job) searchOptions() passes.SearchOptions {
	o, m := j.options, j.machine
	var along *float64
	if o.Along != nil {
		rad := *o.Along * math.Pi / 180
		along = &rad
	}
	return passes.SearchOptions{
		TurnRadiusM: float64(turnRadius(m)), ClearanceM: float64(o.Clearance), Room: o.Room, BacksUp: m.BacksUp,
		KeepOff: j.binding(), NoThrowOutside: o.NoThrowOutside, OutsideMost: o.OutsideMost, Priority: o.Priority,
		BehindM: float64(m.ThrowBehind), SteeringM: float64(m.SteeringError), SpeedShare: m.SpeedError,
		Budget: o.Budget, Quick: o.Quick, Start: j.start(), Clockwise: o.Clockwise, AlongRad: along,
		WithHalfRates: o.HalfRates, WithRightAngles: o.RightAngles,
	}
}

// binding are the keep-off lines that bind something of the mix. All of the
// mix goes over the same passes, so what binds one binds them all.
func (j *job) binding() []passes.KeepOff {
	var lines []passes.KeepOff
	for i, k := range j.plot.KeepOff {
		if slices.ContainsFunc(j.result.Amounts, func(a mix.Amount) bool { return k.binds(a.Class) }) {
			lines = append(lines, j.sheet.Ground.KeepOff[i])
		}
	}
	return lines
}

// binds tells whether the line holds for a class of material; lime counts as
// fertilizer.
func (k KeepOff) binds(c mix.Class) bool {
	switch k.For {
	case SeedOnly:
		return c == mix.Seed
	case FertilizerOnly:
		return c != mix.Seed
	}
	return true
}

// keptOff takes the ground that nothing may fall on out of the amounts. A
// share below a thousandth is the raster's rounding; of a tiny plot it is more,
// so without a line nothing is taken out at all.
func (j *job) keptOff(groundM2 float64) error {
	const rounding = 1e-3
	share := groundM2 / planar.Area(j.sheet.Ground.Local)
	if share > 1-rounding || len(j.binding()) == 0 {
		return nil
	}
	j.sheet.Ground.SpreadM2 = j.sheet.Ground.AreaM2 * share
	result, err := j.goods.Amounts(units.Area(j.sheet.Ground.SpreadM2), j.catalog, j.options.System)
	if err != nil {
		return err
	}
	j.takeAmounts(result)
	j.warn(fmt.Sprintf("%s of the plot lies within a keep-off line and gets nothing", units.Area(j.sheet.Ground.AreaM2-j.sheet.Ground.SpreadM2).Format(j.options.System)),
		source.Mark{Kind: source.Stated})
	return nil
}

// take puts the plan on the sheet.
func (j *job) take(plan passes.Plan) {
	j.sheet.Drive = Drive{Plan: plan, Start: plan.Passes[0].Line[0], Time: j.timeOf(plan)}
	if rad, straight := plan.BearingRad(); straight {
		degrees := rad * 180 / math.Pi
		j.sheet.Drive.Bearing = &degrees
	}
}

func (j *job) timeOf(plan passes.Plan) units.Duration {
	speed := float64(j.options.Speed)
	return units.Duration(plan.Time(speed, turnSpeedShare*speed))
}

func (j *job) summary(o passes.Option, chosen bool) PlanSummary {
	s := PlanSummary{
		Name: o.Plan.Name, Says: o.Says, Chosen: chosen, Habit: o.Habit, CV: o.Figures.CV, ExpectedCV: o.Wander.ExpectedCV,
		OutsideShare: o.Figures.OutsideShare, LengthM: o.Plan.LengthM, TravelM: o.Plan.TravelM, Turns: o.Plan.Turns,
		Time: j.timeOf(o.Plan), SpacingM: o.Plan.SpacingM, Best: o.Best,
	}
	for _, p := range o.Plan.Passes {
		s.Lines, s.Flows = append(s.Lines, p.Line), append(s.Flows, p.Flow)
	}
	return s
}

func turnRadius(m spreader.Spreader) units.Length {
	if m.TurnRadius > 0 {
		return m.TurnRadius
	}
	return usualTurnRadius
}

// start is where the driver comes in, in local metres; nil when not said.
func (j *job) start() *orb.Point {
	if j.options.Start == nil {
		return nil
	}
	at := j.plot.Frame().ToLocal(*j.options.Start)
	return &at
}
