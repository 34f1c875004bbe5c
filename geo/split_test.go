package geo_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo"
	"evenfall/geo/fault"
)

// metres puts a ring or line of metres around a place in degrees.
func metres(points ...[2]float64) []orb.Point {
	frame := geo.NewFrame(orb.Point{-95, 44})
	out := make([]orb.Point, len(points))
	for i, p := range points {
		out[i] = frame.ToLonLat(p)
	}
	return out
}

var (
	squareRing = orb.Ring(metres([2]float64{0, 0}, [2]float64{100, 0}, [2]float64{100, 100}, [2]float64{0, 100}))
	squareHole = orb.Ring(metres([2]float64{40, 40}, [2]float64{60, 40}, [2]float64{60, 60}, [2]float64{40, 60}))
	uRing      = orb.Ring(metres([2]float64{0, 0}, [2]float64{90, 0}, [2]float64{90, 90}, [2]float64{60, 90},
		[2]float64{60, 30}, [2]float64{30, 30}, [2]float64{30, 90}, [2]float64{0, 90}))
)

func TestSplit(t *testing.T) {
	for _, c := range []struct {
		name    string
		rings   orb.Polygon
		line    orb.LineString
		wantM2  []float64 // planar, largest first
		corners []int
	}{
		{"a square across", orb.Polygon{squareRing}, metres([2]float64{30, -10}, [2]float64{30, 110}), []float64{7000, 3000}, []int{4, 4}},
		{"back the other way", orb.Polygon{squareRing}, metres([2]float64{30, 110}, [2]float64{30, -10}), []float64{7000, 3000}, []int{4, 4}},
		{"corner to corner", orb.Polygon{squareRing}, orb.LineString{squareRing[0], squareRing[2]}, []float64{5000, 5000}, []int{3, 3}},
		{"bent inside", orb.Polygon{squareRing}, metres([2]float64{50, -10}, [2]float64{50, 50}, [2]float64{110, 50}), []float64{7500, 2500}, []int{6, 4}},
		{"through the hole", orb.Polygon{squareRing, squareHole}, metres([2]float64{50, -10}, [2]float64{50, 110}), []float64{4800, 4800}, []int{8, 8}},
		{"beside the hole", orb.Polygon{squareRing, squareHole}, metres([2]float64{20, -10}, [2]float64{20, 110}), []float64{7600, 2000}, []int{8, 4}},
		{"both arms", orb.Polygon{uRing}, metres([2]float64{-10, 60}, [2]float64{100, 60}), []float64{4500, 900, 900}, []int{8, 4, 4}},
		{"one arm", orb.Polygon{uRing}, metres([2]float64{-10, 60}, [2]float64{45, 60}), []float64{5400, 900}, []int{8, 4}},
		{"in and out twice", orb.Polygon{squareRing}, metres([2]float64{30, -10}, [2]float64{30, 110}, [2]float64{70, 110}, [2]float64{70, -10}),
			[]float64{4000, 3000, 3000}, []int{4, 4, 4}},
		{"a loose end beside a cut", orb.Polygon{squareRing}, metres([2]float64{30, -10}, [2]float64{30, 110}, [2]float64{60, 110}, [2]float64{60, 50}),
			[]float64{7000, 3000}, []int{4, 4}},
		{"given a turn further east", orb.Polygon{squareRing}, eastward(metres([2]float64{30, -10}, [2]float64{30, 110})), []float64{7000, 3000}, []int{4, 4}},
	} {
		t.Run(c.name, func(t *testing.T) {
			plot, err := geo.NewPlot("x", c.rings)
			if err != nil {
				t.Fatal(err)
			}
			pieces, err := plot.Split(c.line)
			if err != nil {
				t.Fatal(err)
			}
			if len(pieces) != len(c.wantM2) {
				t.Fatalf("%d pieces, want %d", len(pieces), len(c.wantM2))
			}
			for i, piece := range pieces {
				// Edges of degrees bend by less than a millimetre over 100 m.
				if got := piece.AreaM2(); math.Abs(got-c.wantM2[i]) > 0.05 {
					t.Errorf("piece %d has %.4f m2, want %.0f", i, got, c.wantM2[i])
				}
				if len(c.corners) > i && c.wantM2[0] != c.wantM2[1] && piece.CornerCount() != c.corners[i] {
					t.Errorf("piece %d has %d corners, want %d", i, piece.CornerCount(), c.corners[i])
				}
			}
		})
	}
}

