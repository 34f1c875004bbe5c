package spreader_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// caught is a standing catch test of a minute.
func caught(gate, pounds float64) spreader.CatchTest {
	return spreader.CatchTest{Material: "Urea", Gate: gate, Mass: units.Mass(pounds) * units.Pound, Time: 60}
}

func tested(tests ...spreader.CatchTest) spreader.Spreader {
	return spreader.Spreader{
		Name:       "Test",
		Patterns:   spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 24 * units.Foot}},
		SpeedMin:   3 * units.MPH,
		SpeedMax:   8 * units.MPH,
		Gate:       spreader.GateScale{Name: "notch", Shut: 0, Open: 8, Step: 0.5},
		CatchTests: tests,
	}
}

func urea() spreader.Spreader {
	return tested(caught(2, 10), caught(4, 22), caught(6, 40), caught(8, 50))
}

func job() spreader.Job {
	return spreader.Job{Material: "urea", Rate: 200 * units.PoundPerAcre, Spacing: 12 * units.Foot, Speed: 7 * units.MPH, System: units.US}
}

func curve(t *testing.T, s spreader.Spreader) spreader.FlowCurve {
	t.Helper()
	c, err := s.FlowCurve("urea")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestDrivenCourseGivesTheSameFlowAsAClock(t *testing.T) {
	// 300 ft at 6 mph takes 300/8.8 seconds.
	course := spreader.CatchTest{Material: "a", Gate: 1, Mass: 5, Course: 300 * units.Foot, Speed: 6 * units.MPH}
	clock := spreader.CatchTest{Material: "a", Gate: 1, Mass: 5, Time: 300 / 8.8}
	if a, b := float64(course.Flow()), float64(clock.Flow()); math.Abs(a-b) > 1e-12 {
		t.Errorf("%v and %v", a, b)
	}
}

func TestCurvePassesThroughTheTestsAndNeverTurns(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var tests []spreader.CatchTest
		gate, flow := 0.0, 1.0
		falling := rng.IntN(2) == 0
		for range 2 + rng.IntN(6) {
			gate, flow = gate+0.2+3*rng.Float64(), flow+0.01+20*math.Pow(rng.Float64(), 4)
			at := gate
			if falling {
				at = 100 - gate
			}
			tests = append(tests, caught(at, flow))
		}
		c := curve(t, tested(tests...))
		for i, g := range c.Gate {
			if got, err := c.At(g); err != nil || math.Abs(float64(got)-c.Flow[i]) > 1e-12 {
				t.Fatalf("at %v: %v, %v, not %v", g, got, err, c.Flow[i])
			}
		}
		checkMonotone(t, c, falling)
	}
}

func checkMonotone(t *testing.T, c spreader.FlowCurve, falling bool) {
	t.Helper()
	first, last := c.Gate[0], c.Gate[len(c.Gate)-1]
	before, err := c.At(first)
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i <= 500; i++ {
		gate := min(last, first+(last-first)*float64(i)/500)
		now, err := c.At(gate)
		if err != nil {
			t.Fatal(err)
		}
		if (now > before) == falling && math.Abs(float64(now-before)) > 1e-12 {
			t.Fatalf("the curve turns at gate %v of %v %v", gate, c.Gate, c.Flow)
		}
		back, err := c.GateFor(now, units.US)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := c.At(back); err != nil || math.Abs(float64(again-now)) > 1e-9*float64(now) {
			t.Fatalf("flow %v came back as %v, %v", now, again, err)
		}
		before = now
	}
}

// A straight line through the tests must come out straight.
func TestCurveKeepsAStraightLine(t *testing.T) {
	c := curve(t, tested(caught(1, 10), caught(2, 20), caught(5, 50), caught(6, 60)))
	for gate := 1.0; gate <= 6; gate += 0.25 {
		got, err := c.At(gate)
		if err != nil || math.Abs(got.PoundsPerMinute()-10*gate) > 1e-9 {
			t.Errorf("gate %v gives %v, %v", gate, got.PoundsPerMinute(), err)
		}
	}
}

