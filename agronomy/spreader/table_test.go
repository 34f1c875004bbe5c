package spreader_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

const panTable = "\ufeff# a calm morning\nposition (ft),run 1 (g),run 2 (g)\n-4,11,13\n-2,,\n0,30,28\n2,20,22\n\n4,9,11\n"

func TestPanTestIsRead(t *testing.T) {
	got, err := spreader.ReadPanTest(strings.NewReader(strings.TrimPrefix(panTable, "\ufeff")))
	if err != nil {
		t.Fatal(err)
	}
	if got.CentrePan != 3 || float64(got.PanDistance) != 2*0.3048 || !reflect.DeepEqual(got.MissingPans, []int{2}) || len(got.Runs) != 2 {
		t.Fatalf("got %+v", got)
	}
	for i, want := range []float64{12, 20.5, 29, 21, 10} {
		if average := got.Average()[i]; average*1000-want > 1e-9 || want-average*1000 > 1e-9 {
			t.Errorf("pan %d: %v g, want %v", i+1, average*1000, want)
		}
	}
}

func TestPansBesideTheTrackAreRead(t *testing.T) {
	got, err := spreader.ReadPanTest(strings.NewReader("position (m),run (kg)\n-0.3,1\n-0.1,2\n0.1,2\n0.3,1\n"))
	if err != nil || got.CentrePan != 2.5 {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestCatchTestsAreRead(t *testing.T) {
	text := "Material,Gate,Caught (lb),Time (s),Course (ft),Speed (mph)\n44-0-0 ,4,8.5,15,,\n44-0-0,6,10,,300,6\n"
	got, err := spreader.ReadCatchTests(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	want := []spreader.CatchTest{
		{Material: "44-0-0", Gate: 4, Mass: 8.5 * units.Pound, Time: 15},
		{Material: "44-0-0", Gate: 6, Mass: 10 * units.Pound, Course: 300 * units.Foot, Speed: 6 * units.MPH},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v", got)
	}
}

func TestTableFaultsSayTheLine(t *testing.T) {
	pan := func(s string) error { _, err := spreader.ReadPanTest(strings.NewReader(s)); return err }
	catch := func(s string) error { _, err := spreader.ReadCatchTests(strings.NewReader(s)); return err }
	tests := []struct {
		name, text string
		read       func(string) error
		code       string
		line       int
	}{
		{"nothing", "", pan, "empty", 0},
		{"header only", "position (ft),run 1 (g)\n", pan, "empty", 0},
		{"quote", "position (ft),run 1 (g)\n-2,\"1\n", pan, "csv", 2},
		{"no position", "place (ft),run 1 (g)\n-2,1\n", pan, "header", 1},
		{"no unit", "\n\nposition,run 1 (g)\n-2,1\n0,2\n2,1\n", pan, "header_unit", 3},
		{"wrong unit", "position (ft),run 1 (ft)\n-2,1\n0,2\n2,1\n", pan, "header_unit", 1},
		{"two units", "position (ft),run 1 (lb 3 oz)\n-2,1\n0,2\n2,1\n", pan, "header_unit", 1},
		{"not a run", "position (ft),catch (g)\n-2,1\n0,2\n2,1\n", pan, "header", 1},
		{"word", "position (ft),run 1 (g)\n-2,1\n0,lots\n2,1\n", pan, "not_a_number", 3},
		{"infinite", "position (ft),run 1 (g)\n-2,1\n0,inf\n2,1\n", pan, "not_a_number", 3},
		{"negative", "position (ft),run 1 (g)\n-2,1\n0,2\n2,-1\n", pan, "negative", 4},
		{"uneven", "position (ft),run 1 (g)\n-2,1\n0,2\n3,1\n", pan, "uneven_steps", 4},
		{"backwards", "position (ft),run 1 (g)\n2,1\n0,2\n-2,1\n", pan, "uneven_steps", 3},
		{"short line", "position (ft),run 1 (g)\n-2,1\n0\n2,1\n", pan, "ragged", 3},
		{"empty once", "position (ft),run 1 (g),run 2 (g)\n-2,1,1\n0,2,\n2,1,1\n", pan, "missing_in_one", 3},
		{"beside", "position (ft),run 1 (g)\n2,1\n4,2\n6,1\n", pan, "range", 0},
		{"edge missing", "position (ft),run 1 (g)\n-2,\n0,2\n2,1\n", pan, "missing_edge", 0},
		{"unknown column", "material,gate,caught (lb),colour\na,1,2,red\n", catch, "header", 1},
		{"twice", "material,gate,gate,caught (lb)\na,1,2,3\n", catch, "header", 1},
		{"no gate", "material,caught (lb),time (s)\na,1,2\n", catch, "header", 1},
		{"no time", "material,gate,caught (lb),time (s)\na,1,2,\n", catch, "missing", 2},
		{"no material", "material,gate,caught (lb),time (s)\n,1,2,5\n", catch, "missing", 2},
		{"too long", "material,gate,caught (lb),time (s)\n" + strings.Repeat("a,1,2,5\n", 3000), catch, "too_large", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			err := tt.read(tt.text)
			found, ok := fault.From(err)
			if !ok || found.Code != tt.code || found.Where.Line != tt.line || found.Remedy == "" {
				t.Errorf("got %v, want %s on line %d", err, tt.code, tt.line)
			}
		})
	}
}

func FuzzReadPanTest(f *testing.F) {
	f.Add([]byte(panTable))
	f.Add([]byte("position (m),run (kg)\n-0.3,1\n-0.1,2\n0.1,2\n0.3,1\n"))
	f.Add([]byte("position (ft),run 1 (g)\n2,1\n0,2\n-2,1\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		test, err := spreader.ReadPanTest(bytes.NewReader(data))
		if err != nil {
			mustBeFault(t, err)
			return
		}
		pattern := spreader.Pattern{Shape: spreader.Pans, PanTest: &test}
		cv, err := spreader.Overlap(pattern, pattern.Width()/2, spreader.BackAndForth)
		if pattern.Validate() == nil && (err != nil || !(cv >= 0)) {
			t.Errorf("a valid test folds to %v, %v", cv, err)
		}
	})
}

func FuzzReadCatchTests(f *testing.F) {
	f.Add([]byte("material,gate,caught (lb),time (s),course (ft),speed (mph)\n44-0-0,4,8.5,15,,\n44-0-0,6,10,,300,6\n"))
	f.Add([]byte("gate,material,caught (kg),time (min)\n1,oats,2,1\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		tests, err := spreader.ReadCatchTests(bytes.NewReader(data))
		if err != nil {
			mustBeFault(t, err)
			return
		}
		for _, test := range tests {
			if flow := test.Flow(); !(flow > 0) {
				t.Errorf("%+v flows at %v", test, flow)
			}
		}
	})
}

func mustBeFault(t *testing.T, err error) {
	t.Helper()
	if _, ok := fault.From(err); !ok {
		t.Errorf("%v is not a fault", err)
	}
}
