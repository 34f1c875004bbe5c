package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

// usualLimits part the ratio to the target into seven bands: within 10 % and
// 25 % as Figures count them, and half as much again beyond.
var usualLimits = [...]float64{0.5, 0.75, 0.9, 1.1, 1.25, 1.5}

// UsualLimits are the limits of the bands that are drawn when nobody asks for
// others, as ratios to the target.
func UsualLimits() []float64 { return append([]float64(nil), usualLimits[:]...) }

// Band is the ground that gets between two ratios to the target. To is zero
// for the last band, which has no upper limit. Area is in local metres, outer
// rings counter-clockwise.
type Band struct {
	From  float64          `json:"from_ratio"`
	To    float64          `json:"to_ratio,omitempty"`
	Share float64          `json:"share"` // of the ground to be covered
	Area  orb.MultiPolygon `json:"area_m"`
}

// Bands draws the contour bands of a raster over the ground of its mask, from
// the least ratio to the greatest: one band more than limits, which must
// ascend. Together they make up the ground, to a fraction of a cell at corners.
func Bands(r *Raster, m *Mask, target float64, limits []float64) []Band {
	g := newContourGrid(r, m, target)
	bands := make([]Band, len(limits)+1)
	total := 0.0
	for i := range bands {
		lo, hi := math.Inf(-1), math.Inf(1)
		if i > 0 {
			lo, bands[i].From = limits[i-1], limits[i-1]
		}
		if i < len(limits) {
			hi, bands[i].To = limits[i], limits[i]
		}
		bands[i].Area = g.band(lo, hi)
		bands[i].Share = areaOf(bands[i].Area)
		total += bands[i].Share
	}
	for i := range bands {
		if total > 0 {
			bands[i].Share /= total
		}
	}
	return bands
}

// node is a place with its ratio to the target and how far inside the ground
// it lies.
type node struct{ x, y, ratio, inside float64 }

type contourGrid struct {
	cols, rows int
	nodes      []node // at cell centres
}

func newContourGrid(r *Raster, m *Mask, target float64) *contourGrid {
	g := &contourGrid{cols: r.Cols, rows: r.Rows, nodes: make([]node, 0, len(r.Density))}
	for row := range r.Rows {
		for col := range r.Cols {
			at := r.Centre(col, row)
			g.nodes = append(g.nodes, node{at[0], at[1], r.Density[row*r.Cols+col] / target, m.depth(at)})
		}
	}
	return g
}

// depth is how far a point lies inside the ground to be covered, negative when
// it lies outside.
func (m *Mask) depth(at orb.Point) float64 {
	in := false
	least := math.Inf(1)
	for _, ring := range m.plot {
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			if (a[1] <= at[1]) != (b[1] <= at[1]) && at[0] < a[0]+(at[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				in = !in
			}
		}
		least = math.Min(least, DistanceM(at, orb.LineString(ring)))
	}
	if !in {
		least = -least
	}
	for _, s := range m.off {
		least = math.Min(least, DistanceM(at, s.Line)-s.DistanceM)
	}
	return least
}

// band cuts every triangle between three nodes to the band and to the ground,
// and joins the pieces: edges that two pieces share cancel.
func (g *contourGrid) band(lo, hi float64) orb.MultiPolygon {
	b := newBorder()
	piece, spare := make([]node, 0, 8), make([]node, 0, 8)
	for row := 0; row+1 < g.rows; row++ {
		for col := 0; col+1 < g.cols; col++ {
			i := row*g.cols + col
			sw, se, nw, ne := g.nodes[i], g.nodes[i+1], g.nodes[i+g.cols], g.nodes[i+g.cols+1]
			for _, t := range [2][3]node{{sw, se, ne}, {sw, ne, nw}} {
				piece = append(piece[:0], t[:]...)
				piece, spare = clipped(piece, spare, func(n node) float64 { return n.inside })
				piece, spare = clipped(piece, spare, func(n node) float64 { return n.ratio - lo })
				piece, spare = clipped(piece, spare, func(n node) float64 { return hi - n.ratio })
				b.add(piece)
			}
		}
	}
	return b.polygons()
}

// clipped keeps the part of a convex piece where a linear figure is not
// negative (Sutherland and Hodgman 1974); the second slice is scratch.
func clipped(piece, spare []node, of func(node) float64) (kept, scratch []node) {
	kept = spare[:0]
	for i := range piece {
		a, b := piece[i], piece[(i+1)%len(piece)]
		va, vb := of(a), of(b)
		if va >= 0 {
			kept = append(kept, a)
		}
		if (va >= 0) != (vb >= 0) {
			kept = append(kept, crossing(a, b, va, vb))
		}
	}
	return kept, piece
}

// crossing is where a figure is zero between two nodes. The two are put in
// order first, so that the triangles on both sides find the very same point.
func crossing(a, b node, va, vb float64) node {
	if a.x > b.x || a.x == b.x && a.y > b.y {
		a, b, va, vb = b, a, vb, va
	}
	f := va / (va - vb)
	if math.IsInf(va, 0) || math.IsInf(vb, 0) {
		f = 0.5
	}
	return node{a.x + f*(b.x-a.x), a.y + f*(b.y-a.y), a.ratio + f*(b.ratio-a.ratio), a.inside + f*(b.inside-a.inside)}
}
