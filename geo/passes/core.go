package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// coreWorthM is the share of a spacing that a leftover must be wide to be worth
// a pass; thinner slivers are within the reach of neighbouring throws.
// Common practice, no source.
const coreWorth = 0.1

// shareLeftover hands each lap of one level what lies inside it further than
// half a spacing, unless a further lap is laid there. Laps that do little more
// than spin are left out, and so are those in a narrow strip, where a few
// straight passes do better.
func shareLeftover(left orb.MultiPolygon, level []*nest, o LapOptions) {
	for _, n := range level {
		n.inner = slices.DeleteFunc(n.inner, func(lap *nest) bool { return isSpin(lap, o) })
	}
	for _, part := range left {
		n := around(level, part[0][0])
		if n == nil {
			continue
		}
		if isStrip(part, o) {
			n.inner = slices.DeleteFunc(n.inner, func(lap *nest) bool { return within(part[0], lap.laps[0][0]) })
		} else if holdsLap(part, n.inner) {
			continue
		}
		n.leftover = append(n.leftover, part)
	}
}

// isSpin says whether a lap is hardly longer than the tightest circle.
func isSpin(lap *nest, o LapOptions) bool {
	return len(lap.laps) == 1 && lineLength(lap.laps[0]) < 2*math.Pi*o.TurnRadiusM+2*o.SpacingM
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

// driveRest covers what the laps and their leftovers do not, if so asked: all
// of a plot that is too narrow for a lap, and any gaps.
func (d *lapDriver) driveRest() error {
	if !d.options.Core {
		return nil
	}
	if len(d.passes) == 0 {
		bare, err := d.ground.bare(d.options.ClearanceM)
		if err != nil {
			return err
		}
		d.driveCore(bare)
	}
	d.driveGaps()
	return nil
}

// driveCore covers leftovers that about fill the rectangle round them with
// straight passes along it. Bent ones are left to driveGaps.
func (d *lapDriver) driveCore(parts orb.MultiPolygon) {
	s := d.options.SpacingM
	for _, part := range parts {
		bearing, widthM := axisOf(part[0])
		if widthM < coreWorth*s || !fillsStrip(part, bearing, widthM) {
			continue
		}
		count := math.Ceil(widthM/s - coreWorth)
		step := widthM / count
		var l Lines
		l.clip(layRows(part, step, bearing, step/2), &room{rings: part, holes: make([]bool, len(part))}, 0, s/4)
		for _, line := range driveRuns(runsOf(l.Stretches), step, d.options.TurnRadiusM, d.at) {
			d.addCore(line)
		}
	}
}

func (d *lapDriver) addCore(line orb.LineString) {
	d.passes = append(d.passes, newPass(Core, line))
	d.at = line[len(line)-1]
}

// isStrip says whether straight passes cover a polygon better than a lap in it:
// a machine hardly turns about within its width, and it is at least three
// times as long.
func isStrip(part orb.Polygon, o LapOptions) bool {
	bearing, widthM := axisOf(part[0])
	return widthM <= 1.5*o.SpacingM+2*o.TurnRadiusM && extent(part[0], bearing+math.Pi/2) >= 3*widthM && fillsStrip(part, bearing, widthM)
}

// fillsStrip says whether a polygon fills at least half of its narrowest strip.
func fillsStrip(part orb.Polygon, bearing, widthM float64) bool {
	var area float64
	for _, ring := range part {
		area += signedArea(ring)
	}
	return area >= widthM*extent(part[0], bearing+math.Pi/2)/2
}

// driveGaps covers what is still further than half a spacing from every pass
// with passes along the medial axis of the ground, the longest found first.
// Where the gap is too wide for one, several run side by side.
func (d *lapDriver) driveGaps() {
	g := d.newGaps()
	var lines []orb.LineString
	for range mostGaps {
		axis := g.longest()
		if lineLength(axis) < leastGap*d.options.SpacingM {
			break
		}
		g.shut(axis, d.options.SpacingM/10)
		for _, line := range g.beside(roundCorners(axis, d.options.TurnRadiusM)) {
			g.drive(line)
			lines = append(lines, line)
		}
	}
	for len(lines) > 0 {
		which, back := nearestEnd(lines, d.at)
		if back {
			lines[which].Reverse()
		}
		d.addCore(lines[which])
		lines = slices.Delete(lines, which, which+1)
	}
}

// leastGap is the share of a spacing that a gap must be long to be worth a
// pass. Common practice, no source.
const leastGap = 0.75

// mostGaps bounds the search on ground with endless spikes.
const mostGaps = 200

func nearestEnd(lines []orb.LineString, at orb.Point) (which int, back bool) {
	least := math.Inf(1)
	for i, line := range lines {
		if gap := apart(line[0], at); gap < least {
			which, back, least = i, false, gap
		}
		if gap := apart(line[len(line)-1], at); gap < least {
			which, back, least = i, true, gap
		}
	}
	return which, back
}

// axisOf is the bearing (radians clockwise from north) along which a ring is
// narrowest across, and that width in metres. The narrowest strip lies along
// an edge of the convex hull; trying every edge of the ring includes those.
func axisOf(ring orb.Ring) (bearing, widthM float64) {
	widthM = math.Inf(1)
	for i := 1; i < len(ring); i++ {
		try := math.Atan2(ring[i][0]-ring[i-1][0], ring[i][1]-ring[i-1][1])
		if width := extent(ring, try); width < widthM {
			bearing, widthM = try, width
		}
	}
	return bearing, widthM
}

// extent is how wide a ring is across a bearing, metres.
func extent(ring orb.Ring, bearing float64) float64 {
	sin, cos := math.Sincos(bearing)
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range ring {
		v := p[0]*cos - p[1]*sin
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return high - low
}
