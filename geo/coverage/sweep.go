package coverage

import (
	"math"
	"slices"
)

// strip is a stretch with one heading in raster cells: a cell centre (i, j)
// lies at fraction t = t0 + ti*i + tj*j along it and u = u0 + ui*i + uj*j
// metres to the right of the line.
type strip struct {
	t0, ti, tj, u0, ui, uj float64
	blur                   float64 // how much of t one cell spans
	flow0, flow1           float64
}

// sweep lays a stretch with one heading: every cell that it reaches gets the
// smoothed density at its centre, and the sum is then scaled to the exact mass.
// It reports false, and lays nothing, when the stretch leaves the raster.
func (b *Brush) sweep(r *Raster, from, to station) bool {
	x0, y0 := b.landing(from)
	x1, y1 := b.landing(to)
	gx0, gy0 := (x0-r.OriginM[0])*b.inv-0.5, (y0-r.OriginM[1])*b.inv-0.5
	gx1, gy1 := (x1-r.OriginM[0])*b.inv-0.5, (y1-r.OriginM[1])*b.inv-0.5
	lowest, highest, ok := b.rowsOf(r, gx0, gy0, gx1, gy1, from.nx, from.ny)
	if !ok {
		return false
	}
	st, ok := newStrip(gx0, gy0, gx1, gy1, from, to, b.cell)
	if !ok {
		return false
	}
	b.amounts, b.spans, b.sum = b.amounts[:0], b.spans[:0], 0
	for row := lowest; row <= highest; row++ {
		b.sweepRow(r, &st, row)
	}
	sum := b.sum
	mass := (from.flow + to.flow) / 2 * (to.s - from.s)
	if mass <= 0 {
		return true
	}
	if !(sum > 0) {
		return false
	}
	b.pour(r, mass*b.inv*b.inv/sum)
	return true
}

// rowsOf is the range of rows that a stretch can touch; ok is false when a
// corner of it, with a cell to spare, lies beyond the raster.
func (b *Brush) rowsOf(r *Raster, gx0, gy0, gx1, gy1, nx, ny float64) (lowest, highest int, ok bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, u := range [2]float64{b.left * b.inv, b.right * b.inv} {
		for _, p := range [2][2]float64{{gx0, gy0}, {gx1, gy1}} {
			x, y := p[0]+u*nx, p[1]+u*ny
			if !contains(r, x-1, y-1) || !contains(r, x+1, y+1) {
				return 0, 0, false
			}
			lo, hi = min(lo, y), max(hi, y)
		}
	}
	return int(lo - 1), int(hi + 2), true
}

func newStrip(gx0, gy0, gx1, gy1 float64, from, to station, cell float64) (strip, bool) {
	ex, ey, nx, ny := gx1-gx0, gy1-gy0, from.nx, from.ny
	det := ex*ny - ey*nx
	if math.Abs(det) < 1e-9 {
		return strip{}, false
	}
	s := strip{ti: ny / det, tj: -nx / det, ui: -ey / det * cell, uj: ex / det * cell, flow0: from.flow, flow1: to.flow}
	s.t0 = -(s.ti*gx0 + s.tj*gy0)
	s.u0 = -(s.ui*gx0 + s.uj*gy0)
	s.blur = math.Hypot(s.ti, s.tj)
	return s, true
}

// sweepRow gathers the amounts of one row. The smoothing along the way is a
// box one cell long, as across.
func (b *Brush) sweepRow(r *Raster, s *strip, row int) {
	t, u := s.t0+s.tj*float64(row), s.u0+s.uj*float64(row)
	lo, hi := 0.0, float64(r.Cols-1)
	lo, hi = narrow(lo, hi, u, s.ui, b.left, b.right)
	inLo, inHi := narrow(lo, hi, t, s.ti, s.blur/2, 1-s.blur/2)
	lo, hi = narrow(lo, hi, t, s.ti, -s.blur/2, 1+s.blur/2)
	first, last := int(math.Ceil(lo)), int(math.Floor(hi))
	if first > last {
		return
	}
	b.spans = append(b.spans, span{row*r.Cols + first, last - first + 1})
	inFirst, inLast := int(math.Ceil(inLo)), int(math.Floor(inHi))
	if inFirst > inLast || s.flow0 != s.flow1 {
		b.gatherEnds(s, t, u, first, last)
		return
	}
	b.gatherEnds(s, t, u, first, inFirst-1)
	b.gatherInside(s, u, inFirst, inLast)
	b.gatherEnds(s, t, u, inLast+1, last)
}

// narrow cuts [lo, hi] to where from <= at + slope*i <= to.
func narrow(lo, hi, at, slope, from, to float64) (float64, float64) {
	if from > to {
		return 1, 0
	}
	if math.Abs(slope) < 1e-12 {
		if at < from || at > to {
			return 1, 0
		}
		return lo, hi
	}
	a, z := (from-at)/slope, (to-at)/slope
	if a > z {
		a, z = z, a
	}
	return max(lo, a), min(hi, z)
}

func (b *Brush) gatherInside(s *strip, u float64, first, last int) {
	at := (u + s.ui*float64(first) - b.left) * b.tableInv
	step := s.ui * b.tableInv
	n := len(b.amounts)
	b.amounts = slices.Grow(b.amounts, last-first+1)[:n+last-first+1]
	to, table := b.amounts[n:], b.table
	sum := 0.0
	for i := range to {
		k := min(max(int(at), 0), len(table)-1)
		v := table[k] * s.flow0
		to[i] = v
		sum += v
		at += step
	}
	b.sum += sum
}

func (b *Brush) gatherEnds(s *strip, t, u float64, first, last int) {
	if first > last {
		return
	}
	n := len(b.amounts)
	b.amounts = slices.Grow(b.amounts, last-first+1)[:n+last-first+1]
	to, table := b.amounts[n:], b.table
	at, half, inv := (u+s.ui*float64(first)-b.left)*b.tableInv, s.blur/2, 1/s.blur
	t += s.ti * float64(first)
	for i := range to {
		over := max(0, min(1, t+half)-max(0, t-half))
		k := min(max(int(at), 0), len(table)-1)
		to[i] = table[k] * (s.flow0 + (s.flow1-s.flow0)*min(1, max(0, t))) * over * inv
		b.sum += to[i]
		at += s.ui * b.tableInv
		t += s.ti
	}
}

// pour adds the gathered amounts, scaled.
func (b *Brush) pour(r *Raster, scale float64) {
	if b.tally != nil {
		b.tally.pour(b.spans, b.amounts, b.sign*scale)
		return
	}
	k := 0
	for _, sp := range b.spans {
		to := r.Density[sp.cell : sp.cell+sp.n]
		from := b.amounts[k : k+sp.n]
		for i, v := range from {
			to[i] += v * scale
		}
		k += sp.n
	}
}
