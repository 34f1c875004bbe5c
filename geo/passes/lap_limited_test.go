package passes

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
)

var narrowLaps = LapOptions{SpacingM: 4, FirstInsetM: 2, TurnRadiusM: 2.4, ClearanceM: 0.75, Core: true}

func TestLapsKeepTheThrowOffALine(t *testing.T) {
	creek := KeepOff{Line: orb.LineString{{-10, -1}, {20, 2}, {70, -1}}, DistanceM: 5}
	plan, err := rectangle(t, 50, 40).LapsWithin(narrowLaps, tri(), SearchOptions{KeepOff: []KeepOff{creek}})
	if err != nil {
		t.Fatal(err)
	}
	nearest := math.Inf(1)
	landed(plan, tri(), 0, func(left, right orb.Point) {
		for i := 1; i < len(creek.Line); i++ {
			nearest = math.Min(nearest, segmentGap(left, right, creek.Line[i-1], creek.Line[i]))
		}
	})
	// Arcs are checked every quarter metre, so a bend may come a little nearer.
	if nearest < creek.DistanceM-0.05 {
		t.Errorf("thrown %.2f m from the creek", nearest)
	}
	if nearest > creek.DistanceM+1 {
		t.Errorf("nothing is thrown nearer than %.2f m: too much is left out", nearest)
	}
}

func TestLapsWithinNoLimitsAreLaps(t *testing.T) {
	g := rectangle(t, 50, 40)
	free, err := g.Laps(narrowLaps)
	if err != nil {
		t.Fatal(err)
	}
	for name, by := range map[string]SearchOptions{
		"none":     {},
		"far away": {KeepOff: []KeepOff{{Line: orb.LineString{{500, 0}, {500, 40}}, DistanceM: 5}}},
	} {
		got, err := g.LapsWithin(narrowLaps, tri(), by)
		if err != nil || !reflect.DeepEqual(got, free) {
			t.Errorf("%s: other than free laps (%v)", name, err)
		}
	}
}

func TestLapsThatMayLandNowhereAreRefused(t *testing.T) {
	road := KeepOff{Line: orb.LineString{{-10, 20}, {70, 20}}, DistanceM: 60}
	_, err := rectangle(t, 50, 40).LapsWithin(narrowLaps, tri(), SearchOptions{KeepOff: []KeepOff{road}})
	if f, ok := fault.From(err); !ok || f.Kind != fault.Refused || f.Code != "no_plan" {
		t.Errorf("%v", err)
	}
}

// A cut that falls on a corner of the lap leaves no pass without a heading,
// wherever the line lies.
func TestCutPassesHaveAHeadingAtEitherEnd(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	for k := range 150 {
		g := rectangle(t, 30+20*random.Float64(), 40)
		x, d := 10*random.Float64(), 2+4*random.Float64()
		creek := KeepOff{Line: orb.LineString{{-10, x - 6}, {20, x}, {70, x - 8}}, DistanceM: d}
		plan, err := g.LapsWithin(narrowLaps, tri(), SearchOptions{KeepOff: []KeepOff{creek}})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range plan.Passes {
			for i := 1; i < len(p.Line); i++ {
				if p.Line[i] == p.Line[i-1] {
					t.Fatalf("creek %d: pass %d stands still at %v", k, p.Order, p.Line[i])
				}
			}
		}
	}
}
