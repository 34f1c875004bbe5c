package passes_test

import (
	"math"
	"testing"

	"evenfall/geo/passes"
)

func straightUsual() passes.StraightOptions {
	return passes.StraightOptions{SpacingM: 13 * foot, FirstInsetM: 6.5 * foot, TurnRadiusM: 8 * foot, ClearanceM: 1, TurnOutside: true}
}

func TestStraightPassesOfARectangle(t *testing.T) {
	o := straightUsual()
	o.SpacingM, o.PhaseM, o.TurnRadiusM = 5, 2.5, 2
	p, err := passes.Straights(square(40), o)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Passes) != 8 || math.Abs(p.LengthM-320) > 1e-9 || p.Turns != 7 {
		t.Errorf("%d passes, %.3f m, %d turns; want 8, 320, 7", len(p.Passes), p.LengthM, p.Turns)
	}
	if want := 7 * (1 + 2*math.Pi); math.Abs(p.TravelM-want) > 0.01*want {
		t.Errorf("travel %.2f m, want seven half circles of 2 m and 1 m across, %.2f m", p.TravelM, want)
	}
	for i, pass := range p.Passes {
		if want := [2]string{"north", "south"}[i%2]; pass.Direction != want {
			t.Errorf("pass %d runs %s, want %s", i+1, pass.Direction, want)
		}
	}
}
