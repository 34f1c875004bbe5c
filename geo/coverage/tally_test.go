package coverage

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestTallyKeepsWhatTheMaskWouldFind(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 9))
	p := triangle(-4, 4)
	all := []Stroke{line(0, 5, 40, 9), roundedLap(15, 12, 3), randomStroke(rng, false), line(3, 30, 33, 2)}
	r := NewRaster(BoundsOf(all, p, DepositOptions{}, 0.5), 0.5)
	m := NewMask(r, box(2, 3, 35, 25))
	tally := NewTally(m, NewBrush(p, 0.5, DepositOptions{}))
	laid := 0.0
	for _, s := range all {
		tally.Lay(s)
		laid += s.Laid()
	}
	tally.Lift(all[0])
	tally.Lift(all[2])
	laid -= all[0].Laid() + all[2].Laid()
	Deposit(r, []Stroke{all[1], all[3]}, p, DepositOptions{})
	got, want := tally.Spread(), m.Spread(r)
	near(t, "CV", got.CV, want.CV, 1e-9)
	near(t, "mean", got.Mean, want.Mean, 1e-12)
	near(t, "outside", tally.OutsideShare(), 1-want.Inside/laid, 1e-9)
	near(t, "laid", tally.Laid(), laid, 1e-9)
	copied := NewTally(m, NewBrush(p, 0.5, DepositOptions{}))
	copied.Copy(tally)
	near(t, "copied CV", copied.Spread().CV, want.CV, 1e-9)
	taken := NewTally(m, NewBrush(p, 0.5, DepositOptions{}))
	taken.Lay(all[0])
	taken.Take(r.Density, laid)
	near(t, "taken CV", taken.Spread().CV, want.CV, 1e-9)
	near(t, "taken outside", taken.OutsideShare(), 1-want.Inside/laid, 1e-9)
	tally.Clear()
	if !math.IsInf(tally.Spread().CV, 1) || tally.OutsideShare() != 0 || tally.Raster().Mass() != 0 {
		t.Error("something is left after clearing")
	}
}
