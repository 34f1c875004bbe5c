package walk_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/walk"

	"github.com/paulmach/orb"
)

func TestFaults(t *testing.T) {
	good := paced(block, 0.3)
	untimed := slices.Clone(good)
	for i := range untimed {
		untimed[i].TimeS = 0
	}
	poor := slices.Clone(good)
	for i := range poor {
		poor[i].AccuracyM = 30
	}
	broken, nowhere := slices.Clone(good), slices.Clone(good)
	broken[4].LonLat[0] = math.NaN()
	nowhere[6].LonLat[1] = 95
	eight := orb.LineString{{0, 0}, {40, 30}, {40, 0}, {0, 30}, {0, 0}, {6, 4.5}}
	lopsided := orb.LineString{{0, 0}, {60, 45}, {60, -5}, {10, 36}, {0, 0}, {6, 4.5}}
	tests := []struct {
		name  string
		fixes []walk.Fix
		o     walk.Options
		code  string
		says  string
	}{
		{"nothing", nil, walk.Options{}, "too_few_fixes", "0 usable fixes"},
		{"five fixes", good[:5], walk.Options{}, "too_few_fixes", "5 usable fixes and needs at least 8"},
		{"all poor", poor, walk.Options{}, "too_few_fixes", "worse than 15 m"},
		{"too many", make([]walk.Fix, 20_001), walk.Options{}, "too_many_fixes", "20001 fixes"},
		{"no times", untimed, walk.Options{}, "no_times", "no times"},
		{"not a number", broken, walk.Options{}, "not_finite", "corner 5"},
		{"off the Earth", nowhere, walk.Options{}, "implausible", "corner 7"},
		{"three sides of four", good[:90], walk.Options{}, "never_closed", "walk on until"},
		{"out and not back", paced(orb.LineString{{0, 0}, {120, 10}}, 0.3), walk.Options{}, "straight_line", "a line about 12"},
		{"out and back", paced(orb.LineString{{0, 0}, {80, 0}, {0, 0}}, 0.3), walk.Options{}, "straight_line", "a line about"},
		{"standing", paced(orb.LineString{{0, 0}, {20, 0}, {0, 0}}, 5), walk.Options{SigmaM: 5}, "straight_line", "spans about"},
		{"figure of eight", paced(eight, 0.3), walk.Options{SigmaM: 1}, "self_crossing", "two loops"},
		{"lopsided eight", paced(lopsided, 0.3), walk.Options{SigmaM: 1}, "self_crossing", "two loops"},
		{"offset past the middle", good, walk.Options{OffsetM: -16}, "offset_too_large", "nothing is left"},
		{"absurd offset", good, walk.Options{OffsetM: 500}, "bad_option", "offset_m"},
		{"negative error", good, walk.Options{SigmaM: -1}, "bad_option", "sigma_m"},
		{"error not a number", good, walk.Options{SigmaM: math.NaN()}, "bad_option", "sigma_m"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := walk.Trace("x", tt.fixes, tt.o)
			found, ok := fault.From(err)
			if !ok || found.Code != tt.code {
				t.Fatalf("got %v, want %s", err, tt.code)
			}
			if !strings.Contains(err.Error(), tt.says) || found.Remedy == "" {
				t.Errorf("%q lacks %q or a remedy", err, tt.says)
			}
		})
	}
}

// TestFaultsSayWhere checks the places of the two faults that have one on the
// ground.
func TestFaultsSayWhere(t *testing.T) {
	for _, tt := range []struct {
		line orb.LineString
		want orb.Point // local metres
	}{
		{orb.LineString{{0, 0}, {40, 30}, {40, 0}, {0, 30}, {0, 0}, {6, 4.5}}, orb.Point{20, 15}},
		{orb.LineString{{0, 0}, {40, 0}, {40, 30}, {0, 30}}, orb.Point{0, 30}},
	} {
		_, err := walk.Trace("x", paced(tt.line, 0.1), walk.Options{SigmaM: 1})
		found, ok := fault.From(err)
		if !ok || len(found.Where.LonLat) != 2 {
			t.Fatalf("got %v", err)
		}
		at := orb.Point{found.Where.LonLat[0], found.Where.LonLat[1]}
		if d := geo.DistanceM(at, home.ToLonLat(tt.want)); d > 2 {
			t.Errorf("%s is %.1f m from where it should be", found.Code, d)
		}
	}
}

func TestWiderGapIsClosedOnRequest(t *testing.T) {
	fixes := paced(orb.LineString{{0, 0}, {40, 0}, {40, 30}, {0, 30}, {0, 20}}, 0.1)
	if _, err := walk.Trace("x", fixes, walk.Options{SigmaM: 1}); err == nil {
		t.Fatal("a gap of 20 m was closed")
	}
	r := traced(t, fixes, walk.Options{SigmaM: 1, MaxGapM: 25})
	if math.Abs(r.AreaM2-blockM2) > r.UncertaintyM2 || math.Abs(r.GapM-20) > 2 {
		t.Errorf("%.0f m2 over a gap of %.1f m", r.AreaM2, r.GapM)
	}
	if !strings.Contains(strings.Join(r.Notes, " "), "closed over a gap of 2") {
		t.Errorf("notes %q", r.Notes)
	}
}
