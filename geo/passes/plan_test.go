package passes_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/passes"
)

func TestCompassWords(t *testing.T) {
	tests := []struct {
		to   orb.Point
		want string
	}{
		{orb.Point{0, 5}, "north"}, {orb.Point{3, 3}, "north-east"}, {orb.Point{5, 1}, "east"},
		{orb.Point{2, -2}, "south-east"}, {orb.Point{0, -1}, "south"}, {orb.Point{-1, -1}, "south-west"},
		{orb.Point{-4, 0}, "west"}, {orb.Point{-3, 3}, "north-west"}, {orb.Point{-0.01, 5}, "north"}, {orb.Point{0, 0}, "north"},
	}
	for _, tt := range tests {
		if got := passes.CompassWord(orb.Point{0, 0}, tt.to); got != tt.want {
			t.Errorf("to %v is %s, want %s", tt.to, got, tt.want)
		}
	}
}

func TestTimeCountsTheTurnsAtTheirOwnSpeed(t *testing.T) {
	// two passes of 40 m, 10 m apart, joined by a half circle of 5 m
	half := orb.LineString{}
	for i := range 91 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 90)
		half = append(half, orb.Point{5 - 5*cos, 40 + 5*sin})
	}
	p := passes.Plan{
		SpacingM: 10, TurnRadiusM: 5,
		Passes: []passes.Pass{
			{Line: orb.LineString{{0, 0}, {0, 40}}, LengthM: 40},
			{Line: orb.LineString{{10, 40}, {10, 0}}, LengthM: 40},
		},
		Travel: []orb.LineString{nil, half},
	}
	p.Total(800)
	if p.Turns != 1 || p.LengthM != 80 || math.Abs(p.TravelM-5*math.Pi) > 0.01 {
		t.Errorf("%d turns, %.2f m, travel %.3f m", p.Turns, p.LengthM, p.TravelM)
	}
	if got, want := p.Time(4, 2), 80.0/4+5*math.Pi/2; math.Abs(got-want) > 0.15 {
		t.Errorf("%.2f s, want %.2f s", got, want)
	}
	if slow, fast := p.Time(4, 2), p.Time(4, 4); math.Abs(fast-(80+5*math.Pi)/4) > 0.01 || slow <= fast {
		t.Errorf("%.2f s with slow turns, %.2f s without", slow, fast)
	}
	if !math.IsInf(p.Time(0, 1), 1) {
		t.Error("standing still must take for ever")
	}
}

// A pear-shaped turn goes right, left and right again; a driver calls it one.
func TestAPearShapedTurnIsOneTurn(t *testing.T) {
	o := straightUsual()
	o.SpacingM, o.TurnRadiusM, o.PhaseM = 6, 4, 3
	p, err := passes.Straights(orb.Polygon{ring(0, 0, 12, 0, 12, 60, 0, 60)}, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Passes) != 2 || p.Turns != 1 {
		t.Errorf("%d passes, %d turns; want 2 and 1", len(p.Passes), p.Turns)
	}
}

func TestSquareLapsHaveFourTurnsEach(t *testing.T) {
	o := usual()
	o.Core, o.MaxLaps = false, 1
	o.Start = &orb.Point{20, 0}
	p, err := passes.Laps(square(40), o)
	if err != nil {
		t.Fatal(err)
	}
	if p.Travel = nil; len(p.Passes) != 1 {
		t.Fatalf("%d laps", len(p.Passes))
	}
	if p.Total(1600); p.Turns != 4 {
		t.Errorf("%d turns, want 4", p.Turns)
	}
}