func TestExtrapolationIsRefusedWithTheNearest(t *testing.T) {
	c := curve(t, urea())
	for _, gate := range []float64{1.99, 8.01, math.NaN()} {
		_, err := c.At(gate)
		if found, ok := fault.From(err); !ok || found.Kind != fault.Refused {
			t.Errorf("gate %v: %v", gate, err)
		}
	}
	_, err := c.GateFor(55*units.PoundPerMinute, units.US)
	if err == nil || !strings.Contains(err.Error(), "the nearest is 50 lb/min at notch 8 (wide open)") {
		t.Errorf("got %v", err)
	}
	_, err = c.GateFor(5*units.PoundPerMinute, units.US)
	if err == nil || !strings.Contains(err.Error(), "the nearest is 10 lb/min at notch 2") {
		t.Errorf("got %v", err)
	}
}

// A hair past the last test is no extrapolation: it takes the gate of that test.
func TestAHairPastTheTestsTakesTheirEnd(t *testing.T) {
	gate, err := curve(t, urea()).GateFor(50.5*units.PoundPerMinute, units.US)
	if err != nil || gate != 8 {
		t.Errorf("got %v, %v", gate, err)
	}
}

func TestContradictingTestsAreRefused(t *testing.T) {
	_, err := tested(caught(2, 10), caught(4, 22), caught(6, 21)).FlowCurve("urea")
	if found, ok := fault.From(err); !ok || found.Code != "not_monotone" || !strings.Contains(found.What, "notch 4 gave 22 lb/min, notch 6 gave 21 lb/min") {
		t.Errorf("got %v", err)
	}
}

func TestCurveOfNothingIsMissing(t *testing.T) {
	_, err := urea().FlowCurve("lime")
	if found, ok := fault.From(err); !ok || found.Kind != fault.Missing {
		t.Errorf("got %v", err)
	}
}

func TestOneTestServesItsOwnGate(t *testing.T) {
	c := curve(t, tested(caught(4, 22)))
	if got, err := c.At(4); err != nil || math.Abs(got.PoundsPerMinute()-22) > 1e-9 {
		t.Errorf("got %v, %v", got, err)
	}
	if _, err := c.At(4.5); err == nil {
		t.Error("a single test says nothing of other gates")
	}
}

func TestTwoTestsAlikeGiveAPlainRange(t *testing.T) {
	s := curve(t, tested(caught(4, 19), caught(4, 21), caught(6, 40))).Scatter
	if !s.Known || s.Repeats != 1 || math.Abs(s.Low-0.95) > 1e-9 || math.Abs(s.High-1.05) > 1e-9 {
		t.Errorf("got %+v", s)
	}
	if s := curve(t, urea()).Scatter; s.Known || s.Low != 1 || s.High != 1 {
		t.Errorf("without repeats: %+v", s)
	}
}

// One more run must fall inside the interval 95 times in a hundred.
func TestScatterHoldsOneMoreRun(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const trials, sd = 4000, 0.06
	inside := 0
	for range trials {
		var tests []spreader.CatchTest
		for range 4 {
			tests = append(tests, caught(4, 20*(1+sd*rng.NormFloat64())))
		}
		c := curve(t, tested(tests...))
		again := 20 * (1 + sd*rng.NormFloat64()) * float64(units.PoundPerMinute)
		if again >= c.Flow[0]*c.Scatter.Low && again <= c.Flow[0]*c.Scatter.High {
			inside++
		}
	}
	if share := float64(inside) / trials; share < 0.94 || share > 0.96 {
		t.Errorf("%.3f of the runs fell inside", share)
	}
}

