package passes

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"
)

// sharpAxis is the change of heading, radians, beyond which an axis is cut in
// two: a little more than square, so that a bent strip is still one pass.
// Common practice, no source.
const sharpAxis = 100 * math.Pi / 180

func simplified(line orb.LineString, strayM float64) orb.LineString {
	return simplify.DouglasPeucker(strayM).LineString(line.Clone())
}

// smoothParts straightens a line to within a distance and cuts it at its sharp
// turns.
func smoothParts(line orb.LineString, strayM float64) []orb.LineString {
	straight := simplified(line, strayM)
	var parts []orb.LineString
	from := 0
	for i := 1; i+1 < len(straight); i++ {
		if turn, _ := turnAt(straight[i-1], straight[i], straight[i+1]); turn > sharpAxis {
			parts = append(parts, straight[from:i+1])
			from = i
		}
	}
	return append(parts, straight[from:])
}

// roundCorners replaces each corner of an open line by an arc of a radius. A
// corner whose arc does not fit between its neighbours' is left out, the
// sharpest such first.
func roundCorners(line orb.LineString, radiusM float64) orb.LineString {
	corners := line.Clone()
	for {
		worst, excess := -1, 0.0
		for i := 1; i+1 < len(corners); i++ {
			need := arcReach(corners, i, radiusM)
			before := apart(corners[i-1], corners[i]) - arcReach(corners, i-1, radiusM)
			after := apart(corners[i], corners[i+1]) - arcReach(corners, i+1, radiusM)
			if over := need - math.Min(before, after); over > excess+1e-9 {
				worst, excess = i, over
			}
		}
		if worst < 0 {
			return drawRounded(corners, radiusM)
		}
		corners = append(corners[:worst], corners[worst+1:]...)
	}
}

// arcReach is how far before and after a corner its arc begins and ends.
func arcReach(line orb.LineString, i int, radiusM float64) float64 {
	if i <= 0 || i >= len(line)-1 {
		return 0
	}
	turn, _ := turnAt(line[i-1], line[i], line[i+1])
	if turn > math.Pi-1e-6 {
		return math.Inf(1)
	}
	return radiusM * math.Tan(turn/2)
}

func drawRounded(corners orb.LineString, radiusM float64) orb.LineString {
	if len(corners) < 3 {
		return corners
	}
	line := orb.LineString{corners[0]}
	for i := 1; i+1 < len(corners); i++ {
		a, b, c := corners[i-1], corners[i], corners[i+1]
		turn, _ := turnAt(a, b, c)
		reach := arcReach(corners, i, radiusM)
		in := poseAlong(a, b, b).heading
		start := orb.Point{b[0] - reach*in[0], b[1] - reach*in[1]}
		if turn < leastTipRad {
			continue
		}
		left := 1.0
		if side(a, b, c) < 0 {
			left = -1
		}
		line = append(line, start)
		line = appendTurn(line, start, math.Atan2(in[1], in[0]), left, turn, radiusM)
	}
	return dropRepeats(append(line, corners[len(corners)-1]))
}

// dropRepeats leaves out points that repeat the one before them.
func dropRepeats(line orb.LineString) orb.LineString {
	kept := line[:1]
	for _, p := range line[1:] {
		if apart(p, kept[len(kept)-1]) > repeatM {
			kept = append(kept, p)
		}
	}
	return kept
}

// offsetLine shifts an open line sideways, to its left, each point along the
// mean of its neighbours' normals.
func offsetLine(line orb.LineString, leftM float64) orb.LineString {
	out := make(orb.LineString, len(line))
	for i, p := range line {
		before, after := line[max(i-1, 0)], line[min(i+1, len(line)-1)]
		h := poseAlong(before, after, p).heading
		out[i] = orb.Point{p[0] - leftM*h[1], p[1] + leftM*h[0]}
	}
	return out
}

// densified adds points so that none are further apart than a step.
func densified(line orb.LineString, stepM float64) orb.LineString {
	out := orb.LineString{line[0]}
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		n := math.Ceil(apart(a, b) / stepM)
		for k := 1.0; k <= n; k++ {
			out = append(out, orb.Point{a[0] + (b[0]-a[0])*k/n, a[1] + (b[1]-a[1])*k/n})
		}
	}
	return out
}
