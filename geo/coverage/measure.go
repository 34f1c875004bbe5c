package coverage

import "math"

// Spread is what scoring a candidate needs, over the ground of the mask.
type Spread struct {
	Mean   float64 // material per square metre
	CV     float64 // standard deviation over mean, population
	Inside float64 // material on the ground to be covered, in metres driven at full flow
}

// Spread reads only the cells of the plot and does not allocate.
func (m *Mask) Spread(r *Raster) Spread {
	var sum, squares float64
	for _, sp := range m.whole {
		for _, d := range r.Density[sp.cell : sp.cell+sp.n] {
			sum += d
			squares += d * d
		}
	}
	for i, c := range m.part {
		d, w := r.Density[c], m.partShare[i]
		sum += d * w
		squares += d * d * w
	}
	if !(sum > 0) {
		return Spread{CV: math.Inf(1)}
	}
	mean := sum / m.cells
	return Spread{Mean: mean, CV: math.Sqrt(math.Max(0, squares/m.cells-mean*mean)) / mean, Inside: sum * m.cellM * m.cellM}
}

// Measure gives every figure over the ground of the mask. Target is the
// material per square metre that the whole plot should get, in the raster's
// unit (1/spacing for a plan without end: what was laid over the area for a
// real one), and laid is all that the strokes let out.
func Measure(r *Raster, m *Mask, target, laid float64) Figures {
	s := m.Spread(r)
	f := Figures{MeanRatio: s.Mean / target, CV: s.CV, OutsideShare: math.Max(0, 1-s.Inside/laid)}
	m.eachHeld(func(from, to int) {
		density := r.Density[from:to]
		for i, w := range m.share[from:to] {
			off := math.Abs(density[i]/target - 1)
			if off <= 0.25 {
				f.Within25 += w
			}
			if off <= 0.10 {
				f.Within10 += w
			}
		}
	})
	f.Within10 /= m.cells
	f.Within25 /= m.cells
	for _, near := range m.strips {
		sum := 0.0
		for i, v := range near {
			sum += v * r.Density[i]
		}
		f.KeepOffShare = append(f.KeepOffShare, sum*m.cellM*m.cellM/laid)
	}
	rank := ranking{mask: m, density: r.Density}
	f.Thinnest, f.Heaviest = rank.tenth(target, 1), rank.tenth(target, -1)
	return f
}

// eachHeld hands over the rows of the window that holds all of the ground, as
// cells from the first to before the last.
func (m *Mask) eachHeld(do func(from, to int)) {
	for row := m.held.row0; row < m.held.row1; row++ {
		do(row*m.cols+m.held.col0, row*m.cols+m.held.col1)
	}
}
