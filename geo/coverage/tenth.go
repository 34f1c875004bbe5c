package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

// tenthSteps is how finely the densities are ranked to find a tenth.
const tenthSteps = 4096

// ranking finds the thinnest and the heaviest tenth of the ground of a mask. It
// looks at the window that holds the ground only, and keeps its memory from the
// one to the other.
type ranking struct {
	mask    *Mask
	density []float64
	weight  [tenthSteps + 1]float64
	sum     [tenthSteps + 1]float64
	flag    []float64 // ground of the tenth, on the window's cells
	total   []float64 // of the flags south and west of a cell's south-west corner
}

// tenth is the tenth of the ground with the least of sign times density.
func (k *ranking) tenth(target, sign float64) Tenth {
	limit, mean, ok := k.lowest(sign)
	if !ok {
		return Tenth{}
	}
	k.flagUpTo(limit, sign)
	return Tenth{MeanRatio: sign * mean / target, At: k.densest()}
}

// lowest ranks sign times density and returns the value below which a tenth of
// the ground lies and the mean of that tenth.
func (k *ranking) lowest(sign float64) (limit, mean float64, ok bool) {
	lo, hi := k.extremes(sign)
	if lo > hi {
		return 0, 0, false
	}
	step := (hi - lo) / tenthSteps
	if step <= 0 {
		return hi, hi, true
	}
	clear(k.weight[:])
	clear(k.sum[:])
	k.mask.eachHeld(func(from, to int) {
		density := k.density[from:to]
		for i, w := range k.mask.share[from:to] {
			if w > 0 {
				v := sign * density[i]
				at := int((v - lo) / step)
				k.weight[at] += w
				k.sum[at] += w * v
			}
		}
	})
	return lowestTenth(k.weight[:], k.sum[:], lo, step)
}

func (k *ranking) extremes(sign float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	k.mask.eachHeld(func(from, to int) {
		density := k.density[from:to]
		for i, w := range k.mask.share[from:to] {
			if w > 0 {
				v := sign * density[i]
				if v < lo {
					lo = v
				}
				if v > hi {
					hi = v
				}
			}
		}
	})
	return lo, hi
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

// flagUpTo marks the ground where sign times density is no more than a limit,
// and sums the flags.
func (k *ranking) flagUpTo(limit, sign float64) {
	held := k.mask.held
	cols, rows := held.col1-held.col0, held.row1-held.row0
	if k.flag == nil {
		k.flag, k.total = make([]float64, cols*rows), make([]float64, (cols+1)*(rows+1))
	}
	row := 0
	k.mask.eachHeld(func(from, to int) {
		flag, density := k.flag[row*cols:][:cols], k.density[from:to]
		south, here := k.total[row*(cols+1):][:cols+1], k.total[(row+1)*(cols+1):][:cols+1]
		line := 0.0
		for i, w := range k.mask.share[from:to] {
			flag[i] = 0
			if w > 0 && sign*density[i] <= limit {
				flag[i] = w
			}
			line += flag[i]
			here[i+1] = south[i+1] + line
		}
		row++
	})
}

// densest is the flagged cell nearest the middle of the square window, as large
// as a tenth of the plot, that holds the most flagged ground.
func (k *ranking) densest() orb.Point {
	m := k.mask
	half := max(1, int(math.Sqrt(m.cells/10)/2))
	col, row := k.fullest(half)
	var x, y, w float64
	k.eachNear(col, row, half, func(c, r int, f float64) {
		x, y, w = x+f*float64(c), y+f*float64(r), w+f
	})
	x, y = x/w, y/w
	near, at := math.Inf(1), [2]int{col, row}
	k.eachNear(col, row, half, func(c, r int, f float64) {
		if d := math.Hypot(float64(c)-x, float64(r)-y); f > 0 && d < near {
			near, at = d, [2]int{c, r}
		}
	})
	return orb.Point{m.originM[0] + (float64(at[0])+0.5)*m.cellM, m.originM[1] + (float64(at[1])+0.5)*m.cellM}
}

// fullest is the middle of the window with the most flagged ground.
func (k *ranking) fullest(half int) (col, row int) {
	held := k.mask.held
	cols, rows := held.col1-held.col0, held.row1-held.row0
	col, row = held.col0, held.row0
	most := math.Inf(-1)
	for r := range rows {
		south := k.total[max(0, r-half)*(cols+1):][:cols+1]
		north := k.total[min(rows, r+half+1)*(cols+1):][:cols+1]
		for c := range cols {
			west, east := max(0, c-half), min(cols, c+half+1)
			if v := north[east] - south[east] - north[west] + south[west]; v > most {
				most = v * (1 + 1e-12)
				col, row = held.col0+c, held.row0+r
			}
		}
	}
	return col, row
}

func (k *ranking) eachNear(col, row, half int, do func(c, r int, flag float64)) {
	held := k.mask.held
	for r := max(held.row0, row-half); r <= min(held.row1-1, row+half); r++ {
		for c := max(held.col0, col-half); c <= min(held.col1-1, col+half); c++ {
			do(c, r, k.flag[(r-held.row0)*(held.col1-held.col0)+c-held.col0])
		}
	}
}
