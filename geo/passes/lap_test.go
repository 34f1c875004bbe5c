package passes_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
	"evenfall/geo/passes"
)

const foot = 0.3048

// ring closes a list of x, y pairs.
func ring(xy ...float64) orb.Ring {
	var r orb.Ring
	for i := 0; i < len(xy); i += 2 {
		r = append(r, orb.Point{xy[i], xy[i+1]})
	}
	return append(r, r[0])
}

func square(side float64) orb.Polygon {
	return orb.Polygon{ring(0, 0, side, 0, side, side, 0, side)}
}

// usual are the options of a quarter-acre plot: 13 ft spacing, 8 ft radius.
func usual() passes.LapOptions {
	return passes.LapOptions{SpacingM: 13 * foot, FirstInsetM: 6.5 * foot, TurnRadiusM: 8 * foot, ClearanceM: 1, Core: true}
}

func TestLapsOfASquareHaveTheLengthOfRoundedSquares(t *testing.T) {
	const side = 40.0
	o := usual()
	o.Core = false
	p, err := passes.Laps(square(side), o)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for inset := o.FirstInsetM; side/2-inset > o.TurnRadiusM; inset += o.SpacingM {
		want += 4*(side-2*inset) - (8-2*math.Pi)*o.TurnRadiusM
	}
	if math.Abs(p.LengthM-want) > 0.001*want {
		t.Errorf("laps come to %.3f m, want %.3f m", p.LengthM, want)
	}
}

func TestAPlotTooSmallProposesTheHandSpreader(t *testing.T) {
	_, err := passes.Laps(square(3), usual())
	f, ok := fault.From(err)
	if !ok || f.Code != "too_small" {
		t.Fatalf("got %v", err)
	}
}

func TestLapOptionsOutOfRangeAreFaults(t *testing.T) {
	tests := []struct {
		field  string
		change func(*passes.LapOptions)
	}{
		{"spacing_m", func(o *passes.LapOptions) { o.SpacingM = -1 }},
		{"spacing_m", func(o *passes.LapOptions) { o.SpacingM = math.NaN() }},
		{"first_inset_m", func(o *passes.LapOptions) { o.FirstInsetM = -1 }},
		{"turn_radius_m", func(o *passes.LapOptions) { o.TurnRadiusM = 0 }},
		{"clearance_m", func(o *passes.LapOptions) { o.ClearanceM = math.Inf(1) }},
		{"max_laps", func(o *passes.LapOptions) { o.MaxLaps = -1 }},
	}
	for _, tt := range tests {
		o := usual()
		tt.change(&o)
		_, err := passes.Laps(square(40), o)
		if f, ok := fault.From(err); !ok || f.Where.Field != tt.field {
			t.Errorf("%s: got %v", tt.field, err)
		}
	}
}
