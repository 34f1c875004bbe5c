package agronomy

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/agronomy/mix"
	"evenfall/geo/passes"
)

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
