package passes_test

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/passes"
)

func straightUsual() passes.StraightOptions {
	return passes.StraightOptions{SpacingM: 13 * foot, FirstInsetM: 6.5 * foot, TurnRadiusM: 8 * foot, ClearanceM: 1, TurnOutside: true}
}

func TestStraightPassesOfASquare(t *testing.T) {
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
		if want := [2]string{"north", "south"}[i%2]; pass.Direction != want || pass.Kind != passes.Straight {
			t.Errorf("pass %d runs %s (%s), want %s", i+1, pass.Direction, pass.Kind, want)
		}
	}
}

// linesOf lays one candidate's lines.
func linesOf(t *testing.T, plot orb.Polygon, o passes.StraightOptions) []passes.Stretch {
	t.Helper()
	g, err := passes.NewGround(plot)
	if err != nil {
		t.Fatal(err)
	}
	f, err := g.Field(o)
	if err != nil {
		t.Fatal(err)
	}
	var l passes.Lines
	f.StraightLines(&l, o)
	return l.Stretches
}

func total(lines []passes.Stretch) float64 {
	var sum float64
	for _, s := range lines {
		sum += s.LengthM()
	}
	return sum
}

func TestStraightLinesFollowBearingAndPhase(t *testing.T) {
	tests := []struct {
		name           string
		bearing, phase float64
		first          orb.Point // where the first line starts
		count          int
	}{
		{"north", 0, 1, orb.Point{1, 0}, 5},
		{"east", math.Pi / 2, 1, orb.Point{0, 19}, 5},
		{"south", math.Pi, 3, orb.Point{17, 20}, 5},
	}
	for _, tt := range tests {
		o := straightUsual()
		o.SpacingM, o.BearingRad, o.PhaseM = 4, tt.bearing, tt.phase
		lines := linesOf(t, square(20), o)
		from := lines[0].From
		if len(lines) != tt.count || math.Hypot(from[0]-tt.first[0], from[1]-tt.first[1]) > 1e-9 {
			t.Errorf("%s: %d lines from %v, want %d from %v", tt.name, len(lines), from, tt.count, tt.first)
		}
	}
}

func TestStopDrawsBackAndRunsOn(t *testing.T) {
	for _, stop := range []float64{-1.5, 0, 2} {
		o := straightUsual()
		o.SpacingM, o.PhaseM, o.StopM = 4, 2, stop
		if got, want := total(linesOf(t, square(20), o)), 5*(20-2*stop); math.Abs(got-want) > 1e-9 {
			t.Errorf("stop %g: %.3f m, want %.3f m", stop, got, want)
		}
	}
}

// Many narrow rows add up to the area, whatever the shape, the bearing and the
// holes: Cavalieri's principle.
func TestManyStraightLinesAddUpToTheArea(t *testing.T) {
	star := fivePointed(25, 45)
	for _, bearing := range []float64{0, 0.3, 1.1, math.Pi / 2, 2.5} {
		o := straightUsual()
		o.SpacingM, o.BearingRad, o.PhaseM = 0.2, bearing, 0.1
		var area float64
		for i := range 10 {
			a, b := star[0][i], star[0][i+1]
			area += (a[0]*b[1] - a[1]*b[0]) / 2
		}
		if got := total(linesOf(t, star, o)) * o.SpacingM; math.Abs(got-area) > 0.002*area {
			t.Errorf("bearing %.1f: %.2f m2, want %.2f m2", bearing, got, area)
		}
	}
}

func TestStraightLinesKeepOffHolesAndLeaveRoomToTurnOff(t *testing.T) {
	hole := ring(18, 18, 18, 22, 22, 22, 22, 18)
	o := straightUsual()
	o.PhaseM, o.StopM = 20-3*o.SpacingM, -1 // the fourth line meets the hole in its middle
	lines := linesOf(t, append(square(40), hole), o)
	cut := slices.DeleteFunc(slices.Clone(lines), func(s passes.Stretch) bool { return s.Row != 3 })
	if len(cut) != 2 {
		t.Fatalf("row 4 has %d stretches", len(cut))
	}
	// A circle of 8 ft radius beside the line just clears the hole's corner:
	// its middle lies 2.438 m aside, over the side's end, so straight below.
	r, c := o.TurnRadiusM, o.ClearanceM
	reach := math.Sqrt((r+c)*(r+c) - (r-2)*(r-2))
	if want := 18 - reach; math.Abs(cut[0].To[1]-want) > 0.01 {
		t.Errorf("stops at %.3f, want %.3f", cut[0].To[1], want)
	}
	if want := 22 + reach; math.Abs(cut[1].From[1]-want) > 0.01 {
		t.Errorf("goes on at %.3f, want %.3f", cut[1].From[1], want)
	}
	if math.Abs(cut[0].From[1]+1) > 1e-3 || math.Abs(cut[1].To[1]-41) > 1e-3 {
		t.Errorf("at the edge the row runs from %.3f to %.3f, want -1 to 41", cut[0].From[1], cut[1].To[1])
	}
}

