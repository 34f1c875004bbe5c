package spreader_test

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func whole() spreader.Spreader {
	s := urea()
	s.Patterns.Seed = &spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 3, RightReach: 2.5}
	s.HopperVolume, s.HopperMass = 0.06, 45
	s.TurnRadius, s.ThrowBehind = 2.4, 1.5
	s.SteeringError, s.SpeedError = spreader.DefaultSteeringError, spreader.DefaultSpeedError
	return s
}

func TestSpreaderSurvivesJSON(t *testing.T) {
	s := whole()
	if err := s.Validate(); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var back spreader.Spreader
	if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(s, back) {
		t.Errorf("%s came back as %+v, %v", text, back, err)
	}
}

func TestSpreaderFaultsNameTheField(t *testing.T) {
	nan := math.NaN()
	tests := map[string]func(*spreader.Spreader){
		"name":                     func(s *spreader.Spreader) { s.Name = "" },
		"patterns.usual.throw_m":   func(s *spreader.Spreader) { s.Patterns.Usual.Throw = 0 },
		"patterns.seed.shape":      func(s *spreader.Spreader) { s.Patterns.Seed.Shape = "" },
		"hopper_kg":                func(s *spreader.Spreader) { s.HopperMass = -1 },
		"hopper_m3":                func(s *spreader.Spreader) { s.HopperVolume = units.Volume(nan) },
		"speed_min_mps":            func(s *spreader.Spreader) { s.SpeedMin = s.SpeedMax + 1 },
		"turn_radius_m":            func(s *spreader.Spreader) { s.TurnRadius = units.Length(math.Inf(1)) },
		"throw_behind_m":           func(s *spreader.Spreader) { s.ThrowBehind = -1 },
		"steering_error_m":         func(s *spreader.Spreader) { s.SteeringError = 10 },
		"speed_error":              func(s *spreader.Spreader) { s.SpeedError = 0.9 },
		"gate_scale.open":          func(s *spreader.Spreader) { s.Gate.Open = s.Gate.Shut },
		"gate_scale.step":          func(s *spreader.Spreader) { s.Gate.Step = -1 },
		"catch_tests[1].mass_kg":   func(s *spreader.Spreader) { s.CatchTests[1].Mass = 0 },
		"catch_tests[0].time_s":    func(s *spreader.Spreader) { s.CatchTests[0].Time = 0 },
		"catch_tests[2].gate":      func(s *spreader.Spreader) { s.CatchTests[2].Gate = nan },
		"catch_tests[3].material":  func(s *spreader.Spreader) { s.CatchTests[3].Material = " " },
		"catch_tests[0].course_m":  func(s *spreader.Spreader) { s.CatchTests[0].Course = -1 },
		"catch_tests[0].speed_mps": func(s *spreader.Spreader) { s.CatchTests[0].Speed = 99 },
		"corrections[0].factor":    func(s *spreader.Spreader) { s.Corrections = []spreader.Correction{{}} },
	}
	for field, spoil := range tests {
		t.Run(field, func(t *testing.T) {
			s := whole()
			spoil(&s)
			found, ok := fault.From(s.Validate())
			if !ok || found.Where.Field != field || found.Remedy == "" {
				t.Errorf("got %v", found)
			}
		})
	}
}

func TestSeedMayHaveItsOwnPattern(t *testing.T) {
	p := whole().Patterns
	if p.For("seed").Shape != spreader.Lopsided || p.For("fertilizer").Shape != spreader.Triangle || p.For("lime").Shape != spreader.Triangle {
		t.Error("the wrong pattern was taken")
	}
}

func TestGateReadsAsOnTheMachine(t *testing.T) {
	down := spreader.GateScale{Shut: 10, Open: 0, Step: 1}
	tests := []struct{ got, want string }{
		{whole().Gate.Format(4.5), "notch 4 1/2"},
		{whole().Gate.Format(8), "notch 8 (wide open)"},
		{down.Format(down.Nearest(-3)), "gate 0 (wide open)"},
		{down.Format(down.Nearest(3.4)), "gate 3"},
		{spreader.GateScale{}.Format(3.14159), "gate 3.14"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

// The sentences must say the figures that the sources print.
func TestAdviceSaysThePublishedFigures(t *testing.T) {
	advices, err := spreader.Advices(units.US)
	if err != nil {
		t.Fatal(err)
	}
	says := map[string]string{}
	for _, a := range advices {
		if a.Says == "" || a.Mark.Kind != "published" || a.Mark.Cite == "" {
			t.Errorf("%+v stands on nothing", a)
		}
		says[a.ID] = a.Says
	}
	wind := row(t, "WIND").wants(t)
	for text, figure := range map[string]float64{says["wind-calibrate"] + says["slope"]: wind[0], says["wind-field"]: wind[1]} {
		if !strings.Contains(text, fmt.Sprintf("%g mph", figure)) {
			t.Errorf("%q does not say %v mph", text, figure)
		}
	}
	water := row(t, "WATER").expected
	for _, figure := range []string{"15", "20", "3"} {
		if !strings.Contains(water, figure) || !strings.Contains(says["water"], figure+" ft") {
			t.Errorf("%q does not say %s ft", says["water"], figure)
		}
	}
	slope := numbers(t, row(t, "SLOPE").expected)[0]
	if !strings.Contains(says["slope"], fmt.Sprintf("%g degrees", slope)) {
		t.Errorf("%q does not say %v degrees", says["slope"], slope)
	}
	metric, err := spreader.Advices(units.Metric)
	if err != nil || len(metric) != len(advices) || slices.ContainsFunc(metric, func(a spreader.Advice) bool { return strings.Contains(a.Says, "mph") }) {
		t.Errorf("metric advice: %v, %v", metric, err)
	}
}
