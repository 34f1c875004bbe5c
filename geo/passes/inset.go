package passes

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"

	"evenfall/geo/fault"
)

// Ground is a plot in local metres made ready for laying passes: outer ring
// counter-clockwise, holes clockwise, repeated points removed, and thinned if
// it has more corners than any driver could follow. It does not change once made, so that many candidates can share it.
type Ground struct {
	polygon orb.Polygon
	areaM2  float64
}

// NewGround checks a plot in local metres and makes it ready.
func NewGround(polygon orb.Polygon) (*Ground, error) {
	if len(polygon) == 0 {
		return nil, fault.New("empty", "the plot has no outline", "draw or upload one")
	}
	g := &Ground{polygon: make(orb.Polygon, 0, len(polygon))}
	for i, ring := range polygon {
		clean, err := tidyRing(ring, i == 0)
		if err != nil {
			return nil, err.At(fault.Place{Ring: i + 1})
		}
		g.polygon = append(g.polygon, clean)
		g.areaM2 += signedArea(clean)
	}
	if g.areaM2 <= 0 {
		return nil, fault.New("no_area", "the holes leave nothing of the plot", "check the holes")
	}
	g.polygon = thinned(g.polygon)
	return g, nil
}

// An outline of more corners than mostCorners is drawn with fewer, as many as
// needed but none further off than coarsestM, metres: a tenth of a usual
// steering error. FinestM is where that starts. A walked outline has 20 to 200.
const (
	mostCorners = 400
	finestM     = 0.004
	coarsestM   = 0.032
)

// thinned draws a polygon with fewer corners if it has very many. A drawing
// that is not valid, because a thin spit crossed itself, is not taken.
func thinned(polygon orb.Polygon) orb.Polygon {
	best := polygon
	for strayM := finestM; corners(best) > mostCorners && strayM <= coarsestM; strayM *= 2 {
		drawn := make(orb.Polygon, len(polygon))
		for i, ring := range polygon {
			if drawn[i] = simplify.DouglasPeucker(strayM).Ring(ring.Clone()); len(drawn[i]) < 4 {
				drawn[i] = ring
			}
		}
		if libraryPolygon(drawn).Validate() == nil {
			best = drawn
		}
	}
	return best
}

func corners(polygon orb.Polygon) int {
	n := 0
	for _, ring := range polygon {
		n += len(ring) - 1
	}
	return n
}

// AreaM2 is the plot's area in the plane, holes subtracted, square metres.
func (g *Ground) AreaM2() float64 { return g.areaM2 }

// repeatM is how close two corners are taken for one, metres; a tenth of a
// millimetre is beyond any survey.
const repeatM = 1e-4

func tidyRing(ring orb.Ring, outer bool) (orb.Ring, *fault.Error) {
	clean := make(orb.Ring, 0, len(ring)+1)
	for i, p := range ring {
		if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0]+p[1], 0) {
			return nil, fault.New("not_finite", fmt.Sprintf("corner %d is not a number", i+1), "export the outline again")
		}
		if len(clean) == 0 || apart(p, clean[len(clean)-1]) > repeatM {
			clean = append(clean, p)
		}
	}
	for len(clean) > 1 && apart(clean[0], clean[len(clean)-1]) <= repeatM {
		clean = clean[:len(clean)-1]
	}
	if len(clean) < 3 {
		return nil, fault.New("too_few_corners", "a ring needs at least three corners apart from each other", "add corners")
	}
	clean = append(clean, clean[0])
	if (signedArea(clean) > 0) != outer {
		clean.Reverse()
	}
	return clean, nil
}

// Insets erodes the ground by each depth in metres, ascending: the points at
// least that far from every edge, as polygons. About corners that poke into
// the ground the true edge is an arc; it is drawn by chords that stray less
// than sagittaM to the inside of the arc. Each depth starts from the one
// before, which makes a set of them cheap.
func (g *Ground) Insets(depthsM []float64) ([]orb.MultiPolygon, error) {
	f := newFront(g.polygon, 0, 0)
	insets := make([]orb.MultiPolygon, len(depthsM))
	for i, depth := range depthsM {
		if !(depth >= f.depth) {
			return nil, fault.New("range", fmt.Sprintf("inset %d of %g m is not at least the one before it", i+1, depth),
				"give depths from 0 upward, ascending").In("depths_m")
		}
		drawn, err := f.reach(depth, 0)
		if err != nil {
			return nil, err
		}
		insets[i] = drawn
	}
	return insets, nil
}
