package spreader_test

import (
	"math"
	"strings"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

func recommend(t *testing.T, p spreader.Pattern, limit float64, way spreader.Way) spreader.Recommendation {
	t.Helper()
	r, err := spreader.Recommend(p, limit, way, spreader.DefaultSteeringError, units.US)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestLimitsAreThePublishedOnes(t *testing.T) {
	c := row(t, "CV-LIMIT")
	limits := c.wants(t)
	if 100*spreader.CVLimitNitrogen != limits[0] || 100*spreader.CVLimitLowAnalysis != limits[1] {
		t.Errorf("limits differ from %v (%s)", limits, c.source)
	}
}

func TestHalfOfCentreAsPublished(t *testing.T) {
	c := row(t, "HALF-CENTRE")
	at := math.Abs(numbers(t, c.inputs)[0]) // the foot where half of the centre's drop falls
	measured := spreader.PanTest{PanDistance: units.Length(at) * units.Foot, CentrePan: 3, Runs: [][]float64{{1, 5, 10, 5, 1}}}
	for name, p := range map[string]spreader.Pattern{
		"triangle": {Shape: spreader.Triangle, Throw: 4 * units.Length(at) * units.Foot},
		"pans":     {Shape: spreader.Pans, PanTest: &measured},
	} {
		r := recommend(t, p, 0.25, spreader.SameWay)
		if got := r.HalfOfCentre.Spacing.Feet(); math.Abs(got-c.wants(t)[0]) > 1e-9 {
			t.Errorf("%s: got %v ft", name, got)
		}
	}
}

func TestHalfThrowIsTheHabit(t *testing.T) {
	if habit := row(t, "HALF-THROW"); habit.expected != "spacing = half the throw" {
		t.Fatalf("the printed habit is now %q", habit.expected)
	}
	r := recommend(t, spreader.Pattern{Shape: spreader.Triangle, Throw: 26 * units.Foot}, 0.15, spreader.BackAndForth)
	if got := r.HalfThrow.Spacing.Feet(); math.Abs(got-13) > 1e-12 {
		t.Errorf("half of 26 ft is %v ft", got)
	}
	if r.HalfThrow.SameWayCV > 1e-9 {
		t.Errorf("a triangle at half its throw is even, not %v", r.HalfThrow.SameWayCV)
	}
}

func TestWidestSpacingStaysUnderTheLimit(t *testing.T) {
	for name, p := range everyShape() {
		for _, limit := range []float64{0.15, 0.25} {
			for _, way := range []spreader.Way{spreader.SameWay, spreader.BackAndForth} {
				r := recommend(t, p, limit, way)
				if cv := r.Best.CV(way); cv > limit || r.Best.Spacing > p.Width() {
					t.Errorf("%s: %v at %v", name, cv, r.Best.Spacing)
				}
				wider := r.Best.Spacing * 1.004
				if cv := percent(t, p, float64(wider), way); wider <= p.Width() && cv <= 100*limit {
					t.Errorf("%s: %v m is wider and still gives %v", name, wider, cv)
				}
			}
		}
	}
}

// The closed form of the triangle says where 15 % is met.
func TestWidestSpacingOfATriangle(t *testing.T) {
	r := recommend(t, spreader.Pattern{Shape: spreader.Triangle, Throw: 2}, 0.15, spreader.SameWay)
	u := float64(r.Best.Spacing)
	cv := math.Sqrt((2*u+u*math.Pow(2-u, 3))/3 - 1)
	if math.Abs(cv-0.15) > 1e-5 {
		t.Errorf("at %v m the closed form gives %v", u, cv)
	}
}

func TestLopsidedIsSaidInPlainWords(t *testing.T) {
	heavyLeft := spreader.Pattern{Shape: spreader.Lopsided, LeftReach: 4 * 1.18, RightReach: 4}
	r := recommend(t, heavyLeft, 0.15, spreader.BackAndForth)
	if r.Balance.Heavier != "left" || math.Abs(r.Balance.Excess-0.18) > 1e-9 || !r.Balance.Lopsided {
		t.Errorf("got %+v", r.Balance)
	}
	want := "heavier on the left by 18 %: adjust the machine, or drive every pass the same way round"
	if !strings.Contains(strings.Join(r.Says, "\n"), want) {
		t.Errorf("got %q", r.Says)
	}
	even := recommend(t, spreader.Pattern{Shape: spreader.Oval, Throw: 8}, 0.15, spreader.SameWay)
	if even.Balance.Lopsided || even.Balance.Heavier != "" {
		t.Errorf("an even pattern is said to be %+v", even.Balance)
	}
}

func TestAKnifeEdgeIsSaid(t *testing.T) {
	r := recommend(t, spreader.Pattern{Shape: spreader.Flat, Throw: 4}, 0.15, spreader.SameWay)
	if !strings.Contains(strings.Join(r.Says, "\n"), "forgives little") {
		t.Errorf("got %q", r.Says)
	}
}

func TestCurveRuns(t *testing.T) {
	curve, err := spreader.CVCurve(everyShape()["lopsided"], 2, 8, 61)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range curve.SpacingM {
		if want := percent(t, everyShape()["lopsided"], s, spreader.BackAndForth) / 100; math.Abs(curve.BackAndForth[i]-want) > 1e-12 {
			t.Errorf("at %v: %v, not %v", s, curve.BackAndForth[i], want)
		}
	}
	if _, err := spreader.CVCurve(everyShape()["oval"], 8, 2, 61); err == nil {
		t.Error("a curve ran backwards")
	}
}

func TestRecommendRefusesNonsense(t *testing.T) {
	p := everyShape()["triangle"]
	if _, err := spreader.Recommend(p, 0, spreader.SameWay, 0, units.US); err == nil {
		t.Error("a limit of zero was taken")
	}
	if _, err := spreader.Recommend(p, 0.15, "sideways", 0, units.US); err == nil {
		t.Error("an unknown way was taken")
	}
	if _, err := spreader.Overlap(p, 0, spreader.SameWay); err == nil {
		t.Error("a spacing of zero was taken")
	}
}

func BenchmarkRecommend(b *testing.B) {
	for _, name := range []string{"triangle", "bell", "pans"} {
		p := everyShape()[name]
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := spreader.Recommend(p, 0.15, spreader.SameWay, 0.3, units.US); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
