package coverage

import "math"

// Tally keeps the evenness of a plan while strokes are laid and lifted again,
// at the cost of the changed cells alone: what a search that moves one pass at
// a time needs. It is for one goroutine at a time.
type Tally struct {
	raster *Raster
	mask   *Mask
	brush  *Brush
	sum    float64 // of density over the ground, in cells
	square float64
	laid   float64
}

// NewTally starts from an empty raster of the mask's cells.
func NewTally(m *Mask, b *Brush) *Tally {
	r := &Raster{OriginM: m.originM, CellM: m.cellM, Cols: m.cols, Rows: m.rows, Density: make([]float64, len(m.share))}
	return &Tally{raster: r, mask: m, brush: b}
}

// Clear lifts everything.
func (t *Tally) Clear() {
	t.raster.Clear()
	t.sum, t.square, t.laid = 0, 0, 0
}

// Take puts in place of everything a density per cell, as a raster of the
// mask's cells holds it, of which so much was let out.
func (t *Tally) Take(density []float64, laidM float64) {
	copy(t.raster.Density, density)
	t.sum, t.square, t.laid = 0, 0, laidM
	for i, d := range t.raster.Density {
		t.sum += t.mask.share[i] * d
		t.square += t.mask.share[i] * d * d
	}
}

// Raster is what lies on the ground now. The caller must not change it.
func (t *Tally) Raster() *Raster { return t.raster }

// Lay adds a stroke.
func (t *Tally) Lay(s Stroke) { t.change(s, 1) }

// Lift takes away a stroke, or a piece of one, that was laid.
func (t *Tally) Lift(s Stroke) { t.change(s, -1) }

func (t *Tally) change(s Stroke, sign float64) {
	t.brush.tally, t.brush.sign = t, sign
	t.brush.Lay(t.raster, s)
	t.brush.tally = nil
	t.laid += sign * s.Laid()
}

// Copy takes over what another tally of the same mask holds.
func (t *Tally) Copy(from *Tally) {
	copy(t.raster.Density, from.raster.Density)
	t.sum, t.square, t.laid = from.sum, from.square, from.laid
}

// Laid is all that the strokes now on the ground let out.
func (t *Tally) Laid() float64 { return t.laid }

// Spread is the evenness now, as Mask.Spread would find it.
func (t *Tally) Spread() Spread {
	if !(t.sum > 0) {
		return Spread{CV: math.Inf(1)}
	}
	mean := t.sum / t.mask.cells
	cv := math.Sqrt(math.Max(0, t.square/t.mask.cells-mean*mean)) / mean
	return Spread{Mean: mean, CV: cv, Inside: t.sum * t.mask.cellM * t.mask.cellM}
}

// OutsideShare is the share of the material that misses the ground.
func (t *Tally) OutsideShare() float64 {
	if !(t.laid > 0) {
		return 0
	}
	return math.Max(0, 1-t.sum*t.mask.cellM*t.mask.cellM/t.laid)
}

// crumble shares points among the four cells around each.
func (t *Tally) crumble(gx, gy, nx, ny, mass float64, points []splatPoint) {
	density, share, cols := t.raster.Density, t.mask.share, t.mask.cols
	sum, square := t.sum, t.square
	for i := range points {
		p := &points[i]
		px, py, m := gx+p.offset*nx, gy+p.offset*ny, mass*p.share
		col, row := int(px), int(py)
		fx, fy := px-float64(col), py-float64(row)
		over := m * fx
		cell := row*cols + col
		for k, by := range [4]float64{(m - over) * (1 - fy), over * (1 - fy), (m - over) * fy, over * fy} {
			at := cell + k&1 + k>>1*cols
			d, w := density[at], share[at]
			sum += w * by
			square += w * by * (2*d + by)
			density[at] = d + by
		}
	}
	t.sum, t.square = sum, square
}

// pour adds what a sweep gathered, scaled.
func (t *Tally) pour(runs []run, amounts []float64, scale float64) {
	sum, square := 0.0, 0.0
	for i := range runs {
		run := &runs[i]
		to := t.raster.Density[run.cell : run.cell+run.n]
		share := t.mask.share[run.cell : run.cell+len(to)]
		from := amounts[run.from:]
		by := from[0] * scale
		for i, d := range to {
			if !run.even {
				by = from[i] * scale
			}
			w := share[i]
			sum += w * by
			square += w * by * (2*d + by)
			to[i] = d + by
		}
	}
	t.sum += sum
	t.square += square
}
