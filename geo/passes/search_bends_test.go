package passes

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// squareLine is two sides of a square about the middle of the plane's first
// quarter.
func squareLine(from, side float64) orb.LineString {
	return orb.LineString{{from, from}, {from + side, from}, {from + side, from + side}}
}

func TestBendsAreWidenedOntoTheStraights(t *testing.T) {
	g := rectangle(t, 60, 40)
	pl := planning(t, g, SearchOptions{})
	f, err := pl.newField(1, 2)
	if err != nil {
		t.Fatal(err)
	}
	lap := f.Laps()[0]
	wide := pl.widened(lap.Line, 1.6*radius)
	if got := tightest(wide, true); got < 1.59*radius {
		t.Errorf("widened to %.2f m, want %.2f", got, 1.6*radius)
	}
	if before, after := signedArea(lap.Line), signedArea(wide); !(after < before && after > 0.97*before) {
		t.Errorf("the lap held %.0f m2 and now holds %.0f", before, after)
	}
}

func TestWidenedLapsStayWhereTheyMayBeDriven(t *testing.T) {
	for _, m := range madePlots(t) {
		if m.acres > 0.5 {
			continue
		}
		g, err := NewGround(m.local)
		if err != nil {
			t.Fatal(err)
		}
		pl := planning(t, g, SearchOptions{})
		f, err := pl.newField(1, 1.5)
		if err != nil {
			continue // too narrow for this lap
		}
		for i, lap := range pl.widenedLaps(f.Laps(), 1.6) {
			was := tightest(f.Laps()[i].Line, true)
			if now := tightest(lap.Line, true); now < 0.99*math.Min(was, radius) {
				t.Errorf("%s: a bend of %.2f m, before %.2f", m.name, now, was)
			}
			if stray := pl.strayed(lap.Line); stray > pl.strayed(f.Laps()[i].Line) {
				t.Errorf("%s: the widened lap strays for %.1f m", m.name, stray)
			}
		}
	}
}
