package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// run is a block of stretches in neighbouring rows that lie beside each other
// one to one, so that it can be driven back and forth. Where a hole or a bay
// splits or joins the rows, a new run starts.
type run []Stretch

// runsOf cuts stretches into runs. Stretches come by row, then along it, all
// pointing the same way.
func runsOf(stretches []Stretch) []run {
	var runs []run
	open := map[int]int{} // stretch -> the run that it ends
	for i, s := range stretches {
		above := beside(stretches, i, s.Row-1)
		if len(above) == 1 && len(beside(stretches, above[0], s.Row)) == 1 {
			k := open[above[0]]
			runs[k] = append(runs[k], s)
			open[i] = k
			continue
		}
		runs = append(runs, run{s})
		open[i] = len(runs) - 1
	}
	return runs
}

// beside lists the stretches of a row that overlap stretch i along the bearing.
func beside(stretches []Stretch, i, row int) []int {
	var found []int
	s := stretches[i]
	length := s.LengthM()
	ux, uy := (s.To[0]-s.From[0])/length, (s.To[1]-s.From[1])/length
	along := func(p orb.Point) float64 { return (p[0]-s.From[0])*ux + (p[1]-s.From[1])*uy }
	first, _ := slices.BinarySearchFunc(stretches, row, func(t Stretch, row int) int { return t.Row - row })
	for k := first; k < len(stretches) && stretches[k].Row == row; k++ {
		if along(stretches[k].From) < length && along(stretches[k].To) > 0 {
			found = append(found, k)
		}
	}
	return found
}

// order puts the run's rows in the order that is driven: back and forth, or
// skipping rows when the turning circle is wider than the spacing. Among the
// skipping orders the one with the least turning is taken.
func (r run) order(spacingM, radiusM float64) []int {
	n := len(r)
	sequence := make([]int, n)
	for i := range sequence {
		sequence[i] = i
	}
	if 2*radiusM <= spacingM*(1+1e-9) || n < 3 {
		return sequence
	}
	skip := int(math.Ceil(2*radiusM/spacingM - 1e-9))
	costs := turnCosts(n, spacingM, radiusM)
	best, least := sequence, math.Inf(1)
	for _, try := range [][]int{skipOut(n, skip), skipOutAndBack(n, skip), leapfrog(n, skip)} {
		if cost := orderCost(try, costs); cost < least {
			best, least = try, cost
		}
	}
	return best
}

// turnCosts is the length of a turn into the row so many rows away.
func turnCosts(n int, spacingM, radiusM float64) []float64 {
	costs := make([]float64, n)
	for i := 1; i < n; i++ {
		from := pose{orb.Point{0, 0}, orb.Point{0, 1}}
		to := pose{orb.Point{float64(i) * spacingM, 0}, orb.Point{0, -1}}
		costs[i] = turnWords(from, to, radiusM)[0].length() * radiusM
	}
	return costs
}

func orderCost(order []int, costs []float64) float64 {
	var sum float64
	for i := 1; i < len(order); i++ {
		hop := order[i] - order[i-1]
		sum += costs[max(hop, -hop)]
	}
	return sum
}

// skipOut drives every skip-th row to the far side, then starts again beside
// the first: 0 2 4 1 3 5.
func skipOut(n, skip int) []int {
	order := make([]int, 0, n)
	for first := 0; first < skip; first++ {
		for i := first; i < n; i += skip {
			order = append(order, i)
		}
	}
	return order
}

// skipOutAndBack comes back on the rows left out: 0 2 4 5 3 1.
func skipOutAndBack(n, skip int) []int {
	order := make([]int, 0, n)
	for first := 0; first < skip; first++ {
		start := len(order)
		for i := first; i < n; i += skip {
			order = append(order, i)
		}
		if first%2 == 1 {
			slices.Reverse(order[start:])
		}
	}
	return order
}

// leapfrog goes ahead by one more than the skip and back by the skip, in
// blocks: 0 3 1 4 2 5, then the next six.
func leapfrog(n, skip int) []int {
	order := make([]int, 0, n)
	ahead := skip + 1
	for block := 0; block < n; block += 2 * ahead {
		for i := block; i < block+ahead; i++ {
			if i < n {
				order = append(order, i)
			}
			if i+ahead < n {
				order = append(order, i+ahead)
			}
		}
	}
	return order
}

// driven is the run as it is driven: entered at its first or last row
// (fromLast) with the bearing or against it (against), turning at each end.
func (r run) driven(order []int, fromLast, against bool) []orb.LineString {
	lines := make([]orb.LineString, len(order))
	for k, i := range order {
		if fromLast {
			i = len(r) - 1 - i
		}
		lines[k] = orb.LineString{r[i].From, r[i].To}
		if (k%2 == 1) != against {
			lines[k][0], lines[k][1] = lines[k][1], lines[k][0]
		}
	}
	return lines
}

// driveRuns strings runs together: from where the machine is, the run with the
// nearest way in comes next.
func driveRuns(runs []run, spacingM, radiusM float64, at orb.Point) []orb.LineString {
	var lines []orb.LineString
	left := slices.Clone(runs)
	for len(left) > 0 {
		var best []orb.LineString
		which, least := 0, math.Inf(1)
		for i, r := range left {
			order := r.order(spacingM, radiusM)
			for way := 0; way < 4; way++ {
				last, against := way&2 != 0, way&1 != 0
				if d := apart(at, r.entry(last, against)); d < least {
					which, least, best = i, d, r.driven(order, last, against)
				}
			}
		}
		lines = append(lines, best...)
		at = best[len(best)-1][1]
		left = slices.Delete(left, which, which+1)
	}
	return lines
}

func (r run) entry(fromLast, against bool) orb.Point {
	s := r[0]
	if fromLast {
		s = r[len(r)-1]
	}
	if against {
		return s.To
	}
	return s.From
}
