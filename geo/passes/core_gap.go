package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// gaps knows what of the ground's medial axis is still to be covered.
type gaps struct {
	options LapOptions
	walks   [][]axisPoint
	open    [][]bool // which points of the walks are missed, and have not had their chance
	driven  nearby
	edge    nearby // the outer ring
	holes   nearby
	ground  *Ground
	roomM   float64 // the least room in which the machine drives
}

// gapSlack is the share of half a spacing by which a point may lie beyond it
// before it counts as missed; survey and steering are no better.
// Common practice, no source.
const gapSlack = 1.05

func (d *lapDriver) newGaps() *gaps {
	o := d.options
	g := &gaps{options: o, ground: d.ground, walks: d.ground.axisWalk(o.SpacingM / 8), roomM: o.FirstInsetM / 2}
	for i, ring := range d.ground.polygon {
		if i == 0 {
			g.edge.add(ring)
		} else {
			g.holes.add(ring)
			g.roomM = math.Max(g.roomM, o.ClearanceM)
		}
	}
	for _, p := range d.passes {
		g.driven.add(p.Line)
	}
	for _, walk := range g.walks {
		open := make([]bool, len(walk))
		for i, p := range walk {
			open[i] = p.roomM >= g.roomM && g.missed(p.at)
		}
		g.open = append(g.open, open)
	}
	return g
}

// drive adds a pass and closes what it covers.
func (g *gaps) drive(line orb.LineString) {
	g.driven.add(line)
	g.shut(line, g.reach())
}

// shut closes the axis within a distance of a line.
func (g *gaps) shut(line orb.LineString, withinM float64) {
	var near nearby
	near.add(line)
	for k, walk := range g.walks {
		for i, p := range walk {
			if g.open[k][i] && near.gap(p.at, withinM) < withinM {
				g.open[k][i] = false
			}
		}
	}
}

// reach is how far from a pass the ground counts as covered, metres.
func (g *gaps) reach() float64 { return gapSlack * g.options.SpacingM / 2 }

func (g *gaps) missed(p orb.Point) bool {
	return g.driven.gap(p, g.reach()) >= g.reach()
}

// longest is the longest stretch of the axis that is missed and has no sharp
// turn.
func (g *gaps) longest() orb.LineString {
	var best orb.LineString
	var most float64
	for k, walk := range g.walks {
		for _, line := range openLines(walk, g.open[k]) {
			for _, smooth := range smoothParts(line, g.options.SpacingM/20) {
				if length := lineLength(smooth); length > most {
					best, most = smooth, length
				}
			}
		}
	}
	return best
}

// openLines cuts a walk into its open stretches. A stretch that runs over the
// walk's start is put together.
func openLines(walk []axisPoint, open []bool) []orb.LineString {
	n, from := len(walk), max(slices.Index(open, false), 0)
	var lines []orb.LineString
	var line orb.LineString
	for k := 0; k <= n; k++ {
		i := (from + k) % n
		if open[i] && k < n {
			line = append(line, walk[i].at)
			continue
		}
		if len(line) > 1 {
			lines = append(lines, line)
		}
		line = nil
	}
	return lines
}

// beside lays as many passes along an axis as its gap is wide, and keeps of
// each what is missed and on ground where the machine may drive.
func (g *gaps) beside(axis orb.LineString) []orb.LineString {
	s := g.options.SpacingM
	half := 0.0
	for _, p := range axis {
		reach := math.Min(g.driven.gap(p, 4*s)-s/2, g.edge.gap(p, 4*s))
		half = math.Max(half, reach)
	}
	count := math.Max(1, math.Ceil(2*half/s-coreWorth))
	var lines []orb.LineString
	for i := 0.5; i < count; i++ {
		line := offsetLine(axis, (i-count/2)*2*half/count)
		lines = append(lines, g.drivable(roundCorners(line, g.options.TurnRadiusM))...)
	}
	return lines
}

// drivable cuts a line to where it is missed, keeps its room, and is longer
// than a quarter spacing.
func (g *gaps) drivable(line orb.LineString) []orb.LineString {
	var kept []orb.LineString
	var part orb.LineString
	flush := func() {
		if len(part) > 1 && lineLength(part) >= g.options.SpacingM/4 {
			kept = append(kept, part)
		}
		part = nil
	}
	for _, p := range densified(line, g.options.SpacingM/8) {
		if g.missed(p) && g.mayDrive(p) {
			part = append(part, p)
		} else {
			flush()
		}
	}
	flush()
	for i := range kept {
		kept[i] = simplified(kept[i], sagittaM)
	}
	return kept
}

func (g *gaps) mayDrive(p orb.Point) bool {
	for i, ring := range g.ground.polygon {
		if within(ring, p) != (i == 0) {
			return false
		}
	}
	return g.edge.gap(p, g.roomM) >= g.roomM*(1-1e-9) && g.holes.gap(p, g.options.ClearanceM) >= g.options.ClearanceM*(1-1e-9)
}
