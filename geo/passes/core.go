package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// coreWorthM is the share of a spacing that a leftover must be wide to be worth
// a pass; thinner slivers are within the reach of neighbouring throws.
// Common practice, no source.
const coreWorth = 0.1

// findLeftover hands each of the laps of one level what lies inside it further
// than half a spacing, unless a further lap is laid there.
func (g *Ground) findLeftover(level []*nest, o LapOptions, in float64) error {
	left, err := g.libraryInset(o.FirstInsetM+in+o.SpacingM/2, o.holeInset()+in+o.SpacingM/2)
	if err != nil {
		return err
	}
	for _, part := range left {
		n := around(level, part[0][0])
		if n == nil || holdsLap(part, n.inner) {
			continue
		}
		n.leftover = append(n.leftover, part)
	}
	return nil
}

func holdsLap(part orb.Polygon, laps []*nest) bool {
	for _, n := range laps {
		if within(part[0], n.laps[0][0]) {
			return true
		}
	}
	return false
}

// bare is the whole ground as leftover, for a plot too narrow for any lap.
func (g *Ground) bare(o LapOptions) orb.MultiPolygon {
	open, err := g.libraryInset(0, o.ClearanceM)
	if err != nil {
		return nil
	}
	return open
}

// driveCore covers leftovers with parallel passes along their axis.
func (d *lapDriver) driveCore(parts orb.MultiPolygon) {
	s := d.options.SpacingM
	for _, part := range parts {
		bearing, widthM := axisOf(part[0])
		if widthM < coreWorth*s {
			continue
		}
		count := math.Ceil(widthM/s - 1e-9)
		step := widthM / count
		var l Lines
		l.clip(layRows(part, step, bearing, step/2), part, make([]bool, len(part)), 0, s/4)
		for _, line := range driveRuns(runsOf(l.Stretches), step, d.options.TurnRadiusM, d.at) {
			d.passes = append(d.passes, newPass(Core, line))
			d.at = line[1]
		}
	}
}

// axisOf is the bearing (radians clockwise from north) along which a ring is
// narrowest across, and that width in metres. The narrowest strip lies along
// an edge of the convex hull; trying every edge of the ring includes those.
func axisOf(ring orb.Ring) (bearing, widthM float64) {
	widthM = math.Inf(1)
	for i := 1; i < len(ring); i++ {
		try := math.Atan2(ring[i][0]-ring[i-1][0], ring[i][1]-ring[i-1][1])
		sin, cos := math.Sincos(try)
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range ring {
			v := p[0]*cos - p[1]*sin
			low, high = math.Min(low, v), math.Max(high, v)
		}
		if high-low < widthM {
			bearing, widthM = try, high-low
		}
	}
	return bearing, widthM
}
