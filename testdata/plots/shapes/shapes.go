// Package shapes draws invented plots of a stated area in local metres. The
// benchmark set of plots and the made-up walks are built from it; nothing that
// ships imports it. Same generator state, same outline.
package shapes

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/peterstace/simplefeatures/geom"
)

// SquareMetresPerAcre follows from the international foot of 0.3048 m.
const SquareMetresPerAcre = 4046.8564224

// The least and the most corners of an outer ring: fewer is not what a person
// walks, more is finer than a receiver sees.
const (
	MinCorners = 12
	MaxCorners = 60
)

// Kind is one way for a plot to lie. Base gives the corners of its skeleton
// within about one unit; Holes is how many clearings are cut out of it.
type Kind struct {
	Name  string
	Holes int
	Base  func(rng *rand.Rand) orb.Ring
}

// Kinds are the ten shapes of every size class, in a fixed order.
func Kinds() []Kind {
	return []Kind{
		{"star", 0, star},
		{"star with a hole", 1, star},
		{"strip", 0, strip},
		{"bent strip", 0, bentStrip},
		{"ell", 0, ell},
		{"ell with a hole", 1, ell},
		{"horseshoe", 0, horseshoe},
		{"round", 0, round},
		{"round with three holes", 3, round},
		{"wedge", 0, wedge},
	}
}

// attempts bounds the redrawing of an outline that crosses itself or leaves no
// room for its holes.
const attempts = 200

// Draw makes one plot of the kind, areaM2 square metres large with its holes
// subtracted, centred on the origin and turned at random. Rings are closed,
// the outer one counter-clockwise, holes clockwise.
func Draw(kind Kind, areaM2 float64, rng *rand.Rand) (orb.Polygon, error) {
	for range attempts {
		outer := turned(wobbled(scaled(kind.Base(rng), areaM2), rng), rng.Float64()*2*math.Pi)
		polygon, ok := withHoles(outer, kind.Holes, rng)
		if ok && simple(polygon) {
			return exactly(polygon, areaM2), nil
		}
	}
	return nil, fmt.Errorf("no valid %s of %.0f m2 in %d attempts", kind.Name, areaM2, attempts)
}

// exactly scales a polygon about the origin so that its area is areaM2.
func exactly(polygon orb.Polygon, areaM2 float64) orb.Polygon {
	factor := math.Sqrt(areaM2 / planar.Area(polygon))
	for _, ring := range polygon {
		for i, p := range ring {
			ring[i] = orb.Point{p[0] * factor, p[1] * factor}
		}
	}
	return polygon
}

// scaled brings a skeleton to its size and its middle to the origin, so that
// what is added later can be in metres.
func scaled(ring orb.Ring, areaM2 float64) orb.Ring {
	middle, area := planar.CentroidArea(ring)
	factor := math.Sqrt(areaM2 / math.Abs(area))
	out := make(orb.Ring, 0, len(ring)+1)
	for _, p := range ring {
		out = append(out, orb.Point{(p[0] - middle[0]) * factor, (p[1] - middle[1]) * factor})
	}
	if area < 0 {
		out.Reverse()
	}
	return out
}

// wobbled cuts the edges into pieces and shifts the cuts sideways, the way an
// edge along trees runs: up to a tenth of the piece, at most 1.5 m.
func wobbled(ring orb.Ring, rng *rand.Rand) orb.Ring {
	want := MinCorners + rng.IntN(MaxCorners-MinCorners+1)
	step := planar.Length(ring) / float64(want)
	sway := math.Min(0.1*step, 1.5)
	var out orb.Ring
	for i := 0; i+1 < len(ring); i++ {
		a, b := ring[i], ring[i+1]
		length := planar.Distance(a, b)
		pieces := max(1, int(length/step))
		for k := range pieces {
			along := float64(k) / float64(pieces)
			side := sway * (2*rng.Float64() - 1)
			out = append(out, orb.Point{
				a[0] + (b[0]-a[0])*along - (b[1]-a[1])/length*side,
				a[1] + (b[1]-a[1])*along + (b[0]-a[0])/length*side,
			})
		}
	}
	out = padded(out)
	return append(out, out[0])
}

// padded splits the longest edge until an open ring has MinCorners corners.
func padded(open orb.Ring) orb.Ring {
	for len(open) < MinCorners {
		longest, at := 0.0, 0
		for i, p := range open {
			if d := planar.Distance(p, open[(i+1)%len(open)]); d > longest {
				longest, at = d, i
			}
		}
		a, b := open[at], open[(at+1)%len(open)]
		bulge := 0.02 // of the edge, so that the new corner is one
		middle := orb.Point{(a[0]+b[0])/2 + (b[1]-a[1])*bulge, (a[1]+b[1])/2 - (b[0]-a[0])*bulge}
		open = append(open[:at+1], append(orb.Ring{middle}, open[at+1:]...)...)
	}
	return open
}

func turned(ring orb.Ring, angle float64) orb.Ring {
	sin, cos := math.Sincos(angle)
	for i, p := range ring {
		ring[i] = orb.Point{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos}
	}
	return ring
}

// holeClearanceM is kept between a hole and any edge.
const holeClearanceM = 1.5

// withHoles cuts small round clearings (a tree, a stump, a feeder) of 1 to 3 m
// radius where there is room.
func withHoles(outer orb.Ring, count int, rng *rand.Rand) (orb.Polygon, bool) {
	polygon := orb.Polygon{outer}
	bound := outer.Bound()
	for tries := 0; len(polygon) <= count; tries++ {
		if tries == attempts {
			return nil, false
		}
		radius := 1 + 2*rng.Float64()
		at := orb.Point{
			bound.Min[0] + rng.Float64()*(bound.Max[0]-bound.Min[0]),
			bound.Min[1] + rng.Float64()*(bound.Max[1]-bound.Min[1]),
		}
		if planar.PolygonContains(polygon, at) && clearance(polygon, at) > radius+holeClearanceM {
			polygon = append(polygon, clearing(at, radius, rng))
		}
	}
	return polygon, true
}

func clearance(polygon orb.Polygon, at orb.Point) float64 {
	least := math.Inf(1)
	for _, ring := range polygon {
		least = math.Min(least, planar.DistanceFrom(orb.LineString(ring), at))
	}
	return least
}

// clearing is clockwise, as holes are.
func clearing(at orb.Point, radius float64, rng *rand.Rand) orb.Ring {
	corners := 8 + rng.IntN(5)
	ring := make(orb.Ring, 0, corners+1)
	for i := range corners {
		sin, cos := math.Sincos(-2 * math.Pi * float64(i) / float64(corners))
		r := radius * (0.85 + 0.15*rng.Float64())
		ring = append(ring, orb.Point{at[0] + r*cos, at[1] + r*sin})
	}
	return append(ring, ring[0])
}

func simple(polygon orb.Polygon) bool {
	rings := make([]geom.LineString, len(polygon))
	for i, ring := range polygon {
		flat := make([]float64, 0, 2*len(ring))
		for _, p := range ring {
			flat = append(flat, p[0], p[1])
		}
		rings[i] = geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	return geom.NewPolygon(rings).Validate() == nil
}
