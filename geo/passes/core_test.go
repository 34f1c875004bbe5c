package passes

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

const ft = 0.3048

// atvLaps are the options of the typical job: 26 ft throw, 13 ft spacing, 8 ft
// turning radius.
func atvLaps() LapOptions {
	return LapOptions{SpacingM: 13 * ft, FirstInsetM: 6.5 * ft, TurnRadiusM: 8 * ft, ClearanceM: 0.75, Core: true}
}

// missedShare is the share of the ground further than so many metres from
// every pass, on a grid of a sixtieth of the plot's size.
func missedShare(g *Ground, passes []Pass, farM float64) float64 {
	var driven nearby
	for _, p := range passes {
		driven.add(p.Line)
	}
	inside, missed := 0, 0
	bound := g.polygon[0].Bound()
	f := newFront(g.polygon, 0, 0)
	step := math.Sqrt(g.areaM2) / 60
	for x := bound.Min[0]; x < bound.Max[0]; x += step {
		for y := bound.Min[1]; y < bound.Max[1]; y += step {
			p := orb.Point{x, y}
			if !f.inside(p) {
				continue
			}
			inside++
			if driven.gap(p, farM) >= farM {
				missed++
			}
		}
	}
	return float64(missed) / float64(inside)
}

// Laps a spacing apart along straight sides are sqrt(2) spacings apart along
// the bisector of a square corner, so that even a perfect set leaves points
// beyond half a spacing there, and a few beyond 0.71; the arcs of the turning
// radius add to it. Hence the share is counted beyond three quarters of a
// spacing, where nothing but what was left out is found, and the share beyond
// half a spacing is held to what the corners of these plots come to.
func TestCoreCoversWhatLapsLeave(t *testing.T) {
	for _, m := range madePlots(t) {
		if m.acres < 0.5 {
			continue // a lap of 8 ft radius leaves more than corners there
		}
		g, o, full := lapped(t, m)
		if half, far := missedShare(g, full, o.SpacingM/2), missedShare(g, full, 0.75*o.SpacingM); half > 0.07 || far > 0.01 {
			t.Errorf("%s: %.1f %% lies beyond half a spacing and %.1f %% beyond three quarters", m.name, 100*half, 100*far)
		}
	}
}

// lapped lays laps and core on a made plot.
func lapped(t *testing.T, m madePlot) (*Ground, LapOptions, []Pass) {
	t.Helper()
	g, err := NewGround(m.local)
	if err != nil {
		t.Fatal(err)
	}
	o := atvLaps()
	full, err := g.LapRings(o)
	if err != nil {
		t.Fatalf("%s: %v", m.name, err)
	}
	return g, o, full
}

func TestCoreMissesLessThanLapsAlone(t *testing.T) {
	var alone, with float64
	for _, m := range madePlots(t) {
		if m.acres > 0.25 {
			continue
		}
		g, o, full := lapped(t, m)
		with += missedShare(g, full, o.SpacingM*0.75)
		o.Core = false
		if bare, err := g.LapRings(o); err == nil {
			alone += missedShare(g, bare, o.SpacingM*0.75)
		} else {
			alone++
		}
	}
	if with > alone/4 {
		t.Errorf("of small plots laps alone miss %.3f on the whole, with the core %.3f", alone, with)
	}
}

func TestANarrowStripIsOnePassAlongItsMiddle(t *testing.T) {
	p, err := Laps(orb.Polygon{{{0, 0}, {60, 0}, {60, 3}, {0, 3}, {0, 0}}}, atvLaps())
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Passes) != 1 || p.Passes[0].Kind != Core || math.Abs(p.LengthM-60) > 1e-9 || math.Abs(p.Passes[0].Line[0][1]-1.5) > 1e-9 {
		t.Errorf("got %+v", p.Passes)
	}
}

func TestABentStripIsDrivenAlongItsBend(t *testing.T) {
	const width, legs = 3.0, 40.0
	ell := orb.Polygon{{{0, 0}, {legs, 0}, {legs, width}, {width, width}, {width, legs}, {0, legs}, {0, 0}}}
	o := atvLaps()
	o.TurnRadiusM = 1.2 // about the least that keeps off the inner corner
	p, err := Laps(ell, o)
	if err != nil {
		t.Fatal(err)
	}
	if want := 2*legs - 2*width; p.Passes[0].LengthM < 0.9*want {
		t.Errorf("the longest pass is %.1f m, the bent strip's axis about %.1f m", p.Passes[0].LengthM, want)
	}
}

func TestAxisOfAnEllipseIsItsLongAxis(t *testing.T) {
	var ring orb.Ring
	for i := range 90 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 90)
		ring = append(ring, orb.Point{3 * cos, 10 * sin})
	}
	ring = append(ring, ring[0])
	bearing, width := axisOf(ring)
	if off := math.Abs(math.Remainder(bearing, math.Pi)); off > 0.04 || math.Abs(width-6) > 0.02 {
		t.Errorf("bearing %.3f, width %.3f; want north and 6", bearing, width)
	}
}

func TestRoundedCornersKeepTheRadius(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		line := orb.LineString{{0, 0}}
		for range 2 + r.IntN(10) {
			last := line[len(line)-1]
			line = append(line, orb.Point{last[0] + 10*r.Float64(), last[1] + 12*(r.Float64()-0.5)})
		}
		rounded := roundCorners(line, 2)
		if tight := tightest(rounded, false); tight < 2*0.999 {
			t.Fatalf("a corner of %v has radius %.3f", line, tight)
		}
		if rounded[0] != line[0] || rounded[len(rounded)-1] != line[len(line)-1] {
			t.Fatal("the ends moved")
		}
	}
}

// tightest is the least radius that a drawn line turns on. At a corner the
// change of heading takes place over half of both neighbours; where two drawn
// arcs meet a neighbour may be any bit of a chord, so that two corners are
// taken together. Changes below a thousandth of a radian count as straight.
func tightest(line orb.LineString, closed bool) float64 {
	line = bendsOnly(line, closed)
	if closed {
		line = append(line, line[1:min(4, len(line))]...)
	}
	least := math.Inf(1)
	for i := 2; i+1 < len(line); i++ {
		first, _ := turnAt(line[i-2], line[i-1], line[i])
		second, _ := turnAt(line[i-1], line[i], line[i+1])
		if turn := first + second; turn > 1e-3 {
			reach := (apart(line[i-2], line[i-1])+apart(line[i], line[i+1]))/2 + apart(line[i-1], line[i])
			least = math.Min(least, reach/turn)
		}
	}
	return least
}

// bendsOnly leaves out points on a straight stretch, such as where a lap is
// begun: they halve a neighbour.
func bendsOnly(line orb.LineString, closed bool) orb.LineString {
	kept := orb.LineString{line[0]}
	for i := 1; i+1 < len(line); i++ {
		if turn, _ := turnAt(kept[len(kept)-1], line[i], line[i+1]); turn > 1e-4 {
			kept = append(kept, line[i])
		}
	}
	last := line[len(line)-1]
	if closed && len(kept) > 2 {
		if turn, _ := turnAt(kept[len(kept)-1], last, kept[1]); turn < 1e-4 {
			kept = kept[1:]
			last = kept[0]
		}
	}
	return append(kept, last)
}
