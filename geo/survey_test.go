package geo_test

import (
	"math"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"
)

func TestPlotSurvey(t *testing.T) {
	plot := squarePlot(t, 50)
	got := plot.Survey(geo.Drawn, "2026-04-30", 2)
	if got.Method != geo.Drawn || got.Date != "2026-04-30" ||
		math.Abs(got.AreaM2-2500) > 0.01 || math.Abs(got.PerimeterM-200) > 0.001 ||
		math.Abs(got.UncertaintyM2-math.Sqrt(2*2500*4+2*16)) > 0.001 {
		t.Errorf("got %+v", got)
	}
	if err := got.Check(); err != nil {
		t.Error(err)
	}
	if plot.Survey(geo.Drawn, "2026-04-30", 0).UncertaintyM2 != 0 {
		t.Error("nothing known about the corners, nothing said about the area")
	}
}

func TestSurveyCheck(t *testing.T) {
	good := geo.Survey{Method: geo.Guessed, Date: "2026-04-30", AreaM2: 1000}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		field, code string
		spoil       func(*geo.Survey)
	}{
		{"method", "unknown_method", func(s *geo.Survey) { s.Method = "dreamt" }},
		{"date", "bad_date", func(s *geo.Survey) { s.Date = "2026-02-30" }},
		{"date", "bad_date", func(s *geo.Survey) { s.Date = "" }},
		{"area_m2", "range", func(s *geo.Survey) { s.AreaM2 = 0 }},
		{"area_m2", "range", func(s *geo.Survey) { s.AreaM2 = math.NaN() }},
		{"perimeter_m", "range", func(s *geo.Survey) { s.PerimeterM = math.Inf(1) }},
		{"uncertainty_m2", "range", func(s *geo.Survey) { s.UncertaintyM2 = -1 }},
	}
	for _, tt := range tests {
		survey := good
		tt.spoil(&survey)
		found, ok := fault.From(survey.Check())
		if !ok || found.Code != tt.code || found.Where.Field != tt.field {
			t.Errorf("%s: got %v", tt.field, found)
		}
	}
}
