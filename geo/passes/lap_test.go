package passes_test

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
	"evenfall/geo/passes"
)

const foot = 0.3048

// ring closes a list of x, y pairs.
func ring(xy ...float64) orb.Ring {
	var r orb.Ring
	for i := 0; i < len(xy); i += 2 {
		r = append(r, orb.Point{xy[i], xy[i+1]})
	}
	return append(r, r[0])
}

func square(side float64) orb.Polygon {
	return orb.Polygon{ring(0, 0, side, 0, side, side, 0, side)}
}

// fivePointed is a star of five equal points between two radii.
func fivePointed(inner, outer float64) orb.Polygon {
	var r orb.Ring
	for i := range 10 {
		d := []float64{outer, inner}[i%2]
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 10)
		r = append(r, orb.Point{d * cos, d * sin})
	}
	return orb.Polygon{append(r, r[0])}
}

// usual are the options of a quarter-acre plot: 13 ft spacing, 8 ft radius.
func usual() passes.LapOptions {
	return passes.LapOptions{SpacingM: 13 * foot, FirstInsetM: 6.5 * foot, TurnRadiusM: 8 * foot, ClearanceM: 1, Core: true}
}

// roundedLength is the closed form for a lap: a corner of a turn t away from
// the ground takes 2 d tan(t/2) off the perimeter at inset d, one into it adds
// an arc of d t, and rounding the former to a radius takes off another
// r (2 tan(t/2) - t). It holds while no edge has vanished.
func roundedLength(r orb.Ring, insetM, radiusM float64) float64 {
	n := len(r) - 1
	var sum float64
	for i := range n {
		a, b, c := r[i], r[i+1], r[(i+2)%n]
		if i+2 == n {
			c = r[0]
		}
		ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], c[0]-b[0], c[1]-b[1]
		turn := math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
		sum += math.Hypot(ux, uy)
		if turn > 0 {
			sum -= 2*(insetM+radiusM)*math.Tan(turn/2) - radiusM*turn
		} else {
			sum -= insetM * turn
		}
	}
	return sum
}

func TestLapsOfKnownShapesHaveTheirLength(t *testing.T) {
	const inset, radius = 3.0, 2.0
	hole := ring(18, 18, 18, 22, 22, 22, 22, 18)
	tests := []struct {
		name string
		plot orb.Polygon
	}{
		{"square", square(40)},
		{"rectangle", orb.Polygon{ring(0, 0, 70, 0, 70, 30, 0, 30)}},
		{"L", orb.Polygon{ring(0, 0, 40, 0, 40, 15, 15, 15, 15, 40, 0, 40)}},
		{"U", orb.Polygon{ring(0, 0, 50, 0, 50, 40, 35, 40, 35, 15, 15, 15, 15, 40, 0, 40)}},
		{"square with a hole", append(square(40), hole)},
		{"star", fivePointed(20, 35)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var want float64
			for _, r := range tt.plot {
				want += roundedLength(r, inset, radius)
			}
			p, err := passes.Laps(tt.plot, passes.LapOptions{SpacingM: 4, FirstInsetM: inset, TurnRadiusM: radius, MaxLaps: 1})
			if err != nil {
				t.Fatal(err)
			}
			if len(p.Passes) != len(tt.plot) {
				t.Fatalf("%d laps, want %d", len(p.Passes), len(tt.plot))
			}
			// chords are shorter than their arcs by less than a thousandth
			if p.LengthM > want+1e-6 || p.LengthM < want*0.999 {
				t.Errorf("%.4f m, want %.4f m", p.LengthM, want)
			}
		})
	}
}

func TestLapsGoInwardUntilNothingIsLeft(t *testing.T) {
	const side = 40.0
	o := usual()
	o.Core = false
	p, err := passes.Laps(square(side), o)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for inset := o.FirstInsetM; side/2-inset > o.TurnRadiusM; inset += o.SpacingM {
		want += 4*(side-2*inset) - (8-2*math.Pi)*o.TurnRadiusM
	}
	if math.Abs(p.LengthM-want) > 0.001*want {
		t.Errorf("laps come to %.3f m, want %.3f m", p.LengthM, want)
	}
	for i, pass := range p.Passes {
		if pass.Order != i+1 || !pass.Closed || pass.Kind != passes.Lap || pass.Flow != 1 {
			t.Errorf("pass %d is %+v", i+1, pass)
		}
	}
}

func TestLapsGoTheWayRoundThatIsAsked(t *testing.T) {
	for clockwise, word := range map[bool]string{true: "clockwise", false: "counter-clockwise"} {
		o := usual()
		o.Clockwise, o.Core = clockwise, false
		p, err := passes.Laps(append(square(40), ring(18, 18, 18, 22, 22, 22, 22, 18)), o)
		if err != nil {
			t.Fatal(err)
		}
		for i, pass := range p.Passes {
			if pass.Direction != word {
				t.Errorf("pass %d runs %s, want %s", i+1, pass.Direction, word)
			}
		}
	}
}

func TestTheFirstLapStartsNearTheGate(t *testing.T) {
	o := usual()
	o.Start = &orb.Point{40, 20}
	p, err := passes.Laps(square(40), o)
	if err != nil {
		t.Fatal(err)
	}
	at := p.Passes[0].Line[0]
	if want := (orb.Point{40 - o.FirstInsetM, 20}); math.Hypot(at[0]-want[0], at[1]-want[1]) > 1e-6 {
		t.Errorf("starts at %v, want %v", at, want)
	}
	if len(p.Travel[0]) == 0 || p.Travel[0][0] != *o.Start {
		t.Error("no way from the gate to the first lap")
	}
}

