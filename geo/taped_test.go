package geo_test

import (
	"errors"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo"
	"evenfall/geo/fault"
)

func TestTapedAreas(t *testing.T) {
	side := number(t, referenceRow(t, "QUARTER")["expected"]) * 0.3048
	acre := number(t, referenceRow(t, "ACRE")["expected"])
	for _, c := range []struct {
		name    string
		tape    geo.Tape
		wantM2  float64
		rel     float64
		corners int
	}{
		// The published side of a square quarter acre is rounded to 0.001 ft.
		{"square of a quarter acre", geo.Tape{Shape: geo.Rectangle, LengthsM: []float64{side, side}}, acre / 4, 2e-5, 4},
		{"right triangle 3 4 5", geo.Tape{Shape: geo.Triangle, LengthsM: []float64{30, 40, 50}}, 600, 1e-12, 3},
		// Heron's classic with whole-numbered area: sides 13, 14, 15 enclose 84.
		{"triangle 13 14 15", geo.Tape{Shape: geo.Triangle, LengthsM: []float64{14, 15, 13}}, 84, 1e-12, 3},
		{"blunt triangle 4 13 15", geo.Tape{Shape: geo.Triangle, LengthsM: []float64{4, 13, 15}}, 24, 1e-12, 3},
		{"circle", geo.Tape{Shape: geo.Circle, LengthsM: []float64{20}}, math.Pi * 100, 1e-12, 72},
		{"wedge and strip", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{0, 0, 0, 10, 3, 5, 20, 3, 5}}, 40 + 80, 1e-12, 5},
		{"one side of a fence", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{5, 0, 4, 15, 0, 8}}, 60, 1e-12, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.tape.AreaM2(); math.Abs(got/c.wantM2-1) > c.rel {
				t.Errorf("area %.9g m2, want %.9g", got, c.wantM2)
			}
			plot, err := c.tape.Plot("x", orb.Point{-95, 44}, 30)
			if err != nil {
				t.Fatal(err)
			}
			if got := plot.AreaM2(); math.Abs(got/c.tape.AreaM2()-1) > 1e-7 {
				t.Errorf("on the ground %.9g m2, by the tape %.9g", got, c.tape.AreaM2())
			}
			if plot.CornerCount() != c.corners {
				t.Errorf("%d corners, want %d", plot.CornerCount(), c.corners)
			}
		})
	}
}

func TestTapedPlotLiesWhereAndAsItWasAsked(t *testing.T) {
	at := orb.Point{-95, 44}
	plot, err := geo.Tape{Shape: geo.Rectangle, LengthsM: []float64{80, 10}}.Plot("strip", at, 90)
	if err != nil {
		t.Fatal(err)
	}
	box := geo.NewFrame(at).LocalPolygon(plot.Polygon).Bound()
	if east, north := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]; math.Abs(east-80) > 1e-6 || math.Abs(north-10) > 1e-6 {
		t.Errorf("the first side should run east: %.6f m by %.6f m", east, north)
	}
	if middle := box.Center(); math.Hypot(middle[0], middle[1]) > 1e-6 {
		t.Errorf("the middle lies %v m off", middle)
	}
}

// The expected values are the first-order formulas by hand: for a rectangle
// area x share x sqrt 2, for a circle twice area x share.
func TestTapedUncertainty(t *testing.T) {
	for _, c := range []struct {
		tape   geo.Tape
		wantM2 float64
	}{
		{geo.Tape{Shape: geo.Rectangle, LengthsM: []float64{40, 25}}, 1000 * 0.01 * math.Sqrt2},
		{geo.Tape{Shape: geo.Circle, LengthsM: []float64{20}}, 2 * math.Pi * 100 * 0.01},
	} {
		if got := c.tape.UncertaintyM2(0.01); math.Abs(got/c.wantM2-1) > 1e-5 {
			t.Errorf("%v: %.6g m2, want %.6g", c.tape, got, c.wantM2)
		}
	}
}

func TestTapedFaults(t *testing.T) {
	for _, c := range []struct {
		name string
		tape geo.Tape
		code string
	}{
		{"sides that do not close", geo.Tape{Shape: geo.Triangle, LengthsM: []float64{10, 20, 30}}, "taped"},
		{"a length missing", geo.Tape{Shape: geo.Rectangle, LengthsM: []float64{10}}, "taped"},
		{"zero", geo.Tape{Shape: geo.Circle, LengthsM: []float64{0}}, "taped"},
		{"not a number", geo.Tape{Shape: geo.Circle, LengthsM: []float64{math.NaN()}}, "taped"},
		{"endless", geo.Tape{Shape: geo.Circle, LengthsM: []float64{math.Inf(1)}}, "taped"},
		{"one place", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{0, 1, 1}}, "taped"},
		{"places out of order", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{5, 1, 1, 5, 1, 1}}, "taped"},
		{"pinched", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{0, 1, 1, 5, 0, 0, 9, 1, 1}}, "taped"},
		{"no width", geo.Tape{Shape: geo.Baseline, LengthsM: []float64{0, 0, 0, 5, 0, 0}}, "taped"},
		{"no such shape", geo.Tape{Shape: "star", LengthsM: []float64{5}}, "shape"},
		{"nothing", geo.Tape{}, "shape"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.tape.Plot("x", orb.Point{-95, 44}, 0)
			var found *fault.Error
			if !errors.As(err, &found) || found.Code != c.code || found.Remedy == "" {
				t.Errorf("got %v, want a fault with the code %s", err, c.code)
			}
		})
	}
}
