package spreader_test

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// check is one row of the published and derived check values.
type check struct{ inputs, expected, tolerance, source string }

func reference(t *testing.T) map[string]check {
	t.Helper()
	file, err := os.Open("../../testdata/reference/spread.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checks := map[string]check{}
	for _, row := range rows[1:] {
		checks[row[0]] = check{row[2], row[3], row[4], row[6]}
	}
	return checks
}

var (
	numeral   = regexp.MustCompile(`-?\d*\.?\d+`)
	bracketed = regexp.MustCompile(`\([^)]*\)`)
	fraction  = regexp.MustCompile(`(\d+)/(\d+)`)
)

// numbers are the figures of a text in order, fractions worked out.
func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	text = fraction.ReplaceAllStringFunc(text, func(f string) string {
		top, bottom, _ := strings.Cut(f, "/")
		return strconv.FormatFloat(number(t, top)/number(t, bottom), 'g', 17, 64)
	})
	var found []float64
	for _, word := range numeral.FindAllString(text, -1) {
		found = append(found, number(t, word))
	}
	return found
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// wants are a row's expected figures, without what is printed in brackets.
func (c check) wants(t *testing.T) []float64 {
	return numbers(t, bracketed.ReplaceAllString(strings.Split(c.expected, "formula")[0], ""))
}

func (c check) within(t *testing.T) float64 {
	if c.tolerance == "exact" {
		return 1e-12
	}
	return number(t, c.tolerance)
}

func row(t *testing.T, id string) check {
	t.Helper()
	c, ok := reference(t)[id]
	if !ok {
		t.Fatalf("spread.csv has no row %s", id)
	}
	return c
}

func agree(t *testing.T, c check, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > c.within(t)*max(1, boolScale(c.tolerance == "exact", math.Abs(want))) {
		t.Errorf("%s: got %.6f, want %.6f within %s (%s)", what, got, want, c.tolerance, c.source)
	}
}

func boolScale(on bool, scale float64) float64 {
	if on {
		return scale
	}
	return 1
}

func percent(t *testing.T, p spreader.Pattern, spacing float64, way spreader.Way) float64 {
	t.Helper()
	cv, err := spreader.Overlap(p, units.Length(spacing), way)
	if err != nil {
		t.Fatal(err)
	}
	return 100 * cv
}

// Every named shape, at a half throw of one metre; GAUSS has a sigma of one.
func TestNamedShapesOverlapAsPublished(t *testing.T) {
	tests := []struct {
		id      string
		pattern spreader.Pattern
	}{
		{"TRI", spreader.Pattern{Shape: spreader.Triangle, Throw: 2}},
		{"RECT", spreader.Pattern{Shape: spreader.Flat, Throw: 2}},
		{"TRAP", spreader.Pattern{Shape: spreader.Trapezoid, Throw: 2, FlatShare: 0.4}},
		{"GAUSS", spreader.Pattern{Shape: spreader.Bell, Sigma: 1}},
		{"PARAB", spreader.Pattern{Shape: spreader.Parabola, Throw: 2}},
		{"OVAL", spreader.Pattern{Shape: spreader.Oval, Throw: 2}},
	}
	for _, tt := range tests {
		t.Run(tt.id, func(t *testing.T) {
			c := row(t, tt.id)
			_, list, _ := strings.Cut(c.inputs, "=")
			spacings, wants := numbers(t, list), c.wants(t)
			if len(spacings) != len(wants) || len(wants) == 0 {
				t.Fatalf("%d spacings, %d figures", len(spacings), len(wants))
			}
			for i, spacing := range spacings {
				agree(t, c, "same way at "+strconv.FormatFloat(spacing, 'g', 6, 64), percent(t, tt.pattern, spacing, spreader.SameWay), wants[i])
				agree(t, c, "back and forth", percent(t, tt.pattern, spacing, spreader.BackAndForth), wants[i])
			}
		})
	}
}

func TestUnevenSidesOverlapAsDerived(t *testing.T) {
	patterns := map[string]spreader.Pattern{
		"SKEW":   {Shape: spreader.Lopsided, LeftReach: 0.8, RightReach: 1.2},
		"OFFAIM": {Shape: spreader.Triangle, Throw: 2, Offset: 0.1},
	}
	for id, p := range patterns {
		c := row(t, id)
		wants := c.wants(t)
		for i, spacing := range numbers(t, strings.TrimPrefix(c.inputs, "s = ")) {
			agree(t, c, id+" same way", percent(t, p, spacing, spreader.SameWay), wants[2*i])
			agree(t, c, id+" back and forth", percent(t, p, spacing, spreader.BackAndForth), wants[2*i+1])
		}
	}
}

func TestHalfRatesAsDerived(t *testing.T) {
	c := row(t, "CROSS")
	rightAngles, parallel, err := spreader.HalfRateTwice(spreader.Pattern{Shape: spreader.Triangle, Throw: 2}, 1.5, spreader.SameWay)
	if err != nil {
		t.Fatal(err)
	}
	wants := c.wants(t)
	agree(t, c, "right angles", 100*rightAngles, wants[0])
	agree(t, c, "in parallel", 100*parallel, wants[1])
}

// The rows that end in P are driven the same way, those in B back and forth.
func TestPanRowsFoldAsPublished(t *testing.T) {
	layout := row(t, "PAN-8P").inputs
	_, catches, _ := strings.Cut(layout, ":")
	catches, _, _ = strings.Cut(catches, ";")
	test := spreader.PanTest{PanDistance: 2 * units.Foot, CentrePan: 6, Runs: [][]float64{numbers(t, catches)}}
	for _, feet := range []string{"8", "10", "12", "14"} {
		for suffix, way := range map[string]spreader.Way{"P": spreader.SameWay, "B": spreader.BackAndForth} {
			id := "PAN-" + feet + suffix
			c := row(t, id)
			fold, err := test.Fold(units.Length(number(t, feet))*units.Foot, way)
			if err != nil {
				t.Fatal(err)
			}
			agree(t, c, id, 100*fold.CVPopulation, c.wants(t)[0])
		}
	}
}

func TestPublishedLaneFolds(t *testing.T) {
	c := row(t, "NC-FOLD")
	parts := strings.Split(c.inputs, ":")
	catches, _, _ := strings.Cut(parts[1], ";")
	test := spreader.PanTest{PanDistance: 20 * units.Foot, CentrePan: 8.5, Runs: [][]float64{numbers(t, catches)}}
	fold, err := test.Fold(224*units.Foot, spreader.SameWay)
	if err != nil {
		t.Fatal(err)
	}
	exact := numbers(t, bracketed.FindString(c.expected))
	variations := numbers(t, strings.Split(c.expected, ";")[1])
	if len(fold.Catch) != 12 || len(exact) != 3 || len(variations) != 2 {
		t.Fatalf("%d pans in the lane, %v, %v", len(fold.Catch), exact, variations)
	}
	agree(t, c, "CU", 100*fold.ChristiansenCU, exact[0])
	agree(t, c, "DU low half", 100*fold.DULowHalf, exact[1])
	agree(t, c, "DU low quarter", 100*fold.DULowQuarter, exact[2])
	agree(t, c, "CV population", 100*fold.CVPopulation, variations[0])
	agree(t, c, "CV sample", 100*fold.CVSample, variations[1])
}

func TestCourseRates(t *testing.T) {
	tests := []struct {
		id            string
		used          units.Mass
		course, width units.Length
	}{
		{"DIST-1", 0.1875 * units.Pound, 200 * units.Foot, 23 * units.Foot},
		{"DIST-2", 20 * units.Pound, 10 * units.Foot, 435 * units.Foot},
	}
	for _, tt := range tests {
		c := row(t, tt.id)
		rate, err := spreader.CourseRate(tt.used, tt.course, tt.width)
		if err != nil {
			t.Fatal(err)
		}
		agree(t, c, tt.id, rate.PoundsPerAcre(), c.wants(t)[0])
	}
	for _, id := range []string{"COURSE-12", "COURSE-19"} {
		c := row(t, id)
		width := units.Length(numbers(t, c.inputs)[0]) * units.Inch
		length, err := spreader.CourseLength(units.Acre/128, width)
		if err != nil {
			t.Fatal(err)
		}
		agree(t, c, id, length.Feet(), c.wants(t)[0])
	}
}

func TestFlowsAndSpeeds(t *testing.T) {
	flow := func(id string, r units.MassPerArea, v units.Speed, s units.Length) {
		c := row(t, id)
		got := units.FlowFor(r, s, v)
		want := got.PoundsPerMinute()
		if id == "FLOW-M" {
			want = got.KilogramsPerMinute()
		}
		agree(t, c, id, want, c.wants(t)[0])
	}
	flow("FLOW-1", 200*units.PoundPerAcre, 5*units.MPH, 20*units.Foot)
	flow("FLOW-2", 300*units.PoundPerAcre, 6*units.MPH, 30*units.Foot)
	flow("FLOW-M", 300*units.KilogramPerHa, 8*units.KPH, 18)
	k := row(t, "K495")
	agree(t, k, "K495", 1/units.FlowFor(units.PoundPerAcre, units.Foot, units.MPH).PoundsPerMinute(), k.wants(t)[0])
	for id, feet := range map[string]units.Length{"SPEED-1": 150, "SPEED-2": 88, "SPEED-3": 88} {
		c := row(t, id)
		seconds := numbers(t, c.inputs)[1]
		agree(t, c, id, (feet * units.Foot).In(units.Duration(seconds)).MPH(), c.wants(t)[0])
	}
}
