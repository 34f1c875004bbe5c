package geo

import (
	"cmp"
	"math"
	"slices"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// Split cuts the plot along a line of degrees and returns the pieces, largest
// first. What the line only enters or leaves by one end is not cut, nor is a
// hole cut that only one stretch of it reaches. Corners that are not on the
// cut stay as they are. The error is a *fault.Error whose code is no_cut,
// cut_crosses or cut_unclear, or one of NewPlot's.
func (p Plot) Split(line orb.LineString) ([]Plot, error) {
	line, err := p.cutLine(line)
	if err != nil {
		return nil, err
	}
	c := newCut(p.Polygon)
	c.addLine(line)
	for c.dropLoose() {
	}
	polygons := c.pieces()
	if len(polygons) < 2 {
		return nil, fault.New("no_cut", "the line does not cut the plot in two", "begin and end the line outside the plot's edge")
	}
	return p.asPlots(polygons)
}

// cutLine checks the line and brings its longitudes near the plot's.
func (p Plot) cutLine(line orb.LineString) (orb.LineString, error) {
	if len(p.Polygon) == 0 {
		return nil, noOutline()
	}
	middle := p.Polygon[0].Bound().Center()
	var near orb.LineString
	for i, at := range line {
		if err := CheckLonLat(at); err != nil {
			return nil, err.At(fault.Place{Vertex: i + 1, Field: "line"})
		}
		at[0] += 360 * math.Round((middle[0]-at[0])/360)
		if n := len(near); n == 0 || near[n-1] != at {
			near = append(near, at)
		}
	}
	if len(near) < 2 {
		return nil, fault.New("no_cut", "the line has no length", "draw it across the plot").In("line")
	}
	for i := 1; i < len(near); i++ {
		for j := i + 2; j < len(near); j++ {
			if at, _, meets := meet(edge{a: near[i-1], b: near[i]}, edge{a: near[j-1], b: near[j]}); meets {
				return nil, fault.New("cut_crosses", "the line crosses itself", "draw it without a loop").
					At(fault.Place{Vertex: j, LonLat: lonLat(at), Field: "line"})
			}
		}
	}
	return near, nil
}

// asPlots checks the pieces: each is a plot, and together they are the whole.
func (p Plot) asPlots(polygons orb.MultiPolygon) ([]Plot, error) {
	plots, err := SplitPlots(p.Name, polygons)
	if err != nil {
		if f, ok := fault.From(err); ok && f.Code == "too_small" {
			return nil, f
		}
		return nil, unclearCut()
	}
	sum := 0.0
	for _, piece := range plots {
		sum += piece.AreaM2()
	}
	// Corners on the cut are rounded to about a nanometre.
	if math.Abs(sum-p.AreaM2()) > 1e-6*p.AreaM2() {
		return nil, unclearCut()
	}
	slices.SortStableFunc(plots, func(a, b Plot) int { return cmp.Compare(b.AreaM2(), a.AreaM2()) })
	return plots, nil
}

func unclearCut() *fault.Error {
	return fault.New("cut_unclear", "the line runs along an edge or through a corner", "draw it a little to one side").In("line")
}

// cut is the plot's edges and the stretches of the line within it, as a graph
// of directed edges. The plot lies to the left of a ring's edge; a stretch
// runs both ways.
type cut struct {
	polygon orb.Polygon
	next    map[orb.Point][]orb.Point
	stretch map[[2]orb.Point]bool
	added   map[orb.Point]bool // nodes that the plot did not have
}

func newCut(polygon orb.Polygon) *cut {
	c := &cut{polygon: polygon, next: map[orb.Point][]orb.Point{}, stretch: map[[2]orb.Point]bool{}, added: map[orb.Point]bool{}}
	for _, ring := range polygon {
		for i := 1; i < len(ring); i++ {
			c.join(ring[i-1], ring[i])
		}
	}
	return c
}

func (c *cut) join(a, b orb.Point) { c.next[a] = append(c.next[a], b) }

func (c *cut) part(a, b orb.Point) {
	c.next[a] = slices.DeleteFunc(c.next[a], func(p orb.Point) bool { return p == b })
}

// addLine puts a node wherever the line meets an edge, and joins the nodes of
// the line between which it runs inside the plot.
func (c *cut) addLine(line orb.LineString) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		nodes := []orb.Point{a, b}
		for _, e := range c.ringEdges() {
			if at, _, meets := meet(edge{a: a, b: b}, e); meets {
				at = snapped(at, e, a, b)
				c.putOn(e, at)
				nodes = append(nodes, at)
			}
		}
		slices.SortFunc(nodes, func(p, q orb.Point) int {
			return cmp.Compare(planar.DistanceSquared(a, p), planar.DistanceSquared(a, q))
		})
		nodes = slices.Compact(nodes)
		for k := 1; k < len(nodes); k++ {
			c.addStretch(nodes[k-1], nodes[k])
		}
	}
}

