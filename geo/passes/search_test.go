package passes

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

const radius = 8 * 0.3048

// made is one of the plots made for tests, by name.
func made(t testing.TB, name string) *Ground {
	t.Helper()
	for _, m := range madePlots(t) {
		if m.name == name {
			g, err := NewGround(m.local)
			if err != nil {
				t.Fatal(err)
			}
			return g
		}
	}
	t.Fatalf("no plot %s", name)
	return nil
}

func rectangle(t testing.TB, width, height float64) *Ground {
	t.Helper()
	g, err := NewGround(orb.Polygon{{{0, 0}, {width, 0}, {width, height}, {0, height}, {0, 0}}})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func searched(t testing.TB, g *Ground, p coverage.Profile, o SearchOptions) Result {
	t.Helper()
	if o.TurnRadiusM == 0 {
		o.TurnRadiusM = radius
	}
	r, err := g.Search(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSearchGivesTheSamePlansAgain(t *testing.T) {
	g := made(t, "quarter-acre ell with a hole")
	o := SearchOptions{Room: RoomAllRound, Budget: 300, Runs: 3}
	if a, b := searched(t, g, tri(), o), searched(t, g, tri(), o); !reflect.DeepEqual(a, b) {
		t.Error("two searches of the same plot differ")
	}
}

func TestMoreCandidatesNeverGiveAWorsePlan(t *testing.T) {
	for _, name := range []string{"quarter-acre star", "tenth-acre strip"} {
		for _, room := range []Room{{}, RoomAllRound} {
			before := math.Inf(1)
			for _, budget := range []int{1, 150, 400, 700} {
				o := SearchOptions{TurnRadiusM: radius, Room: room, Budget: budget, Runs: 3}.filled()
				pl, err := newPlanner(made(t, name), tri(), o)
				if err != nil {
					t.Fatal(err)
				}
				pool := pl.rounds()
				now := pl.aim(pool[pl.best(pool, MostEven)], MostEven)
				if now > before+1e-12 {
					t.Errorf("%s, room %v: %d candidates give %g, fewer gave %g", name, room.Any(), budget, now, before)
				}
				before = now
			}
		}
	}
}

func turnedPlot(g *Ground, angle float64) *Ground {
	sin, cos := math.Sincos(angle)
	turn := turned{sin: sin, cos: cos, about: orb.Point{-70, 35}}
	out := make(orb.Polygon, len(g.polygon))
	for i, ring := range g.polygon {
		out[i] = orb.Ring(turn.lineBack(orb.LineString(ring)))
	}
	ground, err := NewGround(out)
	if err != nil {
		panic(err)
	}
	return ground
}

func TestTurningThePlotTurnsThePlan(t *testing.T) {
	for _, name := range []string{"quarter-acre ell", "quarter-acre round with three holes"} {
		for _, room := range []Room{{}, RoomAllRound} {
			g := made(t, name)
			o := SearchOptions{Room: room, Budget: 250, Runs: 3}
			want := searched(t, g, tri(), o).Options[0]
			for _, degrees := range []float64{17, 90, 203} {
				got := searched(t, turnedPlot(g, degrees*math.Pi/180), tri(), o).Options[0]
				for _, c := range []struct {
					what      string
					got, want float64
				}{
					{"CV", got.Figures.CV, want.Figures.CV}, {"path", got.Plan.LengthM, want.Plan.LengthM},
					{"expected CV", got.Wander.ExpectedCV, want.Wander.ExpectedCV},
					{"mean", got.Figures.MeanRatio, want.Figures.MeanRatio},
				} {
					if math.Abs(c.got-c.want) > 0.02*c.want {
						t.Errorf("%s by %g degrees, room %v: %s %g, was %g", name, degrees, room.Any(), c.what, c.got, c.want)
					}
				}
			}
		}
	}
}

func TestScalingThePlotScalesThePlan(t *testing.T) {
	const k = 1.7
	g := made(t, "quarter-acre bent strip")
	big := make(orb.Polygon, len(g.polygon))
	for i, ring := range g.polygon {
		for _, p := range ring {
			big[i] = append(big[i], orb.Point{k * p[0], k * p[1]})
		}
	}
	scaled, err := NewGround(big)
	if err != nil {
		t.Fatal(err)
	}
	o := SearchOptions{Room: RoomAllRound, Budget: 300, NoWander: true, TurnRadiusM: radius, ClearanceM: 0.75}
	want := searched(t, g, tri(), o).Options[0]
	o.TurnRadiusM, o.ClearanceM = k*o.TurnRadiusM, k*o.ClearanceM
	got := searched(t, scaled, triangular(k*26*0.3048/2), o).Options[0]
	if math.Abs(got.Figures.CV-want.Figures.CV) > 0.02*want.Figures.CV || math.Abs(got.Plan.LengthM/k-want.Plan.LengthM) > 0.02*want.Plan.LengthM {
		t.Errorf("CV %g over %g m became %g over %g m", want.Figures.CV, want.Plan.LengthM, got.Figures.CV, got.Plan.LengthM)
	}
}

func TestSearchProposesTheHandSpreaderForATinyPlot(t *testing.T) {
	_, err := rectangle(t, 3, 3).Search(tri(), SearchOptions{TurnRadiusM: radius})
	f, ok := fault.From(err)
	if !ok || f.Code != "too_small" || !strings.Contains(f.Remedy, "hand spreader") {
		t.Errorf("got %v", err)
	}
}

func TestTheHabitIsAlwaysAmongTheAnswers(t *testing.T) {
	for _, by := range []Priority{MostEven, LeastOutside, Shortest} {
		r := searched(t, made(t, "quarter-acre round"), tri(), SearchOptions{Room: RoomAllRound, Priority: by, Budget: 800, Runs: 3})
		habits := 0
		for _, o := range r.Options {
			if o.Habit {
				habits++
				if o.Plan.Name != HabitName || math.Abs(o.Plan.SpacingM-13*0.3048) > 1e-9 {
					t.Errorf("the habit is %q at %g m", o.Plan.Name, o.Plan.SpacingM)
				}
			}
		}
		if habits != 1 {
			t.Errorf("%s: %d habits", by, habits)
		}
		if len(r.Options) > mostOptions || len(r.Options) < 3 {
			t.Errorf("%s: %d options", by, len(r.Options))
		}
	}
}

func TestPrioritiesGetWhatTheyAskFor(t *testing.T) {
	g := made(t, "quarter-acre ell")
	best := map[Priority]Option{}
	for _, by := range []Priority{MostEven, LeastOutside, Shortest} {
		best[by] = searched(t, g, tri(), SearchOptions{Room: RoomAllRound, Priority: by, Budget: 800, NoWander: true}).Options[0]
	}
	for by, o := range best {
		if best[MostEven].Figures.CV > o.Figures.CV+0.01 && o.Figures.OutsideShare < usualOutside+0.005 {
			t.Errorf("%s is more even than most even", by)
		}
		if best[LeastOutside].Figures.OutsideShare > o.Figures.OutsideShare+0.005 {
			t.Errorf("%s loses less than least outside", by)
		}
		if all := func(p Plan) float64 { return p.LengthM + p.TravelM/2 }; o.Figures.CV < cvLimit && all(best[Shortest].Plan) > 1.02*all(o.Plan) {
			t.Errorf("%s is shorter than shortest", by)
		}
	}
}

func TestQuickSearchGivesOnePlan(t *testing.T) {
	r := searched(t, made(t, "quarter-acre star"), tri(), SearchOptions{Room: RoomAllRound, Quick: true})
	if len(r.Options) != 1 || r.Options[0].Habit || len(r.Options[0].Plan.Passes) == 0 {
		t.Errorf("%d options", len(r.Options))
	}
}

// A quick plan is found and measured on coarse cells; its CV must be that of
// the plan on fine ones all the same.
func TestQuickFiguresAreThoseOfThePlan(t *testing.T) {
	for _, room := range []Room{{}, RoomAllRound} {
		var off []float64
		for _, m := range madePlots(t) {
			g, err := NewGround(m.local)
			if err != nil {
				t.Fatal(err)
			}
			r := searched(t, g, tri(), SearchOptions{Room: room, Quick: true})
			o := r.Options[0]
			raster := coverage.NewRaster(m.local.Bound(), tri().ThrowM()*figureCell)
			coverage.Deposit(raster, o.Plan.Strokes(), tri(), coverage.DepositOptions{})
			off = append(off, math.Abs(o.Figures.CV-coverage.NewMask(raster, m.local).Spread(raster).CV))
		}
		slices.Sort(off)
		if middle, most := off[len(off)/2], off[len(off)*9/10]; middle > 0.01 || most > 0.03 {
			t.Errorf("room %v: half of the figures are off by up to %.4f, nine in ten by up to %.4f", room.Any(), middle, most)
		}
	}
}

func TestSearchOptionsOutOfRangeAreFaults(t *testing.T) {
	g := rectangle(t, 30, 40)
	for field, o := range map[string]SearchOptions{
		"turn_radius_m": {}, "clearance_m": {TurnRadiusM: 2, ClearanceM: -1}, "outside_most": {TurnRadiusM: 2, OutsideMost: 2},
		"steering_m": {TurnRadiusM: 2, SteeringM: math.NaN()}, "speed_share": {TurnRadiusM: 2, SpeedShare: 0.9},
		"priority": {TurnRadiusM: 2, Priority: "cheapest"}, "budget": {TurnRadiusM: 2, Budget: -4},
		"behind_m": {TurnRadiusM: 2, BehindM: math.Inf(1)}, "ramp_m": {TurnRadiusM: 2, RampM: -1}, "habit_inset_m": {TurnRadiusM: 2, HabitInsetM: -1},
	} {
		_, err := g.Search(tri(), o)
		if f, ok := fault.From(err); !ok || f.Where.Field != field || f.Remedy == "" {
			t.Errorf("%s: got %v", field, err)
		}
	}
	if _, err := g.Search(coverage.Profile{}, SearchOptions{TurnRadiusM: 2}); err == nil {
		t.Error("a profile without bins passes")
	}
}

func TestStraightPassesLeadForWhatIsThrownBehind(t *testing.T) {
	g := rectangle(t, 45, 30)
	o := SearchOptions{Room: RoomAllRound, Budget: 1000, NoWander: true}
	plain := searched(t, g, tri(), o).Options[0]
	// A ramp of 1 m leaves half the flow missing over half a metre at each end:
	// by hand sqrt(2 x 0.5 m x 1/12 / 45 m), some 4 points of CV.
	for _, c := range []struct{ ramp, more float64 }{{0, 0.02}, {1, 0.06}} {
		o.BehindM, o.RampM = 2.5, c.ramp
		led := searched(t, g, tri(), o).Options[0]
		if led.Figures.CV > plain.Figures.CV+c.more || led.Figures.OutsideShare > plain.Figures.OutsideShare+0.02 {
			t.Errorf("ramp %g: CV %g and %g outside became %g and %g", c.ramp, plain.Figures.CV, plain.Figures.OutsideShare, led.Figures.CV, led.Figures.OutsideShare)
		}
	}
}

func TestHalfRatesAreOffered(t *testing.T) {
	o := SearchOptions{Room: RoomAllRound, Budget: 200, NoWander: true, WithHalfRates: true, WithRightAngles: true}
	r := searched(t, rectangle(t, 60, 35), tri(), o)
	found := map[string]Option{}
	for _, option := range r.Options {
		found[option.Plan.Name] = option
	}
	for _, name := range []string{SideBySideName, RightAnglesName} {
		option, ok := found[name]
		if !ok {
			t.Fatalf("no %q among %d options", name, len(r.Options))
		}
		for _, pass := range option.Plan.Passes {
			if pass.Kind == Straight && pass.Flow != 0.5 {
				t.Errorf("%s: a pass at flow %g", name, pass.Flow)
			}
		}
		if !strings.Contains(option.Says, "Sources disagree") {
			t.Errorf("%s says %q", name, option.Says)
		}
	}
	if s := found[SideBySideName].Plan.SpacingM; s > 0.65*13*0.3048 {
		t.Errorf("side by side at %g m", s)
	}
}
