package spreader_test

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func everyShape() map[string]spreader.Pattern {
	return map[string]spreader.Pattern{
		"flat":              {Shape: spreader.Flat, Throw: 8},
		"triangle":          {Shape: spreader.Triangle, Throw: 8},
		"trapezoid":         {Shape: spreader.Trapezoid, Throw: 8, FlatShare: 0.4},
		"trapezoid to flat": {Shape: spreader.Trapezoid, Throw: 8, FlatShare: 1},
		"trapezoid to peak": {Shape: spreader.Trapezoid, Throw: 8},
		"bell":              {Shape: spreader.Bell, Throw: 8},
		"oval":              {Shape: spreader.Oval, Throw: 8},
		"parabola":          {Shape: spreader.Parabola, Throw: 8},
		"lopsided":          {Shape: spreader.Lopsided, LeftReach: 3, RightReach: 5},
		"off aim":           {Shape: spreader.Triangle, Throw: 8, Offset: -0.7},
		"pans":              {Shape: spreader.Pans, PanTest: lopsidedPans()},
	}
}

func lopsidedPans() *spreader.PanTest {
	return &spreader.PanTest{PanDistance: 0.8, CentrePan: 6, MissingPans: []int{5, 7}, Runs: [][]float64{
		{1, 4, 9, 15, 0, 22, 0, 12, 7, 3, 0},
		{2, 5, 11, 17, 99, 24, 99, 14, 8, 3, 1},
	}}
}

func TestProfileHoldsTheWholeDrop(t *testing.T) {
	for name, p := range everyShape() {
		for _, step := range []float64{0.05, 0.1, 0.37, 3} {
			profile, err := p.Profile(step)
			if err != nil {
				t.Fatal(name, err)
			}
			total, moment := 0.0, 0.0
			for i, share := range profile.Share {
				if share < -1e-15 {
					t.Errorf("%s: bin %d holds %v", name, i, share)
				}
				total += share
				moment += share * (profile.StartM + (float64(i)+0.5)*step)
			}
			if math.Abs(total-1) > 1e-12 {
				t.Errorf("%s at %v: shares sum to %v", name, step, total)
			}
			if off := map[string]float64{"off aim": -0.7, "triangle": 0, "oval": 0}; step == 0.05 {
				if want, ok := off[name]; ok && math.Abs(moment-want) > 1e-9 {
					t.Errorf("%s: centre of the drop at %v, want %v", name, moment, want)
				}
			}
		}
	}
}

// The exact overlap must agree with a plain sum over fine bins.
func TestOverlapAgreesWithFoldedBins(t *testing.T) {
	const step = 0.01
	for name, p := range everyShape() {
		profile, err := p.Profile(step)
		if err != nil {
			t.Fatal(name, err)
		}
		for _, lane := range []int{300, 400, 560} {
			for _, way := range []spreader.Way{spreader.SameWay, spreader.BackAndForth} {
				got, err := spreader.Overlap(p, units.Length(lane)*step, way)
				if err != nil {
					t.Fatal(name, err)
				}
				if want := foldedBins(profile.Share, int(math.Round(profile.StartM/step)), lane, way); math.Abs(got-want) > 2e-3 {
					t.Errorf("%s at %d, %s: got %.5f, bins say %.5f", name, lane, way, got, want)
				}
			}
		}
	}
}

func foldedBins(share []float64, start, lane int, way spreader.Way) float64 {
	field := make([]float64, 2*lane)
	for i, s := range share {
		ahead := start + i
		second := ahead
		if way == spreader.BackAndForth {
			second = -ahead - 1
		}
		field[((ahead%(2*lane))+2*lane)%(2*lane)] += s
		field[(((second+lane)%(2*lane))+2*lane)%(2*lane)] += s
	}
	mean, squares := 2.0/float64(len(field)), 0.0
	for _, f := range field {
		squares += (f/mean - 1) * (f/mean - 1)
	}
	return math.Sqrt(squares / float64(len(field)))
}

func TestOverlapKeepsItsSymmetries(t *testing.T) {
	left := spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 3, RightReach: 5}
	right := spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 5, RightReach: 3}
	aside := left
	aside.Offset = 0.4
	larger := spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 6, RightReach: 10}
	for _, way := range []spreader.Way{spreader.SameWay, spreader.BackAndForth} {
		base := percent(t, left, 4.4, way)
		if got := percent(t, right, 4.4, way); math.Abs(got-base) > 1e-9 {
			t.Errorf("%s: mirrored gives %v, not %v", way, got, base)
		}
		if got := percent(t, larger, 8.8, way); math.Abs(got-base) > 1e-9 {
			t.Errorf("%s: doubled gives %v, not %v", way, got, base)
		}
	}
	if a, b := percent(t, left, 4.4, spreader.SameWay), percent(t, aside, 4.4, spreader.SameWay); math.Abs(a-b) > 1e-9 {
		t.Errorf("driven the same way, an offset changes nothing: %v, %v", a, b)
	}
}

