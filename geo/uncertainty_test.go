package geo_test

import (
	"math"
	"math/rand/v2"
	"regexp"
	"testing"

	"evenfall/geo"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// pentagon is the ring of row VAR-5, as its inputs print it.
func pentagon(t *testing.T) (ring orb.Ring, sigmaM, firstOrder, withSecond float64) {
	t.Helper()
	row := referenceRow(t, "VAR-5")
	for _, pair := range regexp.MustCompile(`\(([-\d]+),([-\d]+)\)`).FindAllStringSubmatch(row["inputs"], -1) {
		ring = append(ring, orb.Point{number(t, pair[1]), number(t, pair[2])})
	}
	sigmaM = number(t, regexp.MustCompile(`sigma (\d+) m`).FindStringSubmatch(row["inputs"])[1])
	figures := regexp.MustCompile(`\d+\.\d+`).FindAllString(row["expected"], -1)
	return ring, sigmaM, number(t, figures[0]), number(t, figures[1])
}

func TestVertexVariancePentagon(t *testing.T) {
	ring, sigma, first, second := pentagon(t)
	if got := math.Sqrt(geo.VertexVarianceM4(ring, sigma)); math.Abs(got-second) > 1e-4 {
		t.Errorf("got %.5f, want %.5f", got, second)
	}
	if got := math.Sqrt(geo.VertexVarianceM4(closed(ring), sigma)); math.Abs(got-second) > 1e-4 {
		t.Errorf("closed: got %.5f, want %.5f", got, second)
	}
	const small = 1e-3 // the second-order term vanishes beside the first
	if got := math.Sqrt(geo.VertexVarianceM4(ring, small)) / small * sigma; math.Abs(got-first) > 1e-4 {
		t.Errorf("first order: got %.5f, want %.5f", got, first)
	}
}

// TestVertexVarianceMonteCarlo disturbs the corners and looks at the areas.
func TestVertexVarianceMonteCarlo(t *testing.T) {
	ring, sigma, _, _ := pentagon(t)
	sigma *= 4 // large enough for the second-order term to show
	random := rand.New(rand.NewPCG(5, 1))
	const runs = 40000
	sum, squares := 0.0, 0.0
	for range runs {
		moved := make(orb.Ring, 0, len(ring)+1)
		for _, p := range ring {
			moved = append(moved, orb.Point{p[0] + sigma*random.NormFloat64(), p[1] + sigma*random.NormFloat64()})
		}
		area := planar.Area(append(moved, moved[0]))
		sum, squares = sum+area, squares+area*area
	}
	spread := math.Sqrt(squares/runs - sum/runs*sum/runs)
	want := math.Sqrt(geo.VertexVarianceM4(ring, sigma))
	if math.Abs(spread/want-1) > 0.015 {
		t.Errorf("spread %.1f, stated %.1f", spread, want)
	}
}

func TestVertexVarianceSquares(t *testing.T) {
	acre := number(t, referenceRow(t, "VAR-ACRE")["expected"])
	dense := number(t, referenceRow(t, "VAR-DENSE")["expected"])
	const a, s = 20.0, 1.5
	acreSide := math.Sqrt(number(t, referenceRow(t, "ACRE")["expected"]))
	tests := []struct {
		id              string
		side, sigma     float64
		perSide         int
		want, tolerance float64
	}{
		{"VAR-SQ4", a, s, 1, math.Sqrt(2*a*a*s*s + 2*s*s*s*s), 1e-9},
		{"VAR-ACRE", acreSide, 3, 1, acre, number(t, referenceRow(t, "VAR-ACRE")["tolerance"])},
		{"VAR-DENSE", acreSide, 3, 49, dense, number(t, referenceRow(t, "VAR-DENSE")["tolerance"])},
	}
	for _, tt := range tests {
		if got := math.Sqrt(geo.VertexVarianceM4(denseSquare(tt.side, tt.perSide), tt.sigma)); math.Abs(got-tt.want) > tt.tolerance {
			t.Errorf("%s: got %.4f, want %.4f", tt.id, got, tt.want)
		}
	}
	if got := squarePlot(t, acreSide).DrawnUncertaintyM2(3); math.Abs(got-acre) > 0.05 {
		t.Errorf("a drawn acre: got %.3f, want %.2f", got, acre)
	}
	if geo.VertexVarianceM4(nil, 3) != 0 {
		t.Error("no ring, no variance")
	}
}

// denseSquare is an open square ring with so many points on each side.
func denseSquare(side float64, perSide int) orb.Ring {
	corners := orb.Ring{{0, 0}, {side, 0}, {side, side}, {0, side}, {0, 0}}
	var ring orb.Ring
	for i := range 4 {
		for j := range perSide {
			f := float64(j) / float64(perSide)
			a, b := corners[i], corners[i+1]
			ring = append(ring, orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])})
		}
	}
	return ring
}

func TestHolesAddToTheUncertainty(t *testing.T) {
	outer, hole := block(12, 47, 0.004, 0.004), block(12.001, 47.001, 0.001, 0.001)
	solid, _ := geo.NewPlot("", orb.Polygon{outer})
	holed, err := geo.NewPlot("", orb.Polygon{outer, hole})
	if err != nil {
		t.Fatal(err)
	}
	if holed.DrawnUncertaintyM2(2) <= solid.DrawnUncertaintyM2(2) {
		t.Error("a hole makes the area less certain")
	}
}
