package passes

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

// landed calls do for every landing place of a plan and the two ends of the
// throw there, every 10 cm.
func landed(p Plan, profile coverage.Profile, behindM float64, do func(left, right orb.Point)) {
	l, r := profile.Reach()
	for _, pass := range p.Passes {
		for i := 1; i < len(pass.Line); i++ {
			a, b := pass.Line[i-1], pass.Line[i]
			d := apart(a, b)
			if d == 0 {
				continue
			}
			hx, hy := (b[0]-a[0])/d, (b[1]-a[1])/d
			for k := 0.0; k <= d; k += 0.1 {
				x, y := a[0]+(k-behindM)*hx, a[1]+(k-behindM)*hy
				do(orb.Point{x + l*hy, y - l*hx}, orb.Point{x + r*hy, y - r*hx})
			}
		}
	}
}

func TestNothingIsThrownWithinAKeepOffDistance(t *testing.T) {
	creek := KeepOff{Name: "creek", Line: orb.LineString{{-10, -1}, {20, 2}, {70, -1}}, DistanceM: 5}
	for _, room := range []Room{{}, RoomAllRound} {
		for _, behind := range []float64{0, 1.5} {
			r := searched(t, rectangle(t, 50, 40), tri(), SearchOptions{Room: room, KeepOff: []KeepOff{creek}, BehindM: behind, Budget: 300, NoWander: true})
			for _, o := range r.Options {
				nearest := math.Inf(1)
				landed(o.Plan, tri(), behind, func(left, right orb.Point) {
					for i := 1; i < len(creek.Line); i++ {
						nearest = math.Min(nearest, segmentGap(left, right, creek.Line[i-1], creek.Line[i]))
					}
				})
				if o.Plan.Passes[0].Kind == Straight && nearest < creek.DistanceM-0.02 {
					t.Errorf("%s, behind %g: thrown %.2f m from the creek", o.Plan.Name, behind, nearest)
				}
				if len(o.Figures.KeepOffShare) != 1 || o.Figures.KeepOffShare[0] > 0.005 {
					t.Errorf("%s: %v into the strip", o.Plan.Name, o.Figures.KeepOffShare)
				}
			}
			if r.GroundM2 > 2000-4*50 {
				t.Errorf("%g m2 to cover", r.GroundM2)
			}
		}
	}
}

func TestNoThrowBeyondTheEdge(t *testing.T) {
	for _, room := range []Room{{}, RoomAllRound} {
		g := made(t, "half-acre ell")
		r := searched(t, g, tri(), SearchOptions{Room: room, NoThrowOutside: true, Budget: 300, NoWander: true})
		for _, o := range r.Options {
			outside := 0.0
			landed(o.Plan, tri(), 0, func(left, right orb.Point) {
				for _, p := range []orb.Point{left, right} {
					if !within(g.polygon[0], p) {
						outside = math.Max(outside, lineGap(g.polygon[0], p))
					}
				}
			})
			if outside > 0.05 {
				t.Errorf("%s, room %v: thrown %.2f m beyond the edge", o.Plan.Name, room.Any(), outside)
			}
			if o.Figures.OutsideShare > 0.005 {
				t.Errorf("%s: %g outside", o.Plan.Name, o.Figures.OutsideShare)
			}
		}
	}
}

func TestKeepingOffEverythingIsRefused(t *testing.T) {
	road := KeepOff{Line: orb.LineString{{-10, 20}, {70, 20}}, DistanceM: 60}
	_, err := rectangle(t, 50, 40).Search(tri(), SearchOptions{TurnRadiusM: radius, KeepOff: []KeepOff{road}})
	if f, ok := fault.From(err); !ok || f.Code != "nothing_left" {
		t.Errorf("got %v", err)
	}
	road.DistanceM = 17
	_, err = rectangle(t, 50, 40).Search(tri(), SearchOptions{TurnRadiusM: radius, KeepOff: []KeepOff{road}, NoThrowOutside: true})
	if f, ok := fault.From(err); !ok || f.Code != "no_plan" {
		t.Errorf("got %v", err)
	}
}

func TestTravelKeepsToTheRoomThereIs(t *testing.T) {
	ground := rectangle(t, 50, 40)
	for name, o := range map[string]SearchOptions{
		"none": {}, "none, backing up": {BacksUp: true}, "east": {Room: Room{East: true}},
		"north and south": {Room: Room{North: true, South: true}},
	} {
		room := o.Room
		o.Budget, o.NoWander = 500, true
		r := searched(t, ground, tri(), o)
		lines := append([]orb.LineString{}, r.Options[0].Plan.Travel...)
		for _, pass := range r.Options[0].Plan.Passes {
			lines = append(lines, pass.Line)
		}
		for _, line := range lines {
			for _, p := range line {
				if p[0] < -0.06 && !room.West || p[0] > 50.06 && !room.East || p[1] < -0.06 && !room.South || p[1] > 40.06 && !room.North {
					t.Errorf("room %s: %q comes to %v", name, r.Options[0].Plan.Name, p)
				}
			}
		}
	}
}

func TestPlansKeepClearOfHolesAndTurnNoTighterThanTheMachine(t *testing.T) {
	for _, name := range []string{"quarter-acre ell with a hole", "half-acre round with three holes"} {
		for _, room := range []Room{{}, RoomAllRound} {
			g := made(t, name)
			p := searched(t, g, tri(), SearchOptions{Room: room, Budget: 500, NoWander: true}).Options[0].Plan
			for i := range p.Passes {
				for _, line := range []orb.LineString{p.Travel[i], p.Passes[i].Line} {
					for k := 1; k < len(line); k++ {
						for _, hole := range g.polygon[1:] {
							if gap := ringGap(hole, line[k-1], line[k]); gap < usualClearanceM-0.06 {
								t.Fatalf("%s: %.2f m from a hole", name, gap)
							}
						}
					}
				}
				for k := 2; k < len(p.Travel[i]); k++ {
					turn, reach := turnAt(p.Travel[i][k-2], p.Travel[i][k-1], p.Travel[i][k])
					if turn > 0.3 && turn*radius > 1.2*reach {
						t.Errorf("%s: travel %d bends by %.2f over %.2f m", name, i, turn, reach)
					}
				}
			}
		}
	}
}

func TestBackingUpIsDrivenToTheEdge(t *testing.T) {
	g := made(t, "quarter-acre star") // on open ground forward turns do as well
	o := SearchOptions{Budget: 500, NoWander: true}
	without := searched(t, g, tri(), o).Options[0]
	o.BacksUp = true
	r := searched(t, g, tri(), o)
	// Backing up must be worth more than the 2 % by which figures may differ.
	if with := r.Options[0]; with.Figures.CV > 0.9*without.Figures.CV {
		t.Errorf("CV %g, backing up %g", without.Figures.CV, with.Figures.CV)
	}
	cusps := 0
	for _, line := range r.Options[0].Plan.Travel {
		for k := 2; k < len(line); k++ {
			if turn, _ := turnAt(line[k-2], line[k-1], line[k]); turn > 3 {
				cusps++
			}
		}
	}
	if cusps == 0 {
		t.Error("no way is backed")
	}
}
