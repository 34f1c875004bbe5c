package coverage

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// scansPerCell is how many lines across a cell find how much of it lies in the
// plot; along each line the share is exact. Eight keep the area of a quarter
// acre on half-metre cells within 0.1 %.
const scansPerCell = 8

// Mask says how much of each cell of a raster is ground to be covered. Shares
// rather than cell centres, so that the figures change smoothly when a corner
// is dragged and a coarse raster is enough. Made once per plot; scoring a plan
// then reads only the cells of the plot.
type Mask struct {
	cols, rows int
	originM    orb.Point
	cellM      float64
	share      []float64
	whole      []span    // stretches of cells that lie wholly in the plot
	part       []int     // cells on the boundary
	partShare  []float64 // and their shares
	cells      float64   // sum of the shares
	held       window    // all cells with a share lie in it
	strips     [][]float64
	plot       orb.Polygon
	off        []Strip
}

// Strip is ground that material must stay off: all within DistanceM of Line.
type Strip struct {
	Line      orb.LineString
	DistanceM float64
}

// NewMask is the mask of a polygon with holes, in local metres, on the cells of
// a raster. Ground within a strip is not to be covered: it counts as outside,
// and Figures.KeepOffShare has a figure for each strip, in order.
func NewMask(r *Raster, plot orb.Polygon, strips ...Strip) *Mask {
	m := &Mask{cols: r.Cols, rows: r.Rows, originM: r.OriginM, cellM: r.CellM, share: make([]float64, r.Cols*r.Rows), plot: plot, off: strips}
	m.scan(plot)
	for _, s := range strips {
		near := m.near(s)
		for i, v := range near {
			m.share[i] *= 1 - v
		}
		m.strips = append(m.strips, near)
	}
	m.index()
	return m
}

// AreaM2 is the ground to be covered as the mask sees it.
func (m *Mask) AreaM2() float64 { return m.cells * m.cellM * m.cellM }

// Share is how much of a cell is ground to be covered, 0 to 1.
func (m *Mask) Share(col, row int) float64 { return m.share[row*m.cols+col] }

func (m *Mask) scan(plot orb.Polygon) {
	var crossings []float64
	for line := range m.rows * scansPerCell {
		y := m.originM[1] + (float64(line)+0.5)*m.cellM/scansPerCell
		crossings = crossings[:0]
		for _, ring := range plot {
			crossings = crossRing(crossings, ring, y)
		}
		slices.Sort(crossings)
		row := m.share[line/scansPerCell*m.cols:][:m.cols]
		for i := 1; i < len(crossings); i += 2 {
			fill(row, (crossings[i-1]-m.originM[0])/m.cellM, (crossings[i]-m.originM[0])/m.cellM, 1.0/scansPerCell)
		}
	}
}

// crossRing adds where a ring crosses a height. The half-open rule counts a
// corner at that very height once.
func crossRing(crossings []float64, ring orb.Ring, y float64) []float64 {
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		if (a[1] <= y) != (b[1] <= y) {
			crossings = append(crossings, a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]))
		}
	}
	return crossings
}

// fill adds an amount to the cells from x0 to x1, by the part that is touched.
func fill(row []float64, x0, x1, amount float64) {
	x0, x1 = math.Max(x0, 0), math.Min(x1, float64(len(row)))
	if x1 <= x0 {
		return
	}
	first, last := int(x0), min(int(x1), len(row)-1)
	if first == last {
		row[first] += (x1 - x0) * amount
		return
	}
	row[first] += (float64(first+1) - x0) * amount
	for i := first + 1; i < last; i++ {
		row[i] += amount
	}
	row[last] += (x1 - float64(last)) * amount
}

// near is the share of each cell that lies within a strip: from the distance of
// its centre, with an edge one cell wide.
func (m *Mask) near(s Strip) []float64 {
	out := make([]float64, len(m.share))
	for row := range m.rows {
		for col := range m.cols {
			at := orb.Point{m.originM[0] + (float64(col)+0.5)*m.cellM, m.originM[1] + (float64(row)+0.5)*m.cellM}
			d := DistanceM(at, s.Line)
			out[row*m.cols+col] = math.Min(1, math.Max(0, 0.5+(s.DistanceM-d)/m.cellM))
		}
	}
	return out
}

// DistanceM is the least distance from a point to a line, in metres; infinite
// for a line without points.
func DistanceM(at orb.Point, line orb.LineString) float64 {
	best := math.Inf(1)
	for i := range line {
		a, b := line[max(i-1, 0)], line[i]
		dx, dy := b[0]-a[0], b[1]-a[1]
		f := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			f = math.Min(1, math.Max(0, ((at[0]-a[0])*dx+(at[1]-a[1])*dy)/l))
		}
		best = math.Min(best, math.Hypot(at[0]-a[0]-f*dx, at[1]-a[1]-f*dy))
	}
	return best
}

// wholeShare is the share above which a cell counts as wholly inside.
const wholeShare = 1 - 1e-9

func (m *Mask) index() {
	m.held = window{col0: m.cols, row0: m.rows}
	for row := range m.rows {
		for col, v := range m.share[row*m.cols:][:m.cols] {
			if v > 0 {
				m.held.add(col, row)
				m.note(row*m.cols+col, v)
			}
		}
	}
}

func (m *Mask) note(cell int, share float64) {
	m.cells += share
	if share < wholeShare {
		m.part, m.partShare = append(m.part, cell), append(m.partShare, share)
		return
	}
	if n := len(m.whole); n > 0 && m.whole[n-1].cell+m.whole[n-1].n == cell {
		m.whole[n-1].n++
	} else {
		m.whole = append(m.whole, span{cell, 1})
	}
}

// window is a block of cells, from the first column and row to before the last.
type window struct{ col0, row0, col1, row1 int }

func (w *window) add(col, row int) {
	w.col0, w.row0 = min(w.col0, col), min(w.row0, row)
	w.col1, w.row1 = max(w.col1, col+1), max(w.row1, row+1)
}
