package coverage

import "math"

// strip is a stretch with one heading in raster cells: a cell centre (i, j)
// lies at fraction t = t0 + ti*i + tj*j along it and u = u0 + ui*i + uj*j
// metres to the right of the line.
type strip struct {
	t0, ti, tj, u0, ui, uj float64
	blur                   float64 // how much of t one cell spans
	flow0, flow1           float64
	upright                bool // every row has its cells at the same u
}

// run is a stretch of cells in one row with an amount each, from Brush.amounts
// on; when even, they all have that first amount.
type run struct {
	cell, n, from int
	even          bool
}

// sweep lays a stretch with one heading: every cell that it reaches gets the
// smoothed density at its centre, and the sum is then scaled to the exact mass.
// Cells beyond the raster count in the sum, and what they get is missed. It
// reports false, and lays nothing, when the stretch has no width.
func (b *Brush) sweep(r *Raster, from, to *station) (missed float64, ok bool) {
	x0, y0 := b.landing(from)
	x1, y1 := b.landing(to)
	gx0, gy0 := (x0-r.OriginM[0])*b.inv-0.5, (y0-r.OriginM[1])*b.inv-0.5
	gx1, gy1 := (x1-r.OriginM[0])*b.inv-0.5, (y1-r.OriginM[1])*b.inv-0.5
	st, ok := b.newStrip(gx0, gy0, gx1, gy1, from, to)
	if !ok {
		return 0, false
	}
	b.amounts, b.runs, b.sum, b.beyond, b.across = b.amounts[:0], b.runs[:0], 0, 0, across{}
	mass := (from.flow + to.flow) / 2 * (to.s - from.s)
	if mass <= 0 {
		return 0, true
	}
	lowest, highest := b.rowsOf(gy0, gy1, from.ny)
	st.upright = math.Abs(st.uj*b.tableInv)*float64(highest-lowest) < uprightBins
	for row := lowest; row <= highest; row++ {
		b.sweepRow(r, &st, row)
	}
	if !(b.sum > 0) {
		return 0, false
	}
	b.scale = mass * b.inv * b.inv / b.sum
	b.pour(r)
	return mass * b.beyond / b.sum, true
}

// rowsOf is the range of rows that a stretch can touch.
func (b *Brush) rowsOf(gy0, gy1, ny float64) (lowest, highest int) {
	l, r := b.left*b.inv*ny, b.right*b.inv*ny
	if gy0 > gy1 {
		gy0, gy1 = gy1, gy0
	}
	if l > r {
		l, r = r, l
	}
	return int(math.Floor(gy0 + l - 1)), int(math.Ceil(gy1 + r + 1))
}

func (b *Brush) newStrip(gx0, gy0, gx1, gy1 float64, from, to *station) (strip, bool) {
	ex, ey, nx, ny := gx1-gx0, gy1-gy0, from.nx, from.ny
	det := ex*ny - ey*nx
	if math.Abs(det) < 1e-9 {
		return strip{}, false
	}
	s := strip{ti: ny / det, tj: -nx / det, ui: -ey / det * b.cell, uj: ex / det * b.cell, flow0: from.flow, flow1: to.flow}
	s.t0 = -(s.ti*gx0 + s.tj*gy0)
	s.u0 = -(s.ui*gx0 + s.uj*gy0)
	s.blur = math.Hypot(s.ti, s.tj)
	return s, true
}

// farCells is further than any raster reaches.
const farCells = 1e9

// sweepRow gathers the amounts of one row. The smoothing along the way is a
// box one cell long, as across.
func (b *Brush) sweepRow(r *Raster, s *strip, row int) {
	t, u := s.t0+s.tj*float64(row), s.u0+s.uj*float64(row)
	lo, hi := narrow(-farCells, farCells, u, s.ui, b.left, b.right)
	lo, hi = narrow(lo, hi, t, s.ti, -s.blur/2, 1+s.blur/2)
	if lo > hi {
		return
	}
	first, last := int(math.Ceil(lo)), int(math.Floor(hi))
	if first > last {
		return
	}
	runs, amounts, was := len(b.runs), len(b.amounts), b.sum
	cell := row * r.Cols
	inFirst, inLast := first, first-1
	if s.flow0 == s.flow1 {
		inLo, inHi := narrow(lo, hi, t, s.ti, s.blur/2, 1-s.blur/2)
		inFirst, inLast = int(math.Ceil(inLo)), int(math.Floor(inHi))
	}
	if inFirst > inLast {
		b.gatherEnds(s, t, u, cell, first, last)
	} else {
		b.gatherEnds(s, t, u, cell, first, inFirst-1)
		b.gatherInside(s, u, cell, inFirst, inLast)
		b.gatherEnds(s, t, u, cell, inLast+1, last)
	}
	switch {
	case row < 0 || row >= r.Rows || last < 0 || first >= r.Cols:
		b.beyond += b.sum - was
		b.runs, b.amounts, b.across = b.runs[:runs], b.amounts[:amounts], across{}
	case first < 0 || last >= r.Cols:
		b.crop(runs, cell, cell+r.Cols)
	}
}