func eastward(line orb.LineString) orb.LineString {
	for i := range line {
		line[i][0] += 360
	}
	return line
}

func TestSplitRefuses(t *testing.T) {
	ring := orb.Polygon{squareRing, squareHole}
	for _, c := range []struct {
		name, code string
		line       orb.LineString
	}{
		{"ends inside", "no_cut", metres([2]float64{20, -10}, [2]float64{20, 90})},
		{"only into the hole", "no_cut", metres([2]float64{50, -10}, [2]float64{50, 50})},
		{"misses", "no_cut", metres([2]float64{200, 0}, [2]float64{200, 100})},
		{"a point", "no_cut", metres([2]float64{50, 50}, [2]float64{50, 50})},
		{"nothing", "no_cut", nil},
		{"a loop", "cut_crosses", metres([2]float64{20, -10}, [2]float64{20, 110}, [2]float64{-10, 110}, [2]float64{-10, 50}, [2]float64{110, 50})},
		{"not on earth", "not_finite", orb.LineString{{math.NaN(), 44}, {-95, 44}}},
		{"a sliver", "too_small", metres([2]float64{0.001, -10}, [2]float64{0.001, 110})},
	} {
		t.Run(c.name, func(t *testing.T) {
			plot, err := geo.NewPlot("x", ring)
			if err != nil {
				t.Fatal(err)
			}
			_, err = plot.Split(c.line)
			var found *fault.Error
			if !errors.As(err, &found) || found.Code != c.code {
				t.Errorf("got %v, want the code %s", err, c.code)
			}
		})
	}
}

// A cut neither loses nor invents ground, whatever the plot and the line.
func TestSplitKeepsTheGround(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 7))
	cuts := 0
	for range 400 {
		plot := starPlot(t, random)
		line := make([][2]float64, 2+random.IntN(3))
		for i := range line {
			line[i] = [2]float64{random.Float64()*300 - 150, random.Float64()*300 - 150}
		}
		pieces, err := plot.Split(metres(line...))
		if err != nil {
			var found *fault.Error
			if !errors.As(err, &found) || found.Code == "cut_unclear" {
				t.Fatalf("line %v: %v", line, err)
			}
			continue
		}
		cuts++
		sum := 0.0
		for _, piece := range pieces {
			sum += piece.AreaM2()
		}
		// A geodesic edge with a corner more bends otherwise: some 1e-7 here.
		if math.Abs(sum/plot.AreaM2()-1) > 1e-6 {
			t.Fatalf("line %v: pieces hold %.6f m2 of %.6f", line, sum, plot.AreaM2())
		}
	}
	if cuts < 100 {
		t.Fatalf("only %d of 400 lines cut", cuts)
	}
}

// starPlot is a random star of 5 to 40 corners with a hole in the middle.
func starPlot(t *testing.T, random *rand.Rand) geo.Plot {
	t.Helper()
	star := func(n int, least, most float64) orb.Ring {
		var points [][2]float64
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := least + random.Float64()*(most-least)
			points = append(points, [2]float64{r * cos, r * sin})
		}
		return metres(points...)
	}
	plot, err := geo.NewPlot("star", orb.Polygon{star(5+random.IntN(36), 60, 120), star(4, 5, 15)})
	if err != nil {
		t.Fatal(err)
	}
	return plot
}