func TestSetFindsTheGate(t *testing.T) {
	set, err := urea().Set(job())
	if err != nil {
		t.Fatal(err)
	}
	// 200 lb/ac x 7 mph x 12 ft / 495 = 33.94 lb/min
	if math.Abs(set.Flow.PoundsPerMinute()-33.9394) > 1e-4 || set.Times != 1 || !set.Tested {
		t.Errorf("got %+v", set)
	}
	if math.Abs(set.GateMark*2-math.Round(set.GateMark*2)) > 1e-9 || set.GateMark < 4 || set.GateMark > 6 {
		t.Errorf("gate %v is no half notch between 4 and 6", set.GateMark)
	}
	flow, err := curve(t, urea()).At(set.GateMark)
	if err != nil {
		t.Fatal(err)
	}
	want := flow.PoundsPerMinute() * 495 / 7 / 12
	if math.Abs(set.ActualRate.PoundsPerAcre()-want) > 1e-6 || set.RateLow != 0 {
		t.Errorf("actual rate %v, want %v", set.ActualRate.PoundsPerAcre(), want)
	}
}

// Gate, speed and rate are three views of one setting.
func TestTheThreeUnknownsAgree(t *testing.T) {
	s := urea()
	s.Gate.Step = 0
	set, err := s.Set(job())
	if err != nil {
		t.Fatal(err)
	}
	bySpeed, err := s.SetSpeed(job(), set.GateMark)
	if err != nil || math.Abs(bySpeed.Speed.MPH()-7) > 1e-6 {
		t.Errorf("speed %v, %v", bySpeed.Speed.MPH(), err)
	}
	byRate, err := s.SetRate(job(), set.GateMark)
	if err != nil || math.Abs(byRate.Rate.PoundsPerAcre()-200) > 1e-6 {
		t.Errorf("rate %v, %v", byRate.Rate.PoundsPerAcre(), err)
	}
}

func TestHalfTheRateTwiceHalvesTheFlow(t *testing.T) {
	twice := job()
	twice.Times = 2
	set, err := urea().Set(twice)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(set.Flow.PoundsPerMinute()-33.9394/2) > 1e-4 || math.Abs(set.ActualRate.PoundsPerAcre()-200) > 20 {
		t.Errorf("got %+v", set)
	}
}

func TestScatterWidensTheRate(t *testing.T) {
	s := tested(caught(4, 33), caught(4, 34), caught(4, 35), caught(6, 50))
	set, err := s.Set(job())
	if err != nil {
		t.Fatal(err)
	}
	if !(set.RateLow < set.ActualRate && set.ActualRate < set.RateHigh) || set.RateLow <= 0 {
		t.Errorf("got %v to %v around %v", set.RateLow, set.RateHigh, set.ActualRate)
	}
	if !strings.Contains(strings.Join(set.Says, "\n"), "scatter allows") {
		t.Errorf("got %q", set.Says)
	}
}

func TestWithoutTestsTheFlowAndTheWayToFindTheGateAreSaid(t *testing.T) {
	set, err := tested().Set(job())
	if err != nil {
		t.Fatal(err)
	}
	says := strings.Join(set.Says, "\n")
	if set.Tested || set.Gate != "" || !strings.Contains(says, "33.9 lb/min") || !strings.Contains(says, "into a bag for 30 s and weigh: 17 lb") {
		t.Errorf("got %+v", set)
	}
}

func TestWhatCannotBeDoneIsRefusedWithTheNearest(t *testing.T) {
	fast, slow, heavy, light, huge := job(), job(), job(), job(), job()
	fast.Speed = 12 * units.MPH
	slow.Speed = 1 * units.MPH
	heavy.Rate = 350 * units.PoundPerAcre // 59 lb/min at 7 mph, 50 at 5.9 mph
	light.Rate = 55 * units.PoundPerAcre  // 9.3 lb/min at 7 mph, 10 at 7.5 mph
	huge.Rate = 1200 * units.PoundPerAcre // 51 lb/min each of four times
	huge.Speed = 3 * units.MPH
	tests := []struct {
		name   string
		job    spreader.Job
		remedy string
	}{
		{"too fast", fast, "drive at 8 mph with notch"},
		{"too slow", slow, "drive at 3 mph with notch"},
		{"too much", heavy, "drive at 5.9 mph with notch 8 (wide open)"},
		{"too little", light, "drive at 7.5 mph with notch 2"},
		{"far too much", huge, "go over the plot 2 times"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := urea().Set(tt.job)
			found, ok := fault.From(err)
			if !ok || found.Kind != fault.Refused || !strings.Contains(found.Remedy, tt.remedy) {
				t.Errorf("got %v, want %q", err, tt.remedy)
			}
		})
	}
	_, err := urea().SetSpeed(heavy, 2)
	if found, ok := fault.From(err); !ok || found.Where.Field != "speed_mps" || found.Remedy == "" {
		t.Errorf("got %v", err)
	}
}

func TestJobsThatMakeNoSenseAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(*spreader.Job){
		"rate_kg_per_m2": func(j *spreader.Job) { j.Rate = 0 },
		"spacing_m":      func(j *spreader.Job) { j.Spacing = units.Length(math.Inf(1)) },
		"speed_mps":      func(j *spreader.Job) { j.Speed = units.Speed(math.NaN()) },
		"times":          func(j *spreader.Job) { j.Times = 9 },
	} {
		spoiled := job()
		spoil(&spoiled)
		_, err := urea().Set(spoiled)
		if found, ok := fault.From(err); !ok || found.Where.Field != name {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestAJobCorrectsTheFlow(t *testing.T) {
	s := urea()
	// 30 lb over 2,000 ft at 7 mph and notch 4, where the tests say 22 lb/min.
	done := spreader.CatchTest{Material: "UREA", Gate: 4, Mass: 30 * units.Pound, Course: 2000 * units.Foot, Speed: 7 * units.MPH}
	c, err := s.CorrectFlow(done, "2026-11-25", units.US)
	if err != nil {
		t.Fatal(err)
	}
	realFlow := 30.0 / (2000.0 / (7 * 88))
	if math.Abs(c.Real.PoundsPerMinute()-realFlow) > 1e-9 || math.Abs(c.Factor-realFlow/22) > 1e-9 {
		t.Errorf("got %+v", c)
	}
	if !strings.Contains(c.Says, "the tests say 22 lb/min, the job gave 9.24 lb/min: 58 % less") {
		t.Errorf("got %q", c.Says)
	}
	corrected := s.WithCorrection(c)
	if len(s.Corrections) != 0 || len(corrected.WithCorrection(c).Corrections) != 1 {
		t.Error("a correction replaces the earlier one and leaves the old spreader alone")
	}
	if got, err := curve(t, corrected).At(4); err != nil || math.Abs(float64(got-c.Real)) > 1e-12 {
		t.Errorf("corrected curve gives %v, %v", got, err)
	}
	again, err := corrected.CorrectFlow(done, "2026-11-25", units.US)
	if err != nil || math.Abs(again.Factor-c.Factor) > 1e-12 || math.Abs(float64(again.Expected-c.Real)) > 1e-12 {
		t.Errorf("the same job again changes the correction: %+v, %v", again, err)
	}
}

func TestCorrectionRefusesASlip(t *testing.T) {
	_, err := urea().CorrectFlow(caught(4, 300), "", units.US)
	if found, ok := fault.From(err); !ok || found.Kind != fault.Refused {
		t.Errorf("got %v", err)
	}
	_, err = tested().CorrectFlow(caught(4, 30), "", units.US)
	if err == nil || !strings.Contains(err.Error(), "keep this job as a catch test") {
		t.Errorf("got %v", err)
	}
}

func BenchmarkSet(b *testing.B) {
	s := urea()
	for b.Loop() {
		if _, err := s.Set(job()); err != nil {
			b.Fatal(err)
		}
	}
}

func TestFlowsBeyondBeliefAreRefused(t *testing.T) {
	for _, c := range []spreader.CatchTest{
		{Material: "a", Gate: 1, Mass: 1, Time: 5e-324},
		{Material: "a", Gate: 1, Mass: 1e-300, Time: 10},
		{Material: "a", Gate: 1, Mass: 1, Course: 1e-300, Speed: 2},
	} {
		if f, ok := fault.From(c.Validate()); !ok || f.Where.Field != "time_s" {
			t.Errorf("%+v: %v", c, c.Validate())
		}
	}
}
