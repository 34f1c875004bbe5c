package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

// NewRaster is an empty raster of square cells of cellM metres over the bounds,
// with the south-west corner on the bounds and whole cells to the north-east.
// It panics when cellM is not positive: that is a mistake of the program.
func NewRaster(bounds orb.Bound, cellM float64) *Raster {
	if !(cellM > 0) {
		panic("coverage: the cell size must be positive")
	}
	cols := cellsIn(bounds.Max[0]-bounds.Min[0], cellM)
	rows := cellsIn(bounds.Max[1]-bounds.Min[1], cellM)
	return &Raster{OriginM: bounds.Min, CellM: cellM, Cols: cols, Rows: rows, Density: make([]float64, cols*rows)}
}

// cellsIn forgives a billionth of a cell, so that a width which is a whole
// number of cells but for rounding does not get one more.
func cellsIn(lengthM, cellM float64) int {
	return max(1, int(math.Ceil(lengthM/cellM-1e-9)))
}

// Clear empties the raster for another plan.
func (r *Raster) Clear() { clear(r.Density) }

// Mass is the material on the raster, in the unit of Stroke: metres driven at
// full flow.
func (r *Raster) Mass() float64 {
	sum := 0.0
	for _, d := range r.Density {
		sum += d
	}
	return sum * r.CellM * r.CellM
}

// Centre is the middle of a cell in local metres.
func (r *Raster) Centre(col, row int) orb.Point {
	return orb.Point{r.OriginM[0] + (float64(col)+0.5)*r.CellM, r.OriginM[1] + (float64(row)+0.5)*r.CellM}
}

// Bound is the ground that the raster covers, in local metres.
func (r *Raster) Bound() orb.Bound {
	far := orb.Point{r.OriginM[0] + float64(r.Cols)*r.CellM, r.OriginM[1] + float64(r.Rows)*r.CellM}
	return orb.Bound{Min: r.OriginM, Max: far}
}

// Float32 is the raster as a page or a file takes it: the densities divided by
// target, row-major from the south-west corner. OriginM, CellM, Cols and Rows
// are its frame.
func (r *Raster) Float32(target float64) []float32 {
	out := make([]float32, len(r.Density))
	for i, d := range r.Density {
		out[i] = float32(d / target)
	}
	return out
}

// Downsample is the ratio to the target on cells that are a whole number of
// cells wide, for print. A coarse cell is the mean of what it holds; cells
// beyond the north and east edge count as empty, so mass is kept.
func (r *Raster) Downsample(times int, target float64) *Raster {
	times = max(1, times)
	out := &Raster{OriginM: r.OriginM, CellM: r.CellM * float64(times), Cols: (r.Cols + times - 1) / times, Rows: (r.Rows + times - 1) / times}
	out.Density = make([]float64, out.Cols*out.Rows)
	share := 1 / (target * float64(times*times))
	for row := range r.Rows {
		for col := range r.Cols {
			out.Density[row/times*out.Cols+col/times] += r.Density[row*r.Cols+col] * share
		}
	}
	return out
}

// BoundsOf is ground enough to hold everything that the strokes throw, with a
// cell to spare on each side.
func BoundsOf(strokes []Stroke, p Profile, o DepositOptions, cellM float64) orb.Bound {
	first := true
	var b orb.Bound
	aside := 0.0
	for _, s := range strokes {
		for _, at := range s.Line {
			if first {
				b, first = orb.Bound{Min: at, Max: at}, false
			}
			b = b.Extend(at)
		}
		for _, v := range s.AsideM {
			aside = math.Max(aside, math.Abs(v))
		}
	}
	left, right := p.Reach()
	return b.Pad(math.Hypot(math.Max(-left, right)+aside, math.Abs(o.BehindM)+o.RampM) + 2*cellM)
}
