package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// startPose and endPose are how a line is entered and left. Neighbouring
// points of a pass are never the same.
func startPose(line orb.LineString) pose { return poseAlong(line[0], line[1], line[0]) }

func endPose(line orb.LineString) pose {
	n := len(line)
	return poseAlong(line[n-2], line[n-1], line[n-1])
}

func poseAlong(from, to, at orb.Point) pose {
	d := apart(from, to)
	return pose{at, orb.Point{(to[0] - from[0]) / d, (to[1] - from[1]) / d}}
}

// addTravel fills in the way from each pass to the next, and from the start
// when there is one. Outside says that the machine may leave the ground to
// turn; it enters a hole's clearance only when there is no other way.
func (g *Ground) addTravel(p *Plan, o LapOptions, outside bool) {
	w := wayfinder{ground: g, options: o, outside: outside}
	p.Travel = make([]orb.LineString, len(p.Passes))
	for i := range p.Passes {
		to := startPose(p.Passes[i].Line)
		switch {
		case i > 0:
			p.Travel[i] = w.way(endPose(p.Passes[i-1].Line), to)
		case o.Start != nil && apart(*o.Start, to.at) > repeatM:
			p.Travel[i] = w.way(poseAlong(*o.Start, to.at, *o.Start), to)
		}
	}
}

// wayfinder finds the travel between passes.
type wayfinder struct {
	ground  *Ground
	options LapOptions
	outside bool
	tracks  []orb.LineString // rings to ride round what is in the way, both ways round; made when first needed
}

// way is the shortest drivable way between two poses: one turn where that keeps
// clear, else a ride along a lap's track, else the shortest turn, clear or
// not. It is empty when the poses meet.
func (w *wayfinder) way(from, to pose) orb.LineString {
	if apart(from.at, to.at) <= repeatM && from.heading[0]*to.heading[0]+from.heading[1]*to.heading[1] > 1-1e-6 {
		return nil
	}
	if line := w.turn(from, to); line != nil {
		return line
	}
	if w.tracks == nil {
		w.layTracks()
	}
	var best orb.LineString
	least := math.Inf(1)
	for _, track := range w.tracks {
		if line := w.ride(from, to, track, least); line != nil {
			best, least = line, lineLength(line)
		}
	}
	if best != nil {
		return best
	}
	return turnWords(from, to, w.options.TurnRadiusM)[0].trace(from, to, w.options.TurnRadiusM)
}

// turn is the shortest single turn that keeps clear, or nil.
func (w *wayfinder) turn(from, to pose) orb.LineString {
	for _, word := range turnWords(from, to, w.options.TurnRadiusM) {
		if !w.outside && word.strays(from, w.options.TurnRadiusM, w.ground.polygon[0]) {
			continue
		}
		if line := word.trace(from, to, w.options.TurnRadiusM); w.ground.clear(line, w.options.ClearanceM, w.outside) {
			return line
		}
	}
	return nil
}

// clear says whether a line stays off the holes by the clearance and, unless
// it may go outside, on the ground.
func (g *Ground) clear(line orb.LineString, clearanceM float64, outside bool) bool {
	between := line[1:max(1, len(line)-1)] // the ends may lie on the very edge
	if !outside {
		for _, p := range between {
			if !within(g.polygon[0], p) {
				return false
			}
		}
		for i := 1; i < len(line); i++ {
			if leaves(g.polygon[0], line[i-1], line[i]) {
				return false
			}
		}
	}
	reach := lineBox(line)
	for _, hole := range g.polygon[1:] {
		if b := lineBox(hole); b.apartBy(&reach, clearanceM) {
			continue
		}
		for i := 1; i < len(line); i++ {
			if i+1 < len(line) && within(hole, line[i]) || ringGap(hole, line[i-1], line[i]) < clearanceM-1e-6 {
				return false
			}
		}
	}
	return true
}

// leaves says whether a straight stretch between two places on the ground
// crosses its edge. Chords of a drawn arc are too short to.
func leaves(ring orb.Ring, a, b orb.Point) bool {
	if apart(a, b) < longStretchM {
		return false
	}
	here := boxOf(a, b)
	for i := 1; i < len(ring); i++ {
		c, d := ring[i-1], ring[i]
		if there := boxOf(c, d); !there.apartBy(&here, 0) && side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
			return true
		}
	}
	return false
}

// longStretchM is the length from which on a stretch can leave the ground and
// come back to it between two drawn points, metres.
const longStretchM = 1.0

func lineBox(line []orb.Point) box {
	b := boxOf(line[0], line[0])
	for _, p := range line[1:] {
		b.add(box{p[0], p[1], p[0], p[1]})
	}
	return b
}

// within says whether a point lies inside a closed ring (the even-odd rule).
func within(ring orb.Ring, p orb.Point) bool {
	in := false
	a := ring[0]
	above := a[1] > p[1]
	for _, b := range ring[1:] {
		was := above
		above = b[1] > p[1]
		if above != was && p[0] < a[0]+(b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1]) {
			in = !in
		}
		a = b
	}
	return in
}

// ringGap is the least distance between a segment and a ring, metres; zero
// when they cross.
func ringGap(ring orb.Ring, a, b orb.Point) float64 {
	least, here := math.Inf(1), boxOf(a, b)
	for i := 1; i < len(ring); i++ {
		if there := boxOf(ring[i-1], ring[i]); !there.apartBy(&here, least) {
			least = math.Min(least, segmentGap(ring[i-1], ring[i], a, b))
		}
	}
	return least
}

func segmentGap(a, b, c, d orb.Point) float64 {
	if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
		return 0
	}
	least := meet(c, footOn(a, b, c))
	for _, gap := range [3]float64{meet(d, footOn(a, b, d)), meet(a, footOn(c, d, a)), meet(b, footOn(c, d, b))} {
		if gap < least {
			least = gap
		}
	}
	return math.Sqrt(least)
}

// side is positive when p lies left of the line from a to b.
func side(a, b, p orb.Point) float64 {
	return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
}

// footOn is the point of the segment a-b nearest to p.
func footOn(a, b, p orb.Point) orb.Point {
	dx, dy := b[0]-a[0], b[1]-a[1]
	square := dx*dx + dy*dy
	if square == 0 {
		return a
	}
	t := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / square
	switch {
	case t <= 0:
		return a
	case t >= 1:
		return b
	}
	return orb.Point{a[0] + t*dx, a[1] + t*dy}
}