func TestMissingPansAreInterpolated(t *testing.T) {
	test := spreader.PanTest{PanDistance: 1, CentrePan: 4, MissingPans: []int{3, 4, 6}, Runs: [][]float64{
		{2, 4, -1, math.NaN(), 10, 0, 2}, {4, 6, 0, 0, 12, 0, 4},
	}}
	if err := test.Validate(); err != nil {
		t.Fatal(err)
	}
	if got, want := test.Average(), []float64{3, 5, 7, 9, 11, 7, 3}; !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestPanTestGivesTheRate(t *testing.T) {
	// A flat catch of 10 g in pans of 0.25 m2 over 4 m: 40 g/m2 on 4 m, or on
	// tracks 2 m apart twice that.
	test := spreader.PanTest{PanDistance: 1, PanArea: 0.25, CentrePan: 3, Runs: [][]float64{{.01, .01, .01, .01, .01}}}
	if got := float64(test.Rate(2)); math.Abs(got-0.08) > 1e-12 {
		t.Errorf("got %v kg/m2", got)
	}
}

func TestPatternFaultsNameTheField(t *testing.T) {
	tests := []struct {
		name  string
		spoil spreader.Pattern
		field string
	}{
		{"shape", spreader.Pattern{Shape: "star", Throw: 8}, "shape"},
		{"no throw", spreader.Pattern{Shape: spreader.Triangle}, "throw_m"},
		{"not a number", spreader.Pattern{Shape: spreader.Triangle, Throw: units.Length(math.NaN())}, "throw_m"},
		{"flat share", spreader.Pattern{Shape: spreader.Trapezoid, Throw: 8, FlatShare: 1.5}, "flat_share"},
		{"no sigma", spreader.Pattern{Shape: spreader.Bell}, "sigma_m"},
		{"one reach", spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 3}, "left_reach_m"},
		{"beside the track", spreader.Pattern{Shape: spreader.Flat, Throw: 2, Offset: 5}, "offset_m"},
		{"no pans", spreader.Pattern{Shape: spreader.Pans}, "pan_test"},
		{"no run", spreader.Pattern{Shape: spreader.Pans, PanTest: &spreader.PanTest{}}, "pan_test.runs_kg"},
		{"nothing caught", pans(func(p *spreader.PanTest) { p.Runs = [][]float64{{0, 0, 0}}; p.CentrePan = 2; p.MissingPans = nil }), "pan_test.runs_kg"},
		{"negative", pans(func(p *spreader.PanTest) { p.Runs[0][0] = -1 }), "pan_test.runs_kg"},
		{"ragged", pans(func(p *spreader.PanTest) { p.Runs[0] = p.Runs[0][:9] }), "pan_test.runs_kg"},
		{"eleven runs", pans(func(p *spreader.PanTest) { p.Runs = make([][]float64, 11) }), "pan_test.runs_kg"},
		{"edge missing", pans(func(p *spreader.PanTest) { p.MissingPans = []int{1} }), "pan_test.missing_pans"},
		{"centre", pans(func(p *spreader.PanTest) { p.CentrePan = 12 }), "pan_test.centre_pan"},
		{"distance", pans(func(p *spreader.PanTest) { p.PanDistance = 0 }), "pan_test.pan_distance_m"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			found, ok := fault.From(tt.spoil.Validate())
			if !ok || found.Where.Field != tt.field || found.Remedy == "" {
				t.Fatalf("got %v, want a fault in %s", found, tt.field)
			}
			if _, err := tt.spoil.Profile(0.1); err == nil {
				t.Error("a bad pattern gave a profile")
			}
		})
	}
}

func pans(spoil func(*spreader.PanTest)) spreader.Pattern {
	test := lopsidedPans()
	spoil(test)
	return spreader.Pattern{Shape: spreader.Pans, PanTest: test}
}

func TestProfileRefusesAStepThatIsTooSmall(t *testing.T) {
	for _, step := range []float64{0, -1, 1e-9, math.NaN()} {
		if _, err := everyShape()["triangle"].Profile(step); err == nil {
			t.Errorf("a step of %v was taken", step)
		}
	}
}

func TestPatternSurvivesJSON(t *testing.T) {
	for name, p := range everyShape() {
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var back spreader.Pattern
		if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(p, back) {
			t.Errorf("%s: %s came back as %+v, %v", name, text, back, err)
		}
	}
}

func BenchmarkOverlapPans(b *testing.B) {
	p := everyShape()["pans"]
	for b.Loop() {
		if _, err := spreader.Overlap(p, 4, spreader.BackAndForth); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkProfile(b *testing.B) {
	p := everyShape()["oval"]
	for b.Loop() {
		if _, err := p.Profile(0.05); err != nil {
			b.Fatal(err)
		}
	}
}
