package walk

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

const acreM2 = 4046.8564224 // international foot

// squareLap walks round a square at a steady speed with one reading a second.
func squareLap(areaM2 float64, n int, speedMPS, sigmaM float64) lap {
	side := math.Sqrt(areaM2)
	l := make(lap, n)
	for i := range l {
		l[i] = reading{
			at:     alongSquare(side, 4*side*float64(i)/float64(n)),
			timeS:  float64(i) * 4 * side / float64(n) / speedMPS,
			sigmaM: sigmaM,
		}
	}
	return l
}

func alongSquare(side, along float64) orb.Point {
	leg, rest := math.Floor(along/side), math.Mod(along, side)
	switch int(leg) % 4 {
	case 0:
		return orb.Point{rest, 0}
	case 1:
		return orb.Point{side, rest}
	case 2:
		return orb.Point{side - rest, side}
	default:
		return orb.Point{0, side - rest}
	}
}

// shaken adds AR(1) errors to a lap.
func shaken(l lap, correlationS float64, rng *rand.Rand) lap {
	out := make(lap, len(l))
	var e orb.Point
	for i, r := range l {
		kept := 0.0
		if i > 0 {
			kept = kinship(r.timeS-l[i-1].timeS, correlationS)
		}
		fresh := math.Sqrt(1 - kept*kept)
		e = orb.Point{kept*e[0] + fresh*rng.NormFloat64(), kept*e[1] + fresh*rng.NormFloat64()}
		out[i] = r
		out[i].at = orb.Point{r.at[0] + e[0]*r.sigmaM, r.at[1] + e[1]*r.sigmaM}
	}
	return out
}

// drawnDeviation is the standard deviation of the area over seeded draws.
func drawnDeviation(l lap, correlationS float64, runs int, rng *rand.Rand) float64 {
	truth, squares := l.areaM2(), 0.0
	for range runs {
		d := shaken(l, correlationS, rng).areaM2() - truth
		squares += d * d
	}
	return math.Sqrt(squares / float64(runs))
}

// TestLastingErrorsMatchThePublishedRun reproduces the row VAR-AR1: from the
// formula, and from draws of our own.
func TestLastingErrorsMatchThePublishedRun(t *testing.T) {
	times := []float64{0, 5, 30, 60, 120, 300} // s, from the row's inputs
	want := figures(t, published(t, "VAR-AR1"))
	if len(want) != len(times) {
		t.Fatalf("the row has %d figures", len(want))
	}
	const tolerance = 0.3 // percentage points, from the row
	l := squareLap(acreM2, 196, 1.3, 3)
	for i, correlationS := range times {
		first, second := lastingVariance([]lap{l}, correlationS)
		formula := 100 * math.Sqrt(first+second) / acreM2
		drawn := 100 * drawnDeviation(l, correlationS, 2000, rand.New(rand.NewPCG(1, uint64(i)))) / acreM2
		t.Logf("correlation %3.0f s: published %.1f %%, formula %.3f %%, 2000 draws %.2f %%", correlationS, want[i], formula, drawn)
		for name, got := range map[string]float64{"formula": formula, "draws": drawn} {
			if math.Abs(got-want[i]) > tolerance {
				t.Errorf("correlation %.0f s: %s %.2f %%, published %.1f %%", correlationS, name, got, want[i])
			}
		}
	}
}

// TestIndependentErrorsMatchThePublishedSquare is the row VAR-DENSE, and shows
// that a correlation time of zero is the independent formula.
func TestIndependentErrorsMatchThePublishedSquare(t *testing.T) {
	want := figures(t, published(t, "VAR-DENSE"))[0]
	l := squareLap(acreM2, 196, 1.3, 3)
	first, second := lastingVariance([]lap{l}, 0)
	for name, got := range map[string]float64{
		"independent": math.Sqrt(independentVariance([]lap{l})),
		"lasting":     math.Sqrt(first + second),
	} {
		if math.Abs(got-want) > 0.5 {
			t.Errorf("%s: %.2f m2, published %.2f", name, got, want)
		}
	}
}

