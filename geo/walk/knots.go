package walk

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// knot is the largest loop that was cut off where a line crosses itself.
type knot struct {
	at     orb.Point
	areaM2 float64
}

func (k knot) orLarger(at orb.Point, areaM2 float64) knot {
	if areaM2 > k.areaM2 {
		return knot{at, areaM2}
	}
	return k
}

// untied removes the loops that errors tie into a closed ring: wherever a new
// edge crosses an earlier one, the smaller of the two rings made there goes.
// What is returned is closed and does not cross itself.
func untied(ring orb.Ring) (orb.Ring, knot) {
	var largest knot
	kept := orb.Ring{ring[0]}
	for i := 1; i < len(ring); i++ {
		for {
			k, at, crossed := firstCrossed(kept, ring[i], i == len(ring)-1)
			if !crossed {
				break
			}
			loop := append(slices.Clone(kept[k+1:]), at)
			rest := append(append(slices.Clone(kept[:k+1]), at), ring[i:]...)
			loopM2, restM2 := enclosed(loop), enclosed(rest)
			if loopM2 > restM2 {
				return append(loop, loop[0]), largest.orLarger(at, restM2)
			}
			largest = largest.orLarger(at, loopM2)
			kept = append(kept[:k+1], at)
		}
		kept = append(kept, ring[i])
	}
	return kept, largest
}

// firstCrossed finds the edge of a line, kept[k] to kept[k+1], that the edge
// from its last point to next crosses first. The closing edge ends at the
// first point, where it meets the first edge by right.
func firstCrossed(kept orb.Ring, next orb.Point, closes bool) (k int, at orb.Point, crossed bool) {
	last, nearest := kept[len(kept)-1], math.Inf(1)
	first := 0
	if closes {
		first = 1
	}
	for i := first; i+2 < len(kept); i++ {
		along, ok := meeting(last, next, kept[i], kept[i+1])
		if ok && along < nearest {
			nearest, k, crossed = along, i, true
		}
	}
	if !crossed {
		return 0, at, false
	}
	way := minus(next, last)
	return k, orb.Point{last[0] + way[0]*nearest, last[1] + way[1]*nearest}, true
}

// meeting is how far along a to b, as a share, the edge c to d is crossed
// between its ends.
func meeting(a, b, c, d orb.Point) (along float64, ok bool) {
	ab, cd, ac := minus(b, a), minus(d, c), minus(c, a)
	across := cross(ab, cd)
	if across == 0 {
		return 0, false
	}
	along = cross(ac, cd) / across
	other := cross(ac, ab) / across
	return along, along > 1e-12 && along <= 1 && other >= 0 && other <= 1
}

// enclosed is the area of an open or closed ring without its sign.
func enclosed(ring orb.Ring) float64 {
	closed := append(slices.Clone(ring), ring[0])
	return math.Abs(planar.Area(closed))
}
