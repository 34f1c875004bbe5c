package passes

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

type namedGround struct {
	name string
	*Ground
}

// lapGrounds are the made plots and some random ones.
func lapGrounds(t *testing.T) []namedGround {
	t.Helper()
	var grounds []namedGround
	add := func(name string, p orb.Polygon) {
		g, err := NewGround(p)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		grounds = append(grounds, namedGround{name, g})
	}
	for _, m := range madePlots(t) {
		add(m.name, m.local)
	}
	r := rand.New(rand.NewPCG(21, 22))
	for i := range 60 {
		add(fmt.Sprintf("random plot %d", i), randomPlot(r))
	}
	return grounds
}

// Every pass must be drivable: no bend tighter than the turning radius. A
// thousandth is allowed for the drawing of arcs. On a gentle corner of the
// edge whose neighbours are too near for one bend of that radius, the first
// lap keeps its inset instead; those bends are looked for and must be gentle.
func TestPassesKeepTheTurningRadius(t *testing.T) {
	for _, g := range lapGrounds(t) {
		for _, firstInset := range []float64{6.5 * ft, 9 * ft} {
			o := atvLaps()
			o.FirstInsetM = firstInset
			passes, err := g.LapRings(o)
			if err != nil {
				continue // too small: another test's business
			}
			for i, p := range passes {
				least := o.TurnRadiusM
				if p.Kind == Lap {
					least = math.Min(least, firstInset)
				}
				if tight := tightest(p.Line, p.Closed); tight < least*0.999 {
					t.Errorf("%s, inset %.2f, pass %d (%s): a bend of %.3f m", g.name, firstInset, i+1, p.Kind, tight)
				}
			}
		}
	}
}

func TestLapsKeepTheirInsetAndTheHolesTheirClearance(t *testing.T) {
	for i, g := range lapGrounds(t) {
		clearance := []float64{0.75, 3}[i%2]
		o := atvLaps()
		o.ClearanceM = clearance
		passes, err := g.LapRings(o)
		if err != nil {
			continue
		}
		var edge, holes nearby
		edge.add(g.polygon[0])
		for _, hole := range g.polygon[1:] {
			holes.add(hole)
		}
		for i, p := range passes {
			for _, at := range p.Line {
				inset := o.FirstInsetM - gentleM
				if p.Kind == Core {
					inset = 0
				}
				if gap := edge.gap(at, 50); p.Kind == Lap && gap < inset-0.001 || !within(g.polygon[0], at) && gap > 0.001 {
					t.Fatalf("%s, pass %d (%s): %.3f m from the edge", g.name, i+1, p.Kind, gap)
				}
				if gap := holes.gap(at, 50); gap < o.ClearanceM-0.01 || inHole(g.Ground, at) {
					t.Fatalf("%s, pass %d (%s): %.3f m from a hole", g.name, i+1, p.Kind, gap)
				}
			}
		}
	}
}

func inHole(g *Ground, p orb.Point) bool {
	for _, hole := range g.polygon[1:] {
		if within(hole, p) {
			return true
		}
	}
	return false
}

func TestTravelJoinsThePasses(t *testing.T) {
	outside, ways := 0, 0
	for _, g := range lapGrounds(t) {
		o := atvLaps()
		start := g.polygon[0][0]
		o.Start = &start
		p, err := g.Laps(o)
		if err != nil {
			continue
		}
		at := start
		for i, way := range p.Travel {
			if len(way) > 0 {
				if apart(way[0], at) > repeatM || apart(way[len(way)-1], p.Passes[i].Line[0]) > repeatM {
					t.Fatalf("%s: the way to pass %d does not join", g.name, i+1)
				}
				if tight := tightest(way, false); tight < o.TurnRadiusM*0.85 { // a turn meets a ring in the middle of a chord
					t.Errorf("%s: the way to pass %d has a bend of %.3f m", g.name, i+1, tight)
				}
				if i > 0 && !headingsMeet(p.Passes[i-1].Line, way) || !headingsMeet(way, p.Passes[i].Line) {
					t.Errorf("%s: a kink on the way to pass %d", g.name, i+1)
				}
				ways++
				if !g.clear(way, o.ClearanceM, false) {
					outside++
				}
			} else if apart(at, p.Passes[i].Line[0]) > repeatM {
				t.Fatalf("%s: a jump to pass %d", g.name, i+1)
			}
			at = p.Passes[i].Line[len(p.Passes[i].Line)-1]
		}
	}
	t.Logf("%d of %d ways could not be kept on the ground and clear of holes", outside, ways)
	if outside*3 > ways {
		t.Errorf("%d of %d ways leave the ground or come too near to a hole", outside, ways)
	}
}

// headingsMeet says whether one line goes on where another ends without a
// change of heading of more than half an arc's step.
func headingsMeet(a, b orb.LineString) bool {
	p, q := endPose(a).heading, startPose(b).heading
	return p[0]*q[0]+p[1]*q[1] > math.Cos(arcStep(8*ft)*1.01)
}