// ringEdges are the edges of the rings as they are by now, in a fixed order.
func (c *cut) ringEdges() []edge {
	var edges []edge
	for from, all := range c.next {
		for _, to := range all {
			if !c.stretch[[2]orb.Point{from, to}] {
				edges = append(edges, edge{a: from, b: to})
			}
		}
	}
	slices.SortFunc(edges, func(e, f edge) int { return slices.Compare(append(e.a[:], e.b[:]...), append(f.a[:], f.b[:]...)) })
	return edges
}

// snapped takes a corner or an end of the line for a meeting within sameDeg of
// it, so that no edge gets shorter than a corner may be apart.
func snapped(at orb.Point, e edge, a, b orb.Point) orb.Point {
	for _, p := range []orb.Point{e.a, e.b, a, b} {
		if math.Abs(p[0]-at[0]) < sameDeg && math.Abs(p[1]-at[1]) < sameDeg {
			return p
		}
	}
	return at
}

// putOn makes a node on an edge.
func (c *cut) putOn(e edge, at orb.Point) {
	if at == e.a || at == e.b {
		return
	}
	c.added[at] = true
	c.part(e.a, e.b)
	c.join(e.a, at)
	c.join(at, e.b)
}

// addStretch joins two nodes both ways when the plot lies on both sides.
func (c *cut) addStretch(a, b orb.Point) {
	middle := orb.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	if a == b || !planar.PolygonContains(c.polygon, middle) || slices.Contains(c.next[a], b) || slices.Contains(c.next[b], a) {
		return
	}
	c.join(a, b)
	c.join(b, a)
	c.stretch[[2]orb.Point{a, b}], c.stretch[[2]orb.Point{b, a}] = true, true
}

// dropLoose removes stretches that have the same piece on both sides, and
// tells whether there were any.
func (c *cut) dropLoose() bool {
	dropped := false
	for _, face := range c.faces() {
		sides := map[[2]orb.Point]bool{}
		for i := 1; i < len(face); i++ {
			sides[[2]orb.Point{face[i-1], face[i]}] = true
		}
		for s := range sides {
			if back := [2]orb.Point{s[1], s[0]}; c.stretch[s] && sides[back] {
				c.part(s[0], s[1])
				c.part(s[1], s[0])
				delete(c.stretch, s)
				delete(c.stretch, back)
				dropped = true
			}
		}
	}
	return dropped
}

// faces walks round every piece with the piece on the left. A face closes.
func (c *cut) faces() []orb.Ring {
	starts := make([]orb.Point, 0, len(c.next))
	for p := range c.next {
		starts = append(starts, p)
	}
	slices.SortFunc(starts, func(p, q orb.Point) int { return slices.Compare(p[:], q[:]) })
	used := map[[2]orb.Point]bool{}
	var faces []orb.Ring
	for _, start := range starts {
		for _, to := range c.next[start] {
			if !used[[2]orb.Point{start, to}] {
				faces = append(faces, c.walk(start, to, used))
			}
		}
	}
	return faces
}

func (c *cut) walk(from, to orb.Point, used map[[2]orb.Point]bool) orb.Ring {
	face := orb.Ring{from}
	for !used[[2]orb.Point{from, to}] {
		used[[2]orb.Point{from, to}] = true
		face = append(face, to)
		from, to = to, c.leftmost(from, to)
	}
	return face
}

// leftmost is the way on from b, coming from a, that keeps the piece on the
// left: the first one clockwise from the way back.
func (c *cut) leftmost(a, b orb.Point) orb.Point {
	back := math.Atan2(a[1]-b[1], a[0]-b[0])
	best, least := a, math.Inf(1)
	for _, p := range c.next[b] {
		turn := math.Mod(back-math.Atan2(p[1]-b[1], p[0]-b[0])+4*math.Pi, 2*math.Pi)
		if p == a {
			turn = 2 * math.Pi
		}
		if turn < least {
			best, least = p, turn
		}
	}
	return best
}

// pieces are the faces as polygons: those that run counter-clockwise, each
// with the holes that lie in it.
func (c *cut) pieces() orb.MultiPolygon {
	var out orb.MultiPolygon
	var holes []orb.Ring
	for _, face := range c.faces() {
		if face.Orientation() == orb.CCW {
			out = append(out, orb.Polygon{face})
		} else {
			holes = append(holes, face)
		}
	}
	for _, hole := range holes {
		for i := range out {
			if planar.RingContains(out[i][0], hole[0]) {
				out[i] = append(out[i], hole)
				break
			}
		}
	}
	for _, polygon := range out {
		for i := range polygon {
			polygon[i] = c.withoutMarks(polygon[i])
		}
	}
	return out
}

// withoutMarks leaves out the nodes at which nothing was cut in the end.
func (c *cut) withoutMarks(ring orb.Ring) orb.Ring {
	ends := map[orb.Point]bool{}
	for s := range c.stretch {
		ends[s[0]] = true
	}
	return slices.DeleteFunc(ring, func(p orb.Point) bool { return c.added[p] && !ends[p] })
}
