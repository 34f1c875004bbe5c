package geo_test

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"evenfall/geo"
	"evenfall/internal/installed"

	"github.com/paulmach/orb"
)

// areaToleranceM2 is the tolerance of row AREA; perimeters agree to a
// millimetre.
const (
	areaToleranceM2     = 0.05
	perimeterToleranceM = 0.001
)

// measured is one line of Planimeter's output.
type measured struct {
	corners            int
	perimeterM, areaM2 float64
}

// TestAreaAgainstCommittedPlanimeter reads rings and the answers that
// Planimeter gave for them; testdata/planimeter/README.md holds the command.
func TestAreaAgainstCommittedPlanimeter(t *testing.T) {
	rings := readRings(t, "../testdata/planimeter/rings.txt")
	answer, err := os.ReadFile("../testdata/planimeter/expected.txt")
	if err != nil {
		t.Fatal(err)
	}
	if len(rings) < 40 {
		t.Fatalf("only %d rings", len(rings))
	}
	comparePlanimeter(t, rings, answer)
}

// TestAreaAgainstLivePlanimeter compares 1,000 random plots with the program
// itself.
func TestAreaAgainstLivePlanimeter(t *testing.T) {
	program := installed.Program(t, "Planimeter")
	random := rand.New(rand.NewPCG(1, 2013))
	rings := make([]orb.Ring, 1000)
	for i := range rings {
		rings[i] = randomRing(random)
	}
	command := exec.Command(program, "-w", "-p", "12")
	command.Stdin = strings.NewReader(planimeterInput(rings))
	answer, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	comparePlanimeter(t, rings, answer)
}

// randomRing is star-shaped around a random place, 20 m to 5 km across, with
// 3 to 60 corners.
func randomRing(random *rand.Rand) orb.Ring {
	frame := geo.NewFrame(orb.Point{360*random.Float64() - 180, 160*random.Float64() - 80})
	radius := 10 * math.Pow(250, random.Float64())
	n := 3 + random.IntN(58)
	ring := make(orb.Ring, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.4*random.Float64()) / float64(n))
		r := radius * (0.4 + 0.6*random.Float64())
		p := frame.ToLonLat(orb.Point{r * cos, r * sin})
		ring[i] = geo.WrapLongitude(orb.Point{math.Round(p[0]*1e9) / 1e9, math.Round(p[1]*1e9) / 1e9})
	}
	return ring
}

func planimeterInput(rings []orb.Ring) string {
	var text strings.Builder
	for _, ring := range rings {
		for _, p := range ring {
			fmt.Fprintf(&text, "%.9f %.9f\n", p[0], p[1])
		}
		text.WriteString("end\n")
	}
	return text.String()
}

func readRings(t *testing.T, path string) []orb.Ring {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var rings []orb.Ring
	var ring orb.Ring
	for line := range strings.Lines(string(text)) {
		if line == "end\n" {
			rings, ring = append(rings, ring), nil
			continue
		}
		var p orb.Point
		if _, err := fmt.Sscan(line, &p[0], &p[1]); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		ring = append(ring, p)
	}
	return rings
}

func comparePlanimeter(t *testing.T, rings []orb.Ring, answer []byte) {
	t.Helper()
	lines := bufio.NewScanner(bytes.NewReader(answer))
	worstArea, worstPerimeter := 0.0, 0.0
	for i, ring := range rings {
		var want measured
		if !lines.Scan() {
			t.Fatalf("only %d answers for %d rings", i, len(rings))
		}
		if _, err := fmt.Sscan(lines.Text(), &want.corners, &want.perimeterM, &want.areaM2); err != nil {
			t.Fatalf("%q: %v", lines.Text(), err)
		}
		plot, err := geo.NewPlot("", orb.Polygon{ring})
		if err != nil {
			t.Fatalf("ring %d: %v", i, err)
		}
		if plot.CornerCount() != want.corners {
			t.Errorf("ring %d: %d corners, want %d", i, plot.CornerCount(), want.corners)
		}
		worstArea = max(worstArea, math.Abs(plot.AreaM2()-math.Abs(want.areaM2)))
		worstPerimeter = max(worstPerimeter, math.Abs(plot.PerimeterM()-want.perimeterM))
	}
	t.Logf("%d rings: worst area difference %.2g m2, perimeter %.2g m", len(rings), worstArea, worstPerimeter)
	if worstArea > areaToleranceM2 || worstPerimeter > perimeterToleranceM {
		t.Errorf("differs by %g m2, %g m", worstArea, worstPerimeter)
	}
}

