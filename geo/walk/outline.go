package walk

import (
	"fmt"
	"math"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"
)

const (
	// areaShare of the deviation is the most by which drawing a simpler line
	// may move the area.
	areaShare = 0.1
	// coarsestSigmas is the first tolerance of simplifying, in standard
	// deviations of a fix: detail below one of these is the receiver's, not the
	// plot's. It goes down by toleranceStep to finest of the first.
	coarsestSigmas, toleranceStep, finest = 1.0, 0.8, 0.1
	leastToleranceM                       = 0.05 // a line finer than that is not walked
	// mostCorners keeps the outline drawable and the search for crossings short.
	mostCorners = 2000
)

// outlined draws the simple ring that stands for the laps: the coarsest one
// whose area is within a tenth of the deviation of what all readings give. It
// is then scaled about its middle to the area of the budget, so that drawing
// moves the area not at all; that moves the line by a decimetre or so. When no
// tolerance does, shiftM2 is by how much the best one was off, to be counted
// as a further error.
func outlined(laps []lap, b budget, frame geo.Frame) (outline orb.Ring, shiftM2 float64, err error) {
	if b.readM2 <= b.deviationM2 {
		if err := checkLobes(laps[0], b, frame); err != nil {
			return nil, 0, err
		}
		return nil, 0, noArea(b)
	}
	line := fromCorner(meanLine(laps))
	coarsestM := math.Max(coarsestSigmas*b.sigmaM, leastToleranceM)
	for len(simplified(line, coarsestM)) > mostCorners {
		coarsestM *= 2
	}
	var best orb.Ring
	missM2 := math.Inf(1)
	for toleranceM := coarsestM; toleranceM >= finest*coarsestM; toleranceM *= toleranceStep {
		ring := simplified(line, toleranceM)
		if len(ring) < 4 || len(ring) > mostCorners {
			continue
		}
		ring, knot := untied(ring)
		if knot.areaM2 > b.deviationM2 {
			err = crossing(knot, math.Abs(planar.Area(ring)), frame)
			continue
		}
		if miss := math.Abs(math.Abs(planar.Area(ring)) - b.readM2); miss < missM2 {
			best, missM2 = ring, miss
		}
		if missM2 <= areaShare*b.deviationM2 {
			return scaledTo(best, b.areaM2), 0, nil
		}
	}
	switch {
	case best == nil && err != nil:
		return nil, 0, err
	case best == nil:
		return nil, 0, noArea(b)
	}
	return scaledTo(best, b.areaM2), missM2, nil
}

func simplified(ring orb.Ring, toleranceM float64) orb.Ring {
	return simplify.DouglasPeucker(toleranceM).Ring(ring.Clone())
}

// checkLobes tells a figure of eight, whose two halves cancel, from a walk
// round nothing.
func checkLobes(l lap, b budget, frame geo.Frame) error {
	ring := make(orb.Ring, 0, len(l)+1)
	for _, r := range l {
		ring = append(ring, r.at)
	}
	line := fromCorner(append(ring, ring[0]))
	left, knot := untied(simplified(line, b.sigmaM))
	if knot.areaM2 > b.deviationM2 {
		return crossing(knot, math.Abs(planar.Area(left)), frame)
	}
	return nil
}

func crossing(k knot, leftM2 float64, frame geo.Frame) error {
	return fault.New("self_crossing",
		fmt.Sprintf("the walk crosses its own line and makes two loops, one of %.0f m2 and one of %.0f m2", leftM2, k.areaM2),
		"walk round one plot at a time without crossing your line; if the plot is very narrow here, tape it").
		At(fault.Place{LonLat: lonLat(frame, k.at)})
}

func noArea(b budget) error {
	return fault.New("no_area",
		fmt.Sprintf("the walk encloses %.0f m2 give or take %.0f m2, which may be nothing", b.readM2, b.deviationM2),
		"walk right round the edge; for so small a plot use a better receiver, several laps, or a tape")
}

// scaledTo brings a ring to an area without changing its shape.
func scaledTo(ring orb.Ring, areaM2 float64) orb.Ring {
	middle, area := planar.CentroidArea(ring)
	factor := math.Sqrt(areaM2 / math.Abs(area))
	out := make(orb.Ring, len(ring))
	for i, p := range ring {
		out[i] = orb.Point{middle[0] + (p[0]-middle[0])*factor, middle[1] + (p[1]-middle[1])*factor}
	}
	return out
}

// fromCorner turns a closed ring so that it begins at the point furthest from
// its middle. Simplifying keeps the first point, and the start of a walk is
// seldom a corner.
func fromCorner(ring orb.Ring) orb.Ring {
	middle := ring.Bound().Center()
	at := 0
	for i, p := range ring {
		if apart(p, middle) > apart(ring[at], middle) {
			at = i
		}
	}
	open := ring[:len(ring)-1]
	at %= len(open)
	out := append(append(make(orb.Ring, 0, len(ring)), open[at:]...), open[:at]...)
	return append(out, out[0])
}
