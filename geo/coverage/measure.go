package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

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
	for i, d := range r.Density {
		w := m.share[i]
		off := math.Abs(d/target - 1)
		if off <= 0.25 {
			f.Within25 += w
		}
		if off <= 0.10 {
			f.Within10 += w
		}
	}
	f.Within10 /= m.cells
	f.Within25 /= m.cells
	for _, near := range m.strips {
		sum := 0.0
		for i, v := range near {
			sum += v * r.Density[i]
		}
		f.KeepOffShare = append(f.KeepOffShare, sum*m.cellM*m.cellM/laid)
	}
	f.Thinnest = m.tenth(r, target, 1)
	f.Heaviest = m.tenth(r, target, -1)
	return f
}

// tenthSteps is how finely the densities are ranked to find a tenth.
const tenthSteps = 4096

// tenth is the tenth of the ground with the least of sign times density.
func (m *Mask) tenth(r *Raster, target, sign float64) Tenth {
	limit, mean, ok := m.lowest(r, sign)
	if !ok {
		return Tenth{}
	}
	flag := make([]float64, len(m.share))
	for i, w := range m.share {
		if w > 0 && sign*r.Density[i] <= limit {
			flag[i] = w
		}
	}
	return Tenth{MeanRatio: sign * mean / target, At: m.densest(flag)}
}

// lowest ranks sign times density and returns the value below which a tenth of
// the ground lies and the mean of that tenth.
func (m *Mask) lowest(r *Raster, sign float64) (limit, mean float64, ok bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, w := range m.share {
		if w > 0 {
			lo, hi = math.Min(lo, sign*r.Density[i]), math.Max(hi, sign*r.Density[i])
		}
	}
	if lo > hi {
		return 0, 0, false
	}
	step := (hi - lo) / tenthSteps
	if step <= 0 {
		return hi, hi, true
	}
	var weight, sum [tenthSteps + 1]float64
	for i, w := range m.share {
		if w > 0 {
			k := int((sign*r.Density[i] - lo) / step)
			weight[k] += w
			sum[k] += w * sign * r.Density[i]
		}
	}
	return lowestTenth(weight[:], sum[:], lo, step)
}

func lowestTenth(weight, sum []float64, lo, step float64) (limit, mean float64, ok bool) {
	total := 0.0
	for _, w := range weight {
		total += w
	}
	wanted, have, got := total/10, 0.0, 0.0
	for k, w := range weight {
		if have+w >= wanted {
			got += sum[k] / w * (wanted - have)
			return lo + float64(k+1)*step, got / wanted, true
		}
		have += w
		got += sum[k]
	}
	return lo, got / wanted, true
}

// densest is the flagged cell nearest the middle of the square window, as large
// as a tenth of the plot, that holds the most flagged ground.
func (m *Mask) densest(flag []float64) orb.Point {
	half := max(1, int(math.Sqrt(m.cells/10)/2))
	sums := m.windowSums(flag, half)
	best := 0
	for i, v := range sums {
		if v > sums[best]*(1+1e-12) {
			best = i
		}
	}
	col, row := best%m.cols, best/m.cols
	var x, y, w float64
	m.eachNear(col, row, half, func(c, r int) {
		f := flag[r*m.cols+c]
		x, y, w = x+f*float64(c), y+f*float64(r), w+f
	})
	x, y = x/w, y/w
	near, at := math.Inf(1), [2]int{col, row}
	m.eachNear(col, row, half, func(c, r int) {
		if d := math.Hypot(float64(c)-x, float64(r)-y); flag[r*m.cols+c] > 0 && d < near {
			near, at = d, [2]int{c, r}
		}
	})
	return orb.Point{m.originM[0] + (float64(at[0])+0.5)*m.cellM, m.originM[1] + (float64(at[1])+0.5)*m.cellM}
}

func (m *Mask) eachNear(col, row, half int, do func(c, r int)) {
	for r := max(0, row-half); r <= min(m.rows-1, row+half); r++ {
		for c := max(0, col-half); c <= min(m.cols-1, col+half); c++ {
			do(c, r)
		}
	}
}

// windowSums sums a square window around every cell by way of running totals.
func (m *Mask) windowSums(v []float64, half int) []float64 {
	wide := m.cols + 1
	total := make([]float64, wide*(m.rows+1))
	for r := range m.rows {
		line := 0.0
		for c := range m.cols {
			line += v[r*m.cols+c]
			total[(r+1)*wide+c+1] = total[r*wide+c+1] + line
		}
	}
	out := make([]float64, len(v))
	for r := range m.rows {
		r0, r1 := max(0, r-half), min(m.rows, r+half+1)
		for c := range m.cols {
			c0, c1 := max(0, c-half), min(m.cols, c+half+1)
			out[r*m.cols+c] = total[r1*wide+c1] - total[r0*wide+c1] - total[r1*wide+c0] + total[r0*wide+c0]
		}
	}
	return out
}
