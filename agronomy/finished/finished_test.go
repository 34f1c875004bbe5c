package finished_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/finished"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
)

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// machine has catch tests of oats alone: 0.06 kg/s to a mark.
func machine() spreader.Spreader {
	m := spreader.Spreader{Name: "rack", Patterns: spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 24 * units.Foot}},
		HopperMass: 60 * units.Pound, SpeedMin: 3 * units.MPH, SpeedMax: 8 * units.MPH, Gate: spreader.GateScale{Name: "notch", Open: 10}}
	for gate := 1.0; gate <= 9; gate += 2 {
		m.CatchTests = append(m.CatchTests, spreader.CatchTest{Material: "oats", Gate: gate, Mass: units.Mass(1.8 * gate), Time: 30})
	}
	return m
}

// sheet is half an acre of oats, and urea in a hopper of its own, by laps.
func sheet(t testing.TB) agronomy.Sheet {
	t.Helper()
	side := math.Sqrt(0.5 * float64(units.Acre))
	frame := geo.NewFrame(orb.Point{-90.86, 43.71})
	plot, err := geo.NewPlot("square", orb.Polygon{frame.LonLatRing(orb.Ring{{0, 0}, {side, 0}, {side, side}, {0, side}, {0, 0}})})
	if err != nil {
		t.Fatal(err)
	}
	survey := plot.Survey(geo.Drawn, "2026-08-01", 1)
	goods := mix.Mix{Name: "oats, fed", Items: []mix.Item{
		{Material: "oats", Group: 1, Rate: mix.Rate{Mass: 160 * units.PoundPerAcre}},
		{Material: "46-0-0", Group: 2, Rate: mix.Rate{Mass: 80 * units.PoundPerAcre}},
	}}
	s, err := agronomy.Prepare(agronomy.Plot{Plot: plot, Survey: survey, Surveys: []geo.Survey{survey}}, machine(), goods, agronomy.Options{Date: "2026-09-01", Habit: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func of[T any](v T) *T { return &v }

func lookBack(t testing.TB, s agronomy.Sheet, groups ...finished.Group) finished.Job {
	t.Helper()
	job, err := finished.LookBack(s, of(machine()), finished.Told{Date: "2026-09-02", Groups: groups}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	return job
}

func TestMoreUsedThanPlannedTeachesTheGate(t *testing.T) {
	s := sheet(t)
	planned := s.Materials[0].SpreadMass
	job := lookBack(t, s, finished.Group{Group: 1, Used: []finished.Spent{{ID: "oats", Mass: of(planned * 1.12)}}})
	m := job.Materials[0]
	near(t, "planned", float64(m.Planned), float64(planned), 1e-9)
	near(t, "share", m.Share, 1.12, 1e-12)
	near(t, "rate", m.UsedRate.PoundsPerAcre(), 160*1.12, 1e-6)
	l := job.Lessons[0]
	if l.Says != "The gate gave 12 % more than the catch tests said." || l.Correction == nil || l.Spreader == nil {
		t.Fatalf("got %+v", l)
	}
	near(t, "factor", l.Correction.Factor, 1.12, 1e-9)
	before, _ := machine().FlowCurve("oats")
	after, err := l.Spreader.FlowCurve("oats")
	if err != nil {
		t.Fatal(err)
	}
	for i := range before.Flow {
		near(t, "the revised curve", after.Flow[i], before.Flow[i]*1.12, 1e-9)
	}
	if len(machine().Corrections) != 0 || len(l.Spreader.Corrections) != 1 {
		t.Error("the machine itself was changed")
	}
	again, err := finished.LookBack(s, l.Spreader, finished.Told{Date: "2026-09-02", Groups: []finished.Group{{Group: 1, Used: []finished.Spent{{ID: "oats", Mass: of(planned * 1.12)}}}}}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "learned twice from one job", again.Lessons[0].Correction.Factor, 1.12, 1e-9)
	if again.Lessons[0].Says != "The gate gave what the catch tests said, within 2 %." {
		t.Errorf("got %q", again.Lessons[0].Says)
	}
}

// What is left, in weight or in fillings, and bags say the same as a weight.
func TestEveryWayToTellComesToTheSame(t *testing.T) {
	s := sheet(t)
	planned, load := s.Materials[0].SpreadMass, s.Loads[0].Mass
	if load >= planned {
		t.Fatalf("one load of %v is no test", load)
	}
	want := float64(planned - load/2)
	for name, g := range map[string]finished.Group{
		"left":    {Left: of(load / 2)},
		"hoppers": {LeftHoppers: of(0.5)},
		"weight":  {Used: []finished.Spent{{ID: "oats", Mass: of(planned - load/2)}}},
	} {
		g.Group = 1
		near(t, name, float64(lookBack(t, s, g).Materials[0].Used), want, 1e-9)
	}
	urea := lookBack(t, s, finished.Group{Group: 2, Used: []finished.Spent{{ID: "46-0-0", Bags: of(0.75)}}})
	near(t, "bags", urea.Materials[0].Used.Pounds(), 0.75*s.Materials[1].BagMass.Pounds(), 1e-9)
}

// Half of the passes with half of the material is the rate that was planned.
func TestPassesThatWereNotDrivenDoNotCount(t *testing.T) {
	s := sheet(t)
	n := len(s.Drive.Passes)
	part := 0.0
	for _, p := range s.Drive.Passes[:n/2] {
		part += p.LengthM
	}
	share := part / s.Drive.LengthM
	job := lookBack(t, s, finished.Group{Group: 1, Passes: n / 2, Used: []finished.Spent{{ID: "oats", Mass: of(s.Materials[0].SpreadMass * units.Mass(share))}}})
	near(t, "share of the planned rate", job.Materials[0].Share, 1, 1e-9)
	near(t, "driven", float64(job.Lessons[0].Driven), part, 1e-9)
	near(t, "flow", float64(job.Lessons[0].Correction.Real), float64(job.Lessons[0].Correction.Expected), 1e-9)
	faster := lookBack(t, s, finished.Group{Group: 1, Speed: s.Spreader.Groups[0].Speed * 1.25, Used: []finished.Spent{{ID: "oats", Mass: of(s.Materials[0].SpreadMass)}}})
	near(t, "a faster drive has a greater flow", faster.Lessons[0].Correction.Factor, 1.25, 1e-9)
}

func TestAMaterialWithoutCatchTestGetsOne(t *testing.T) {
	s := sheet(t)
	used := []finished.Spent{{ID: "46-0-0", Mass: of(s.Materials[1].SpreadMass)}}
	if l := lookBack(t, s, finished.Group{Group: 2, Used: used}).Lessons[0]; l.Test != nil || l.Spreader != nil || !strings.Contains(l.Says, "at which mark") {
		t.Errorf("without a mark: %+v", l)
	}
	l := lookBack(t, s, finished.Group{Group: 2, Gate: of(4.0), Used: used}).Lessons[0]
	if l.Correction != nil || l.Spreader == nil || !strings.Contains(l.Says, "can serve as the first") {
		t.Fatalf("got %+v", l)
	}
	tests := l.Spreader.CatchTests
	last := tests[len(tests)-1]
	near(t, "its flow", float64(last.Flow()), float64(s.Spreader.Groups[1].Flow), 1e-6)
	beyond := lookBack(t, s, finished.Group{Group: 1, Gate: of(9.5), Used: []finished.Spent{{ID: "oats", Mass: of(s.Materials[0].SpreadMass)}}}).Lessons[0]
	if beyond.Correction != nil || !strings.Contains(beyond.Says, "lies outside") {
		t.Errorf("beyond the tests: %q", beyond.Says)
	}
}

func TestFaultsNameTheField(t *testing.T) {
	s := sheet(t)
	mass := s.Materials[0].SpreadMass
	for field, g := range map[string]finished.Group{
		"groups[0].group":           {Group: 9},
		"groups[0].passes":          {Group: 1, Passes: 999},
		"groups[0].used":            {Group: 1},
		"groups[0].used[0].bags":    {Group: 1, Used: []finished.Spent{{ID: "oats", Bags: of(1.0)}}},
		"groups[0].left_kg":         {Group: 1, Left: of(mass * 2)},
		"groups[0].left_hoppers":    {Group: 1, LeftHoppers: of(-1.0)},
		"groups[0].used[0].mass_kg": {Group: 1, Used: []finished.Spent{{ID: "oats"}}},
	} {
		_, err := finished.LookBack(s, of(machine()), finished.Told{Date: "2026-09-02", Groups: []finished.Group{g}}, units.US)
		if f, ok := fault.From(err); !ok || f.Where.Field != field || f.Remedy == "" {
			t.Errorf("%s: got %v", field, err)
		}
	}
	for _, bad := range []units.Mass{units.Mass(math.NaN()), -1, mass * 30} {
		_, err := finished.LookBack(s, of(machine()), finished.Told{Groups: []finished.Group{{Group: 1, Used: []finished.Spent{{ID: "oats", Mass: &bad}}}}}, units.US)
		if f, ok := fault.From(err); !ok || f.Where.Field != "groups[0].used[0]" {
			t.Errorf("%v: got %v", bad, err)
		}
	}
	twice := finished.Told{Groups: []finished.Group{{Group: 1, Left: of(units.Mass(0))}, {Group: 1, Left: of(units.Mass(0))}}}
	if _, err := finished.LookBack(s, of(machine()), twice, units.US); err == nil {
		t.Error("a filling told twice passes")
	}
}

// What is read back from the store gives the same as the sheet itself.
func TestASavedSheetIsAsGoodAsANewOne(t *testing.T) {
	s := sheet(t)
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var saved agronomy.Sheet
	if err := json.Unmarshal(text, &saved); err != nil {
		t.Fatal(err)
	}
	g := finished.Group{Group: 1, LeftHoppers: of(0.25)}
	now, then := lookBack(t, s, g), lookBack(t, saved, g)
	a, _ := json.Marshal(now)
	b, _ := json.Marshal(then)
	if string(a) != string(b) {
		t.Errorf("got  %s\nwant %s", b, a)
	}
	alone, err := finished.LookBack(saved, nil, finished.Told{Groups: []finished.Group{g}}, units.US)
	if err != nil || len(alone.Lessons) != 0 || alone.Materials[0] != then.Materials[0] {
		t.Errorf("without the spreader: %+v, %v", alone, err)
	}
	if empty := lookBack(t, saved); len(empty.Materials) != 0 || empty.Lessons == nil {
		t.Errorf("nothing told: %+v", empty)
	}
}