func TestHeadlandLapsComeFirstAndBoundTheStraights(t *testing.T) {
	for count := 1; count <= 2; count++ {
		o := straightUsual()
		o.HeadlandLaps, o.TurnOutside, o.StopM, o.PhaseM = count, false, 1, o.SpacingM
		p, err := passes.Straights(square(50), o)
		if err != nil {
			t.Fatal(err)
		}
		edge := o.FirstInsetM + float64(count-1)*o.SpacingM + o.StopM
		for i, pass := range p.Passes {
			if (pass.Kind == passes.Lap) != (i < count) {
				t.Errorf("pass %d is a %s", i+1, pass.Kind)
			}
			if pass.Kind == passes.Straight && math.Min(pass.Line[0][1], pass.Line[1][1]) < edge-1e-9 {
				t.Errorf("pass %d starts %.3f m from the edge, want %.3f", i+1, pass.Line[0][1], edge)
			}
		}
		for i, way := range p.Travel {
			for _, at := range way {
				if min(at[0], at[1], 50-at[0], 50-at[1]) < 0 {
					t.Fatalf("the way to pass %d leaves the plot at %v", i+1, at)
				}
			}
		}
	}
}

// With a turning circle wider than the spacing no turn leads to the next line:
// the turns of a long block are all drivable half circles.
func TestWideTurnsSkipLines(t *testing.T) {
	o := straightUsual()
	o.PhaseM = o.SpacingM / 2 // 13 ft against a circle of 16 ft
	p, err := passes.Straights(orb.Polygon{ring(0, 0, 60, 0, 60, 50, 0, 50)}, o)
	if err != nil {
		t.Fatal(err)
	}
	tight, rows := 0, map[int]bool{}
	for i, pass := range p.Passes {
		rows[int(pass.Line[0][0]/o.SpacingM)] = true
		if i > 0 && math.Abs(pass.Line[0][0]-p.Passes[i-1].Line[1][0]) < 2*o.TurnRadiusM-1e-9 {
			tight++
		}
	}
	if len(p.Passes) != 15 || len(rows) != 15 {
		t.Fatalf("%d passes in %d rows, want 15", len(p.Passes), len(rows))
	}
	if tight > 2 {
		t.Errorf("%d of %d turns lead to a line nearer than the turning circle is wide", tight, len(p.Passes)-1)
	}
}

func TestEveryLineIsDrivenOnce(t *testing.T) {
	plots := map[string]orb.Polygon{
		"star": fivePointed(25, 45),
		"U":    {ring(0, 0, 50, 0, 50, 40, 35, 40, 35, 15, 15, 15, 15, 40, 0, 40)},
		"hole": append(square(60), ring(25, 25, 25, 35, 35, 35, 35, 25)),
	}
	for name, plot := range plots {
		for _, bearing := range []float64{0, 0.4, math.Pi / 2} {
			o := straightUsual()
			o.BearingRad, o.PhaseM = bearing, 2
			lines := linesOf(t, plot, o)
			p, err := passes.Straights(plot, o)
			if err != nil {
				t.Fatal(err)
			}
			if len(p.Passes) != len(lines) || math.Abs(p.LengthM-total(lines)) > 1e-9 {
				t.Errorf("%s at %.1f: %d passes of %.2f m, want %d of %.2f m", name, bearing, len(p.Passes), p.LengthM, len(lines), total(lines))
			}
		}
	}
}

func TestStraightOptionsOutOfRangeAreFaults(t *testing.T) {
	tests := []struct {
		field  string
		change func(*passes.StraightOptions)
	}{
		{"spacing_m", func(o *passes.StraightOptions) { o.SpacingM = 0 }},
		{"headland_laps", func(o *passes.StraightOptions) { o.HeadlandLaps = 3 }},
		{"bearing_rad", func(o *passes.StraightOptions) { o.BearingRad = math.NaN() }},
		{"stop_m", func(o *passes.StraightOptions) { o.StopM = math.Inf(1) }},
		{"phase_m", func(o *passes.StraightOptions) { o.PhaseM = -1 }},
	}
	for _, tt := range tests {
		o := straightUsual()
		tt.change(&o)
		_, err := passes.Straights(square(40), o)
		wantFault(t, err, tt.field)
	}
	if _, err := passes.Straights(square(3), straightUsual()); err == nil {
		t.Error("a plot of 3 m is large enough for a machine")
	}
}
