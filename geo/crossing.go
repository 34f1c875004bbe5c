package geo

import (
	"fmt"
	"slices"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/peterstace/simplefeatures/geom"
	"github.com/peterstace/simplefeatures/rtree"
)

// checkSimple refuses rings that cross or touch themselves, rings that cross
// each other, and holes outside the outer ring or inside one another. Edges
// are straight in longitude and latitude (RFC 7946 section 3.1.1).
func checkSimple(rings []givenRing) error {
	lines := make([]geom.LineString, len(rings))
	for i, ring := range rings {
		flat := make([]float64, 0, 2*len(ring.points)+2)
		for _, p := range ring.points {
			flat = append(flat, p[0], p[1])
		}
		flat = append(flat, ring.points[0][0], ring.points[0][1])
		lines[i] = geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	broken := geom.NewPolygon(lines).Validate()
	if broken == nil {
		return nil
	}
	edges := edgesOf(rings)
	if found := firstCrossing(rings, edges); found != nil {
		return found
	}
	if found := firstMisplacedHole(rings); found != nil {
		return found
	}
	return fault.New("not_simple", "the outline is not one simple area: "+broken.Error(),
		"draw the outline again without touching or overlapping edges")
}

// edge runs between two neighbouring corners of a ring.
type edge struct {
	ring, from, to int // indices from zero
	a, b           orb.Point
}

func edgesOf(rings []givenRing) []edge {
	var edges []edge
	for r, ring := range rings {
		n := len(ring.points)
		for i, p := range ring.points {
			next := (i + 1) % n
			edges = append(edges, edge{r, i, next, p, ring.points[next]})
		}
	}
	return edges
}

func (e edge) box() rtree.Box {
	b := orb.MultiPoint{e.a, e.b}.Bound()
	return rtree.Box{MinX: b.Min[0], MinY: b.Min[1], MaxX: b.Max[0], MaxY: b.Max[1]}
}

// firstCrossing finds the pair of edges, first in the order of the outline,
// that must not meet but do. Holes may touch another ring in one point.
func firstCrossing(rings []givenRing, edges []edge) *fault.Error {
	items := make([]rtree.BulkItem, len(edges))
	for i, e := range edges {
		items[i] = rtree.BulkItem{Box: e.box(), RecordID: i}
	}
	tree := rtree.BulkLoad(items)
	touched := map[[2]int]orb.Point{}
	for i, e := range edges {
		worst, where := len(edges), orb.Point{}
		_ = tree.RangeSearch(e.box(), func(j int) error {
			if j <= i || j >= worst {
				return nil
			}
			if at, ok := forbiddenMeeting(e, edges[j], touched); ok {
				worst, where = j, at
			}
			return nil
		})
		if worst < len(edges) {
			return crossingFault(rings, e, edges[worst], where)
		}
	}
	return nil
}

// forbiddenMeeting says where two edges meet against the rules. It notes in
// touched where two rings touch, because they may do so once.
func forbiddenMeeting(e, f edge, touched map[[2]int]orb.Point) (at orb.Point, ok bool) {
	if e.ring == f.ring {
		if e.to == f.from || f.to == e.from {
			return foldedBack(e, f)
		}
		at, _, ok = meet(e, f)
		return at, ok
	}
	at, proper, ok := meet(e, f)
	if !ok || proper {
		return at, ok
	}
	pair := [2]int{e.ring, f.ring}
	if before, seen := touched[pair]; seen && before != at {
		return at, true
	}
	touched[pair] = at
	return orb.Point{}, false
}

// foldedBack reports a corner of no width, where the line runs back over
// itself. In a triangle both ends of two edges are neighbours.
func foldedBack(e, f edge) (at orb.Point, ok bool) {
	if f.to == e.from {
		e, f = f, e
	}
	folded := side(e.a, e.b, f.b) == 0 &&
		(f.b[0]-e.b[0])*(e.a[0]-e.b[0])+(f.b[1]-e.b[1])*(e.a[1]-e.b[1]) > 0
	return e.b, folded
}

// meet finds a common point of two edges. It is proper when they cross
// between their ends.
func meet(e, f edge) (at orb.Point, proper, ok bool) {
	fa, fb := side(e.a, e.b, f.a), side(e.a, e.b, f.b)
	ea, eb := side(f.a, f.b, e.a), side(f.a, f.b, e.b)
	if opposite(fa, fb) && opposite(ea, eb) {
		t := ea / (ea - eb)
		return orb.Point{e.a[0] + t*(e.b[0]-e.a[0]), e.a[1] + t*(e.b[1]-e.a[1])}, true, true
	}
	switch {
	case fa == 0 && e.spans(f.a):
		return f.a, false, true
	case fb == 0 && e.spans(f.b):
		return f.b, false, true
	case ea == 0 && f.spans(e.a):
		return e.a, false, true
	case eb == 0 && f.spans(e.b):
		return e.b, false, true
	}
	return orb.Point{}, false, false
}

// side is positive when c lies to the left of the line from a to b.
func side(a, b, c orb.Point) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

func opposite(x, y float64) bool { return x > 0 && y < 0 || x < 0 && y > 0 }

// spans tells whether a point known to be on the edge's line is between its
// ends.
func (e edge) spans(p orb.Point) bool {
	return orb.MultiPoint{e.a, e.b}.Bound().Contains(p)
}

func crossingFault(rings []givenRing, e, f edge, at orb.Point) *fault.Error {
	first, second := rings[e.ring], rings[f.ring]
	found := fault.New("self_crossing",
		fmt.Sprintf("the edge from corner %d to %d meets the edge from corner %d to %d",
			first.corner[e.from], first.corner[e.to], second.corner[f.from], second.corner[f.to]),
		"move one of these corners, or put the corners in the order in which you would walk past them")
	if e.ring != f.ring {
		found.Code = "hole_crosses"
		found.What = fmt.Sprintf("hole %d crosses the edge of the plot", f.ring)
		found.Remedy = "move the hole inside the plot, or draw the edge of the plot around it"
		if e.ring > 0 {
			found.Code = "holes_overlap"
			found.What = fmt.Sprintf("hole %d overlaps hole %d", f.ring, e.ring)
			found.Remedy = "join the two holes into one, or move them apart"
		}
		return found.At(fault.Place{Ring: f.ring + 1, Vertex: second.corner[f.from], LonLat: lonLat(at)})
	}
	named := []int{first.corner[e.from], first.corner[e.to], second.corner[f.from], second.corner[f.to]}
	slices.Sort(named)
	return found.At(fault.Place{Ring: e.ring + 1, Vertex: first.corner[e.from], Corners: slices.Compact(named), LonLat: lonLat(at)})
}

// firstMisplacedHole looks, among rings that do not cross, for holes outside
// the outer ring and for holes within holes.
func firstMisplacedHole(rings []givenRing) *fault.Error {
	for i := 1; i < len(rings); i++ {
		place := fault.Place{Ring: i + 1, Vertex: rings[i].corner[0], LonLat: lonLat(rings[i].points[0])}
		if !inside(rings[i], rings[0]) {
			return fault.New("hole_outside", fmt.Sprintf("hole %d lies outside the plot", i),
				"move the hole inside the plot, or make it a plot of its own").At(place)
		}
		for j := 1; j < len(rings); j++ {
			if i != j && inside(rings[i], rings[j]) {
				return fault.New("holes_overlap", fmt.Sprintf("hole %d lies inside hole %d", i, j),
					"remove the inner hole").At(place)
			}
		}
	}
	return nil
}

// inside tells whether a ring that does not cross another lies within it: all
// its corners do, counting those on the edge.
func inside(inner, outer givenRing) bool {
	closed := append(outer.points[:len(outer.points):len(outer.points)], outer.points[0])
	for _, p := range inner.points {
		if !planar.RingContains(closed, p) {
			return false
		}
	}
	return true
}

func lonLat(p orb.Point) []float64 { return []float64{wrapped(p[0]), p[1]} }
