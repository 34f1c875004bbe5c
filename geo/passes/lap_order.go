package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// lapDriver strings laps together as a driver would: an island of laps is
// finished, from the edge inward, before the next is begun.
type lapDriver struct {
	ground  *Ground
	options LapOptions
	at      orb.Point // where the machine is
	passes  []Pass
}

func (d *lapDriver) driveAll(nests []*nest) {
	left := slices.Clone(nests)
	for len(left) > 0 {
		which, least := 0, math.Inf(1)
		for i, n := range left {
			if gap := lineGap(n.laps[0], d.at); gap < least {
				which, least = i, gap
			}
		}
		d.drive(left[which])
		left = slices.Delete(left, which, which+1)
	}
}

func (d *lapDriver) drive(n *nest) {
	d.driveRing(n.laps[0])
	holes := slices.Clone(n.laps[1:])
	for len(holes) > 0 {
		which, least := 0, math.Inf(1)
		for i, ring := range holes {
			if gap := lineGap(ring, d.at); gap < least {
				which, least = i, gap
			}
		}
		d.driveRing(holes[which])
		holes = slices.Delete(holes, which, which+1)
	}
	d.driveAll(n.inner)
	d.driveCore(n.leftover)
}

// driveRing adds a lap that starts where a change of lane from the machine's
// place brings it: level with it for the first, further on for the others.
func (d *lapDriver) driveRing(ring orb.Ring) {
	lap := orb.LineString(slices.Clone(ring))
	if (signedArea(ring) < 0) != d.options.Clockwise {
		lap.Reverse()
	}
	ahead := 0.0
	if len(d.passes) > 0 {
		ahead = laneChange(d.options.SpacingM, d.options.TurnRadiusM)
	}
	lap = startAhead(lap, d.at, ahead)
	d.passes = append(d.passes, newPass(Lap, lap))
	d.at = lap[0]
}

// laneChange is how far along an S of two equal arcs takes the machine while
// it shifts sideways.
func laneChange(shiftM, radiusM float64) float64 {
	if shiftM >= 2*radiusM {
		return 2 * radiusM
	}
	return math.Sqrt(shiftM * (4*radiusM - shiftM))
}

// startAhead turns a closed line so that it starts at its point nearest to p,
// or so far further on.
func startAhead(line orb.LineString, p orb.Point, aheadM float64) orb.LineString {
	edge, foot := nearestOn(line, p)
	n := len(line) - 1
	aheadM = math.Mod(aheadM, lineLength(line))
	for aheadM > 0 {
		next := line[(edge+1)%n]
		if step := apart(foot, next); step < aheadM {
			aheadM, edge, foot = aheadM-step, (edge+1)%n, next
			continue
		}
		from := pose{heading: poseAlong(foot, next, foot).heading}
		foot = orb.Point{foot[0] + aheadM*from.heading[0], foot[1] + aheadM*from.heading[1]}
		break
	}
	turned := orb.LineString{foot}
	for k := 1; k <= n; k++ {
		if q := line[(edge+k)%n]; apart(q, turned[len(turned)-1]) > repeatM && apart(q, foot) > repeatM {
			turned = append(turned, q)
		}
	}
	return append(turned, foot)
}

// nearestOn finds the edge of a line nearest to a point and the point on it.
func nearestOn(line []orb.Point, p orb.Point) (edge int, foot orb.Point) {
	least := math.Inf(1)
	for i := 1; i < len(line); i++ {
		f := footOn(line[i-1], line[i], p)
		if d := meet(f, p); d < least {
			edge, foot, least = i-1, f, d
		}
	}
	return edge, foot
}

func lineGap(line []orb.Point, p orb.Point) float64 {
	_, foot := nearestOn(line, p)
	return apart(foot, p)
}