func TestHolesAreSubtracted(t *testing.T) {
	outer, hole := block(12, 47, 0.004, 0.004), block(12.001, 47.001, 0.001, 0.001)
	whole, err1 := geo.NewPlot("", orb.Polygon{outer})
	island, err2 := geo.NewPlot("", orb.Polygon{hole})
	both, err3 := geo.NewPlot("", orb.Polygon{outer, hole})
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	if got, want := both.AreaM2(), whole.AreaM2()-island.AreaM2(); math.Abs(got-want) > 1e-6 {
		t.Errorf("got %g, want %g", got, want)
	}
	if both.PerimeterM() != whole.PerimeterM() {
		t.Error("the perimeter is that of the outer ring")
	}
	if (geo.Plot{}).AreaM2() != 0 || (geo.Plot{}).PerimeterM() != 0 {
		t.Error("no plot, no area")
	}
}

// TestAreaIsNotSpherical finds the error that a sphere would make, row
// AREA-SPHERE, from the area measured here.
func TestAreaIsNotSpherical(t *testing.T) {
	row := referenceRow(t, "AREA-SPHERE")
	tolerance := number(t, row["tolerance"])
	wants := strings.Split(row["expected"], ", ")
	for i, lat := range []float64{0, 35, 51, 60} {
		plot, err := geo.NewPlot("", orb.Polygon{block(12, lat, 0.006, 0.004)})
		if err != nil {
			t.Fatal(err)
		}
		const radius, degree = 6378137.0, math.Pi / 180
		sphere := radius * radius * 0.006 * degree * (math.Sin((lat+0.004)*degree) - math.Sin(lat*degree))
		if got, want := sphere/plot.AreaM2()-1, number(t, wants[i]); math.Abs(got-want) > tolerance {
			t.Errorf("latitude %g: got %+.5f, want %+.5f", lat, got, want)
		}
	}
}

// TestTradeSquares lays out squares of the sides that the rows CHAIN and
// QUARTER give in feet and measures them in acres of row ACRE.
func TestTradeSquares(t *testing.T) {
	acre := number(t, referenceRow(t, "ACRE")["expected"])
	for _, tt := range []struct {
		id    string
		acres float64
	}{{"CHAIN", 0.1}, {"QUARTER", 0.25}} {
		row := referenceRow(t, tt.id)
		plot := squarePlot(t, number(t, row["expected"])*0.3048)
		side := math.Sqrt(tt.acres*acre) / 0.3048
		measuredSide := math.Sqrt(plot.AreaM2()) / 0.3048
		allowed := max(number(t, row["tolerance"]), 1e-6) // the frame is good to 1e-7
		if math.Abs(measuredSide-side) > allowed*side {
			t.Errorf("%s: measured side %.6f ft, want %.6f", tt.id, measuredSide, side)
		}
	}
}

// squarePlot is a square of the given side in metres, centred on a frame.
func squarePlot(t testing.TB, sideM float64) geo.Plot {
	t.Helper()
	h := sideM / 2
	ring := geo.NewFrame(orb.Point{12, 47}).LonLatRing(orb.Ring{{-h, -h}, {h, -h}, {h, h}, {-h, h}})
	plot, err := geo.NewPlot("", orb.Polygon{ring})
	if err != nil {
		t.Fatal(err)
	}
	return plot
}

func BenchmarkArea60(b *testing.B)   { benchmarkArea(b, 60) }
func BenchmarkArea5000(b *testing.B) { benchmarkArea(b, 5000) }

func benchmarkArea(b *testing.B, n int) {
	plot, err := geo.NewPlot("", orb.Polygon{circle(12, 47, 0.0004, n)})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		plot.AreaM2()
	}
}
