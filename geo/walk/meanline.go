package walk

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/resample"
)

// alignedPoints is into how many points each lap is cut to be laid against the
// others. The matching takes the square of it in time and memory.
const alignedPoints = 300

// meanLine is the closed line that stands for all laps, counter-clockwise: the
// one lap itself, or the point-by-point mean of several.
func meanLine(laps []lap) orb.Ring {
	first := laps[0].ring()
	if len(laps) == 1 {
		return first
	}
	base := orb.LineString(resample.Resample(orb.LineString(first), planar.Distance, alignedPoints))
	sum := slices.Clone(base)
	for _, l := range laps[1:] {
		other := resample.Resample(orb.LineString(l.ring()), planar.Distance, alignedPoints)
		for i, p := range matched(base, other) {
			sum[i] = orb.Point{sum[i][0] + p[0], sum[i][1] + p[1]}
		}
	}
	n := float64(len(laps))
	mean := make(orb.Ring, len(sum))
	for i, p := range sum {
		mean[i] = orb.Point{p[0] / n, p[1] / n}
	}
	mean[len(mean)-1] = mean[0]
	return mean
}

// ring is the closed line of a lap, turned counter-clockwise.
func (l lap) ring() orb.Ring {
	ring := make(orb.Ring, 0, len(l)+1)
	for _, r := range l {
		ring = append(ring, r.at)
	}
	ring = append(ring, ring[0])
	if l.areaM2() < 0 {
		ring.Reverse()
	}
	return ring
}

// matched finds for every point of base its place on other: the mean of the
// points paired with it by the alignment of least total squared distance in
// which neither line is walked backwards (dynamic time warping). Matching by
// the share of the way would drift where one lap was recorded more restlessly.
func matched(base, other orb.LineString) []orb.Point {
	n, m := len(base), len(other)
	cost := make([]float64, n*m)
	for i := range n {
		for j := range m {
			d := minus(base[i], other[j])
			cost[i*m+j] = dot(d, d) + cheapestBefore(cost, i, j, m)
		}
	}
	out, count := make([]orb.Point, n), make([]float64, n)
	for i, j := n-1, m-1; ; {
		out[i] = orb.Point{out[i][0] + other[j][0], out[i][1] + other[j][1]}
		count[i]++
		if i == 0 && j == 0 {
			break
		}
		i, j = stepBefore(cost, i, j, m)
	}
	for i := range out {
		out[i] = orb.Point{out[i][0] / count[i], out[i][1] / count[i]}
	}
	return out
}

func cheapestBefore(cost []float64, i, j, m int) float64 {
	if i == 0 && j == 0 {
		return 0
	}
	i, j = stepBefore(cost, i, j, m)
	return cost[i*m+j]
}

// stepBefore is the cheapest cell that leads to a cell of the alignment.
func stepBefore(cost []float64, i, j, m int) (int, int) {
	if i == 0 {
		return 0, j - 1
	}
	if j == 0 {
		return i - 1, 0
	}
	both, up, left := cost[(i-1)*m+j-1], cost[(i-1)*m+j], cost[i*m+j-1]
	switch math.Min(both, math.Min(up, left)) {
	case both:
		return i - 1, j - 1
	case up:
		return i - 1, j
	default:
		return i, j - 1
	}
}
