package passes

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

func TestLongestGain(t *testing.T) {
	closed := math.Inf(-1)
	for _, c := range []struct {
		gains    []float64
		ring     bool
		from, to int
		most     float64
	}{
		{[]float64{-1, 2, 3, -4, 4}, false, 1, 3, 5},
		{[]float64{3, -4, 1, 2}, true, 2, 5, 6},
		{[]float64{3, closed, 1, 1}, true, 2, 5, 5},
		{[]float64{1, 1, 1}, true, 0, 3, 3}, // never more than once round
		{[]float64{-1, closed}, true, 0, 0, 0},
	} {
		if from, to, most := longestGain(c.gains, c.ring); from != c.from || to != c.to || most != c.most {
			t.Errorf("%v: from %d to %d gains %g", c.gains, from, to, most)
		}
	}
}

// planning is a planner for a triangular throw.
func planning(t testing.TB, g *Ground, o SearchOptions) *planner {
	t.Helper()
	o.TurnRadiusM = radius
	pl, err := newPlanner(g, tri(), o.filled())
	if err != nil {
		t.Fatal(err)
	}
	return pl
}

// A lap whose gate is closed on the way is the same line in parts, and the way
// between two parts is what lies between them, a lead further on.
func TestAGatedLapIsDrivenInParts(t *testing.T) {
	ring := orb.LineString{{0, 0}, {30, 0}, {30, 20}, {0, 20}, {0, 0}}
	track := planning(t, rectangle(t, 30, 20), SearchOptions{}).newGatedTrack(newPass(Lap, ring), 1)
	if passes, _ := track.passesOf(0); len(passes) != 1 || !passes[0].Closed {
		t.Fatalf("an open gate all round gives %d passes", len(passes))
	}
	for _, i := range []int{0, 1, 99, 40, 41, 42} {
		track.open[i] = false
	}
	for _, lead := range []float64{0, 2.5} {
		passes, rides := track.passesOf(lead)
		if len(passes) != 2 || rides[0] != nil {
			t.Fatalf("%d passes, first ride %v", len(passes), rides[0])
		}
		if a, b := passes[0].LengthM, passes[1].LengthM; math.Abs(a-38) > 1e-9 || math.Abs(b-56) > 1e-9 {
			t.Errorf("lead %g: passes of %g and %g m", lead, a, b)
		}
		if at := passes[0].Line[0]; apart(at, orb.Point{2 + lead, 0}) > 1e-9 {
			t.Errorf("lead %g: the gate opens at %v", lead, at)
		}
		if !endsAt(passes[0].Line, rides[1][0]) || !endsAt(rides[1], passes[1].Line[0]) || math.Abs(lineLength(rides[1])-3) > 1e-9 {
			t.Errorf("lead %g: the ride is %v", lead, rides[1])
		}
	}
}

// Where there is no room beyond the edge every pass keeps on the plot, off the
// holes and within the turning radius, wherever the search put it.
func TestPassesWithoutRoomCanBeDriven(t *testing.T) {
	for _, name := range []string{"quarter-acre ell with a hole", "quarter-acre star", "quarter-acre round with three holes"} {
		for _, backs := range []bool{false, true} {
			g := made(t, name)
			o := SearchOptions{BacksUp: backs, Budget: 300, NoWander: true, TurnRadiusM: radius}.filled()
			for _, option := range searched(t, g, tri(), o).Options {
				for _, pass := range option.Plan.Passes {
					checkDrivable(t, g, name, option.Plan, pass, o)
				}
			}
		}
	}
}

func checkDrivable(t *testing.T, g *Ground, name string, plan Plan, pass Pass, o SearchOptions) {
	t.Helper()
	least := o.TurnRadiusM
	if pass.Kind == Lap {
		least = math.Min(least, plan.FirstInsetM) // a gentle corner of the edge keeps its inset
	}
	line := pass.Line
	if !pass.Closed && len(line) > 4 {
		line = line[1 : len(line)-1] // a cut chord of an arc stands for less than its bend
	}
	if tight := tightest(line, pass.Closed); tight < least*0.999 {
		t.Errorf("%s, %s, pass %d: a bend of %.2f m", name, plan.Name, pass.Order, tight)
	}
	for _, p := range pass.Line {
		if !within(g.polygon[0], p) && lineGap(g.polygon[0], p) > strayM { // no edge is surveyed better
			t.Errorf("%s, %s, pass %d leaves the plot at %v", name, plan.Name, pass.Order, p)
		}
		for _, hole := range g.polygon[1:] {
			if within(hole, p) || lineGap(hole, p) < o.ClearanceM-2*strayM {
				t.Errorf("%s, %s, pass %d comes %.2f m near a hole", name, plan.Name, pass.Order, lineGap(hole, p))
			}
		}
	}
}
