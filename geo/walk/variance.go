package walk

import (
	"math"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

// # The area variance under errors that last
//
// A lap is recorded as points p[0..n-1] at times t[0..n-1], each p[i] a true
// point P[i] plus an error whose east part x[i] and north part y[i] are
// independent of each other, have standard deviation s[i], and hang together
// over time as a first-order autoregression (AR(1)) with correlation time T:
//
//	E[x_i x_j] = C_ij = s_i s_j r_ij,   r_ij = exp(-|t_i - t_j| / T).
//
// The area A = 1/2 sum p_i x p_{i+1} (cross products, indices round the lap)
// is bilinear, so its error has just two parts.
//
// First order: with g_i = (P_{i+1} - P_{i-1})/2, the error is sum g_i x e_i,
// which has no bias and the variance
//
//	V1 = sum_i sum_j (g_i . g_j) C_ij.
//
// Time runs one way only: the last point is next to the first one on the ring
// but a whole lap away from it in r, which is where the cost of a closing gap
// comes from. Because r is a product along the way from i to j, the double sum
// is a recursion of one step per point: with S_0 = 0 and
// S_j = exp(-(t_j - t_{j-1})/T) (S_{j-1} + s_{j-1} g_{j-1}),
//
//	V1 = sum_j s_j g_j . (s_j g_j + 2 S_j).
//
// Second order: Q = 1/2 sum_e (x_a y_b - x_b y_a) over the edges e from point a
// to point b of the ring. It has no bias and is uncorrelated with the first
// part, and
//
//	V2 = 1/2 sum_e sum_f (C_aa' C_bb' - C_ab' C_ba'),   f from a' to b'.
//
// For two edges of which one is wholly before the other both products hold the
// same four spans of time and cancel. What is left are each edge with itself,
// and the closing edge (from n-1 back to 0) with every other:
//
//	V2 = 1/2 [ sum_{i<n-1} s_i^2 s_{i+1}^2 (1 - r_{i,i+1}^2)
//	         + s_0^2 s_{n-1}^2 (1 - r_{0,n-1}^2)
//	         - 2 s_0 s_{n-1} sum_{i<n-1} s_i s_{i+1} r_{0,n-1} (1/r_{i,i+1} - r_{i,i+1}) ].
//
// With T = 0 these are the known sums for independent errors: the first order
// s^2/4 sum |P_{i+1} - P_{i-1}|^2 and the second n s^4 / 2.
//
// Edges of two different laps cancel in the same way, the closing ones as
// well, so the mean of L laps has V2 = sum V2_lap / L^2, and V1 with the
// points of all laps in one sum and g divided by L.
//
// The published Monte Carlo row VAR-AR1 of testdata/reference/geo.csv is
// reproduced in variance_test.go from these formulas and by our own draws.

// reading is one fix, or the mean of several while standing still, in local
// metres with the time and the per-axis standard deviation of its error.
type reading struct {
	at     orb.Point
	timeS  float64 // the middle of a stand
	sigmaM float64
	stoodS float64 // how long a stand lasted
}

// lap is a closed ring of readings in the order of time; the last is not the
// first again.
type lap []reading

// areaM2 is the signed area, positive counter-clockwise.
func (l lap) areaM2() float64 {
	if len(l) == 0 {
		return 0
	}
	sum := 0.0
	origin := l[0].at // keeps the products small beside the area
	for i := range l {
		a, b := minus(l[i].at, origin), minus(l[(i+1)%len(l)].at, origin)
		sum += cross(a, b)
	}
	return sum / 2
}

// gradient is g_i, the change of the area with the error of reading i.
func (l lap) gradient(i int) orb.Point {
	n := len(l)
	chord := minus(l[(i+1)%n].at, l[(i+n-1)%n].at)
	return orb.Point{chord[0] / 2, chord[1] / 2}
}

// lastingVariance is V1 and V2, in metres to the fourth, of the mean area of
// laps that follow each other in time, for a correlation time in seconds.
func lastingVariance(laps []lap, correlationS float64) (first, second float64) {
	share := 1 / float64(len(laps))
	var carried orb.Point
	before := math.Inf(-1)
	for _, l := range laps {
		turn := math.Copysign(share, l.areaM2()) // laps may run opposite ways round
		for i, r := range l {
			g := l.gradient(i)
			g = orb.Point{g[0] * turn * r.sigmaM, g[1] * turn * r.sigmaM}
			kept := kinship(r.timeS-before, correlationS)
			carried = orb.Point{carried[0] * kept, carried[1] * kept}
			first += dot(g, orb.Point{g[0] + 2*carried[0], g[1] + 2*carried[1]})
			carried = orb.Point{carried[0] + g[0], carried[1] + g[1]}
			before = r.timeS
		}
		second += share * share * l.pairVariance(correlationS)
	}
	return first, second
}

// pairVariance is V2 of one lap.
func (l lap) pairVariance(correlationS float64) float64 {
	n := len(l)
	if n < 3 {
		return 0
	}
	start, end := l[0], l[n-1]
	wholeS, ends := end.timeS-start.timeS, start.sigmaM*end.sigmaM
	sum := ends * ends * (1 - kinship(2*wholeS, correlationS))
	for i := range n - 1 {
		edgeS, pair := l[i+1].timeS-l[i].timeS, l[i].sigmaM*l[i+1].sigmaM
		sum += pair * pair * (1 - kinship(2*edgeS, correlationS))
		sum -= 2 * ends * pair * (kinship(wholeS-edgeS, correlationS) - kinship(wholeS+edgeS, correlationS))
	}
	return sum / 2
}

// kinship is r, the correlation of two errors a time apart. With no
// correlation time errors are independent, and an error is kin to itself only.
func kinship(apartS, correlationS float64) float64 {
	if correlationS > 0 {
		return math.Exp(-apartS / correlationS)
	}
	if apartS == 0 {
		return 1
	}
	return 0
}

// independentVariance is the variance of the mean area of laps when every fix
// errs on its own.
func independentVariance(laps []lap) float64 {
	sum := 0.0
	for _, l := range laps {
		points, squares := make([]orb.Point, len(l)), 0.0
		for i, r := range l {
			points[i] = r.at
			squares += r.sigmaM * r.sigmaM
		}
		sum += geo.VertexVarianceM4(points, math.Sqrt(squares/float64(len(l))))
	}
	return sum / float64(len(laps)*len(laps))
}

func minus(a, b orb.Point) orb.Point { return orb.Point{a[0] - b[0], a[1] - b[1]} }

func cross(a, b orb.Point) float64 { return a[0]*b[1] - a[1]*b[0] }

func dot(a, b orb.Point) float64 { return a[0]*b[0] + a[1]*b[1] }