func TestIslandsAreFinishedOneByOne(t *testing.T) {
	// two squares joined by a neck that only the first lap can pass
	plot := orb.Polygon{ring(0, 0, 40, 0, 40, 14, 60, 14, 60, 0, 100, 0, 100, 40, 60, 40, 60, 26, 40, 26, 40, 40, 0, 40)}
	o := usual()
	o.Core = false
	p, err := passes.Laps(plot, o)
	if err != nil {
		t.Fatal(err)
	}
	var sides []bool // of the laps inside the first: is it the right square
	for _, pass := range p.Passes[1:] {
		sides = append(sides, pass.Line[0][0] > 50)
	}
	if changes := len(slices.Compact(slices.Clone(sides))); len(sides) < 4 || changes != 2 {
		t.Errorf("laps go to the right square in the order %v", sides)
	}
}

func TestBoundRatioIsPathOverLeast(t *testing.T) {
	// BOUND of testdata/reference/geo.csv: (A - pi s^2 / 4) / s
	o := usual()
	p, err := passes.Laps(square(40), o)
	if err != nil {
		t.Fatal(err)
	}
	least := (1600 - math.Pi*o.SpacingM*o.SpacingM/4) / o.SpacingM
	if math.Abs(p.BoundRatio-p.LengthM/least) > 1e-12 || passes.LeastM(1600, o.SpacingM) != least {
		t.Errorf("ratio %.6f, want %.6f", p.BoundRatio, p.LengthM/least)
	}
}

func TestAPlotTooSmallProposesTheHandSpreader(t *testing.T) {
	for _, core := range []bool{false, true} {
		o := usual()
		o.Core = core
		_, err := passes.Laps(square(3), o)
		f, ok := fault.From(err)
		if !ok || f.Code != "too_small" || f.Kind != fault.Refused {
			t.Fatalf("got %v", err)
		}
	}
}

func TestGroundThatIsNoneIsAFault(t *testing.T) {
	tests := []struct {
		name, code string
		plot       orb.Polygon
	}{
		{"nothing", "empty", nil},
		{"two corners", "too_few_corners", orb.Polygon{ring(0, 0, 1, 1)}},
		{"not a number", "not_finite", orb.Polygon{ring(0, 0, math.NaN(), 1, 5, 5)}},
		{"a hole as large", "no_area", append(square(10), square(10)[0])},
	}
	for _, tt := range tests {
		_, err := passes.Laps(tt.plot, usual())
		if f, ok := fault.From(err); !ok || f.Code != tt.code {
			t.Errorf("%s: got %v", tt.name, err)
		}
	}
}

func wantFault(t *testing.T, err error, field string) {
	t.Helper()
	if f, ok := fault.From(err); !ok || f.Where.Field != field {
		t.Errorf("%s: got %v", field, err)
	}
}

func TestLapOptionsOutOfRangeAreFaults(t *testing.T) {
	tests := []struct {
		field  string
		change func(*passes.LapOptions)
	}{
		{"spacing_m", func(o *passes.LapOptions) { o.SpacingM = -1 }},
		{"spacing_m", func(o *passes.LapOptions) { o.SpacingM = math.NaN() }},
		{"first_inset_m", func(o *passes.LapOptions) { o.FirstInsetM = -1 }},
		{"turn_radius_m", func(o *passes.LapOptions) { o.TurnRadiusM = 0 }},
		{"clearance_m", func(o *passes.LapOptions) { o.ClearanceM = math.Inf(1) }},
		{"max_laps", func(o *passes.LapOptions) { o.MaxLaps = -1 }},
	}
	for _, tt := range tests {
		o := usual()
		tt.change(&o)
		_, err := passes.Laps(square(40), o)
		wantFault(t, err, tt.field)
	}
}

func TestLapsAreTheSameEveryTime(t *testing.T) {
	plot := append(fivePointed(25, 45), ring(-1, -1, -1, 1, 1, 1, 1, -1))
	first, err := passes.Laps(plot, usual())
	if err != nil {
		t.Fatal(err)
	}
	again, err := passes.Laps(plot, usual())
	if err != nil {
		t.Fatal(err)
	}
	for i := range first.Passes {
		if !first.Passes[i].Line.Equal(again.Passes[i].Line) {
			t.Fatalf("pass %d differs", i+1)
		}
	}
}

// Turning the plot turns the laps with it; the driver must come in at the same
// corner.
func TestLapsTurnWithThePlot(t *testing.T) {
	plot := orb.Polygon{ring(0, 0, 50, 3, 60, 40, 30, 25, -5, 45)}
	turned := orb.Polygon{{}}
	sin, cos := math.Sincos(0.7)
	for _, p := range plot[0] {
		turned[0] = append(turned[0], orb.Point{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos})
	}
	a, err := passes.Laps(plot, usual())
	if err != nil {
		t.Fatal(err)
	}
	b, err := passes.Laps(turned, usual())
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.LengthM-b.LengthM) > 0.001*a.LengthM || len(a.Passes) != len(b.Passes) || a.Turns != b.Turns {
		t.Errorf("%.3f m in %d passes, %d turns; turned %.3f m in %d, %d", a.LengthM, len(a.Passes), a.Turns, b.LengthM, len(b.Passes), b.Turns)
	}
}
