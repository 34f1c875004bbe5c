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
// every pass, on a grid of a third of a metre.
func missedShare(g *Ground, passes []Pass, farM float64) float64 {
	var driven nearby
	for _, p := range passes {
		driven.add(p.Line)
	}
	inside, missed := 0, 0
	bound := g.polygon[0].Bound()
	f := newFront(g.polygon, 0, 0)
	step := math.Sqrt(g.areaM2) / 90
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

func TestCoverX(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	_ = r
	for _, m := range madePlots(t) {
		g, _ := NewGround(m.local)
		o := atvLaps()
		o.Core = false
		bare, err := g.LapRings(o)
		if err != nil {
			t.Log(m.name, err)
		}
		o.Core = true
		full, err := g.LapRings(o)
		if err != nil {
			t.Log(m.name, err)
			continue
		}
		s := o.SpacingM
		t.Logf("%-40s laps only %.3f %.3f   with core %.3f %.3f %.3f  passes %d", m.name,
			missedShare(g, bare, s/2), missedShare(g, bare, s*.75), missedShare(g, full, s/2), missedShare(g, full, s*.75), missedShare(g, full, s), len(full))
	}
}
