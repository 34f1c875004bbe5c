package agronomy

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/coverage"
	"evenfall/geo/passes"
)

// drive lays the passes and predicts what they put where.
func (j *job) drive() error {
	plan, err := passes.Laps(j.sheet.Ground.Local, passes.LapOptions{
		SpacingM: float64(j.options.Spacing), FirstInsetM: float64(j.options.FirstInset),
		TurnRadiusM: float64(turnRadius(j.machine)), ClearanceM: float64(j.options.Clearance),
		Clockwise: j.options.Clockwise, Core: true, Start: j.start(),
	})
	if err != nil {
		return err
	}
	speed := float64(j.options.Speed)
	j.sheet.Drive = Drive{
		Plan: plan, Start: plan.Passes[0].Line[0],
		Time: units.Duration(plan.Time(speed, turnSpeedShare*speed)),
	}
	return j.predict()
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

// pour splits what goes on into loads and finds where each runs out.
func (j *job) pour() error {
	hopper := mix.Hopper{Mass: j.machine.HopperMass, Volume: j.machine.HopperVolume, Scoop: j.options.Scoop}
	loads, err := mix.Loads(j.result.Amounts, hopper, j.sheet.Drive.LengthM, j.options.Layers, j.options.System)
	if err != nil {
		return err
	}
	j.sheet.Loads = loads
	j.sheet.Drive.Refills = refills(loads, j.sheet.Drive.Plan)
	return nil
}

// refills are the places where a load runs out before its group is done.
func refills(loads []mix.Load, plan passes.Plan) []Refill {
	var stops []Refill
	for i, l := range loads {
		if i+1 == len(loads) || loads[i+1].Group != l.Group {
			continue
		}
		pass, at := stationOn(plan, l.ToM)
		stops = append(stops, Refill{AfterLoad: l.Number, Pass: pass, At: at})
	}
	return stops
}

// stationOn is the pass and the point at a distance along the gate-open path.
func stationOn(plan passes.Plan, distanceM float64) (order int, at orb.Point) {
	for _, p := range plan.Passes {
		order = p.Order
		for i := 1; i < len(p.Line); i++ {
			a, b := p.Line[i-1], p.Line[i]
			step := math.Hypot(b[0]-a[0], b[1]-a[1])
			at = b
			if distanceM <= step && step > 0 {
				share := distanceM / step
				return order, orb.Point{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}
			}
			distanceM -= step
		}
	}
	return order, at
}

// strokesOf are the plan's passes as coverage takes them.
func strokesOf(plan passes.Plan) []coverage.Stroke {
	strokes := make([]coverage.Stroke, len(plan.Passes))
	for i, p := range plan.Passes {
		strokes[i] = coverage.Stroke{Line: p.Line, Flow: p.Flow}
	}
	return strokes
}