// TestRecursionIsTheDoubleSum compares the closed forms with the plain sums
// over all pairs, for uneven times and errors.
func TestRecursionIsTheDoubleSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 0))
	for _, n := range []int{3, 4, 17, 60} {
		l := squareLap(900, n, 1.3, 3)
		for i := range l {
			l[i].timeS += 0.4 * rng.Float64()
			l[i].sigmaM *= 0.5 + rng.Float64()
		}
		for _, correlationS := range []float64{0.5, 20, 400} {
			first, second := lastingVariance([]lap{l}, correlationS)
			plainFirst, plainSecond := plainVariance(l, correlationS)
			if relative(first, plainFirst) > 1e-9 || relative(second, plainSecond) > 1e-9 {
				t.Errorf("n %d, %.1f s: got %g and %g, want %g and %g", n, correlationS, first, second, plainFirst, plainSecond)
			}
		}
	}
}

func relative(a, b float64) float64 { return math.Abs(a-b) / math.Abs(b) }

func plainVariance(l lap, correlationS float64) (first, second float64) {
	n := len(l)
	c := func(i, j int) float64 {
		i, j = i%n, j%n
		return l[i].sigmaM * l[j].sigmaM * math.Exp(-math.Abs(l[i].timeS-l[j].timeS)/correlationS)
	}
	for i := range n {
		for j := range n {
			first += dot(l.gradient(i), l.gradient(j)) * c(i, j)
			second += (c(i, j)*c(i+1, j+1) - c(i, j+1)*c(i+1, j)) / 2
		}
	}
	return first, second
}

// TestLapsAverageHonestly draws pairs of laps walked one after the other: the
// errors of the second are kin to those of the first, so that two laps are
// worth less than two walks.
func TestLapsAverageHonestly(t *testing.T) {
	once := squareLap(1000, 98, 1.3, 3)
	twice := append(lap{}, once...)
	for _, r := range once {
		r.timeS += once[len(once)-1].timeS + 1
		twice = append(twice, r)
	}
	n := len(once)
	for i, correlationS := range []float64{20, 60, 120} {
		first, second := lastingVariance([]lap{twice[:n], twice[n:]}, correlationS)
		rng, squares := rand.New(rand.NewPCG(3, uint64(i))), 0.0
		const runs = 4000
		for range runs {
			both := shaken(twice, correlationS, rng)
			d := (both[:n].areaM2()+both[n:].areaM2())/2 - 1000
			squares += d * d
		}
		formula, drawn := math.Sqrt(first+second), math.Sqrt(squares/runs)
		oneFirst, oneSecond := lastingVariance([]lap{once}, correlationS)
		t.Logf("%3.0f s: one lap %.1f m2, mean of two %.1f m2, draws %.1f m2", correlationS, math.Sqrt(oneFirst+oneSecond), formula, drawn)
		if relative(formula, drawn) > 0.05 {
			t.Errorf("%.0f s: formula %.1f m2, draws %.1f m2", correlationS, formula, drawn)
		}
	}
}

// TestVarianceFromNoisyPoints shows what is expected of V1 when it is taken
// from readings instead of true points: it holds the second-order part twice
// more, so V1 - V2 estimates the whole without bias.
func TestVarianceFromNoisyPoints(t *testing.T) {
	for i, correlationS := range []float64{0, 20, 120} {
		t.Run(fmt.Sprint(correlationS), func(t *testing.T) {
			l := squareLap(500, 70, 1.3, 4)
			first, second := lastingVariance([]lap{l}, correlationS)
			rng, mean := rand.New(rand.NewPCG(4, uint64(i))), 0.0
			const runs = 4000
			for range runs {
				noisy, _ := lastingVariance([]lap{shaken(l, correlationS, rng)}, correlationS)
				mean += noisy / runs
			}
			if relative(mean, first+2*second) > 0.03 {
				t.Errorf("mean of V1 from readings %.0f, V1 + 2 V2 is %.0f", mean, first+2*second)
			}
		})
	}
}

// TestVertexVarianceIsTheIndependentFormula ties the two packages together.
func TestVertexVarianceIsTheIndependentFormula(t *testing.T) {
	corners := []orb.Point{{0, 0}, {40, 0}, {50, 25}, {20, 45}, {-5, 20}}
	l := make(lap, len(corners))
	for i, p := range corners {
		l[i] = reading{at: p, timeS: float64(i), sigmaM: 2}
	}
	first, second := lastingVariance([]lap{l}, 0)
	if want := geo.VertexVarianceM4(corners, 2); relative(first+second, want) > 1e-12 {
		t.Errorf("got %g, want %g", first+second, want)
	}
}