// crop cuts the runs of a row, from a number on, down to the raster's cells of
// it, from the first to before the last.
func (b *Brush) crop(runs, first, last int) {
	kept := b.runs[:runs]
	for _, run := range b.runs[runs:] {
		before, after := min(run.n, max(0, first-run.cell)), min(run.n, max(0, run.cell+run.n-last))
		for k := range run.n {
			if k < before || k >= run.n-after {
				b.beyond += b.amounts[run.at(k)]
			}
		}
		run.from, run.cell, run.n = run.at(before), run.cell+before, run.n-before-after
		if run.n > 0 {
			kept = append(kept, run)
		}
	}
	b.runs = kept
}

// at is where the amount of a run's cell is kept.
func (r *run) at(k int) int {
	if r.even {
		return r.from
	}
	return r.from + k
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
	if a > lo {
		lo = a
	}
	if z < hi {
		hi = z
	}
	return lo, hi
}

// uprightBins is how far, in bins of the table, the rows of an upright strip
// may lie apart at most: rounding.
const uprightBins = 1e-6

// across is a row of an upright strip that has been gathered.
type across struct {
	first, n, from int
	sum            float64
	known          bool
}

// gatherInside gathers cells that lie wholly between the ends. Where they all
// fall into one bin of the table, or a row just like them has been gathered,
// the amounts are not written again: passes mostly run along the raster or
// across it.
func (b *Brush) gatherInside(s *strip, u float64, cell, first, last int) {
	n := last - first + 1
	at := (u + s.ui*float64(first) - b.left) * b.tableInv
	step := s.ui * b.tableInv
	if k := int(at); k == int(at+step*float64(n-1)) {
		v := b.table[k] * s.flow0
		b.runs = append(b.runs, run{cell + first, n, len(b.amounts), true})
		b.amounts = append(b.amounts, v)
		sum := 0.0
		for range n {
			sum += v
		}
		b.sum += sum
		return
	}
	if a := &b.across; a.known && a.first == first && a.n == n {
		b.runs = append(b.runs, run{cell + first, n, a.from, false})
		b.sum += a.sum
		return
	}
	from := len(b.amounts)
	b.runs = append(b.runs, run{cell + first, n, from, false})
	to, table := b.room(n), b.table
	sum, away := 0.0, at
	for i := range to {
		v := table[int(away)] * s.flow0
		to[i] = v
		sum += v
		away += step
	}
	b.sum += sum
	if s.upright && b.clearOfBins(at, step, n) {
		b.across = across{first, n, from, sum, true}
	}
}

// clearOfBins tells whether no place lies so near a bin's edge that it could be
// beyond it in another row.
func (b *Brush) clearOfBins(at, step float64, n int) bool {
	for range n {
		if part := at - float64(int(at)); part < 2*uprightBins || part > 1-2*uprightBins {
			return false
		}
		at += step
	}
	return true
}

// room makes room for so many amounts more.
func (b *Brush) room(n int) []float64 {
	from := len(b.amounts)
	if from+n > cap(b.amounts) {
		b.amounts = append(make([]float64, 0, 2*(from+n)), b.amounts...)
	}
	b.amounts = b.amounts[:from+n]
	return b.amounts[from:]
}

// gatherEnds gathers cells astride an end of the stretch, or of a stretch along
// which the flow changes.
func (b *Brush) gatherEnds(s *strip, t, u float64, cell, first, last int) {
	if first > last {
		return
	}
	b.runs = append(b.runs, run{cell + first, last - first + 1, len(b.amounts), false})
	to, table := b.room(last-first+1), b.table
	at, half, inv := (u+s.ui*float64(first)-b.left)*b.tableInv, s.blur/2, 1/s.blur
	step, more, sum := s.ui*b.tableInv, s.flow1-s.flow0, b.sum
	t += s.ti * float64(first)
	for i := range to {
		begin, end, along := t-half, t+half, t
		if begin < 0 {
			begin = 0
		}
		if end > 1 {
			end = 1
		}
		if along < 0 {
			along = 0
		} else if along > 1 {
			along = 1
		}
		v := 0.0
		if end > begin {
			v = table[int(at)] * (s.flow0 + more*along) * (end - begin) * inv
		}
		to[i] = v
		sum += v
		at += step
		t += s.ti
	}
	b.sum = sum
}

// pour adds what was gathered, scaled.
func (b *Brush) pour(r *Raster) {
	if b.tally != nil {
		b.tally.pour(b.runs, b.amounts, b.sign*b.scale)
		return
	}
	scale := b.scale
	for i := range b.runs {
		run := &b.runs[i]
		to := r.Density[run.cell : run.cell+run.n]
		if run.even {
			v := b.amounts[run.from] * scale
			for i := range to {
				to[i] += v
			}
			continue
		}
		from := b.amounts[run.from : run.from+len(to)]
		for i, v := range from {
			to[i] += v * scale
		}
	}
}
