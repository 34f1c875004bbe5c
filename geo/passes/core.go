package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// coreWorthM is the share of a spacing that a leftover must be wide to be worth
// a pass; thinner slivers are within the reach of neighbouring throws.
// Common practice, no source.
const coreWorth = 0.1

// shareLeftover hands each lap of one level what lies inside it further than
// half a spacing, unless a further lap is laid there.
func shareLeftover(left orb.MultiPolygon, level []*nest) {
	for _, part := range left {
		n := around(level, part[0][0])
		if n == nil || holdsLap(part, n.inner) {
			continue
		}
		n.leftover = append(n.leftover, part)
	}
}

func holdsLap(part orb.Polygon, laps []*nest) bool {
	for _, n := range laps {
		if within(part[0], n.laps[0][0]) {
			return true
		}
	}
	return false
}

// edgeM is the inset at which ground with holes is taken whole, metres: a tenth
// of a millimetre, because a front that has not moved cannot be cut.
const edgeM = 1e-4

// bare is all of the ground that keeps clear of holes.
func (g *Ground) bare(clearanceM float64) (orb.MultiPolygon, error) {
	if len(g.polygon) == 1 {
		return orb.MultiPolygon{g.polygon}, nil
	}
	return newFront(g.polygon, clearanceM, 0).reach(edgeM, 0)
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
