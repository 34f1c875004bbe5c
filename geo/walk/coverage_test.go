package walk_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/geo/walk"
	"evenfall/testdata/plots/shapes"
	"evenfall/testdata/walks/strolls"
)

// walked is one made-up walk, what it was really like, and what was read in it.
type walked struct {
	strolls.Stroll
	result walk.Result
	err    error
}

func (w walked) inside() bool {
	return w.err == nil && w.result.Interval95.LowM2 <= w.TrueAreaM2 && w.TrueAreaM2 <= w.result.Interval95.HighM2
}

// walks reads seeded walks of the whole range. Only what a person would know is
// passed on: the accuracy where the receiver states it, and the offset.
func walks(n int, seed uint64) []walked {
	all := make([]walked, n)
	for i := range all {
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		stroll, line := strolls.Draw(rng)
		all[i].Stroll = stroll
		all[i].result, all[i].err = walk.Trace("made up", stroll.Record(line, rng), walk.Options{OffsetM: stroll.OffsetM})
	}
	return all
}

// class is a part of the walks that must hold up on its own.
type class struct {
	name string
	has  func(walked) bool
}

func classes() []class {
	var all []class
	bands := func(name string, of func(walked) float64, edges ...float64) {
		for i := range len(edges) - 1 {
			low, high := edges[i], edges[i+1]
			all = append(all, class{fmt.Sprintf("%s %g to %g", name, low, high),
				func(w walked) bool { return of(w) >= low && of(w) < high }})
		}
	}
	either := func(name, otherwise string, is func(walked) bool) {
		all = append(all, class{name, is}, class{otherwise, func(w walked) bool { return !is(w) }})
	}
	bands("acres", func(w walked) float64 { return w.TrueAreaM2 / shapes.SquareMetresPerAcre }, 0.1, 0.25, 0.5, 1, 2, 5.001)
	bands("sigma m", func(w walked) float64 { return w.SigmaM }, 1, 2, 3, 4)
	bands("correlation s", func(w walked) float64 { return w.CorrelationS }, 20, 40, 70, 120)
	either("walking", "by ATV", func(w walked) bool { return w.Drive == "walking" })
	either("accuracy stated", "accuracy unknown", func(w walked) bool { return w.SaysAccuracy })
	either("one lap", "several laps", func(w walked) bool { return w.Laps == 1 })
	either("on the edge", "inside the edge", func(w walked) bool { return w.OffsetM == 0 })
	either("with a pause", "without a pause", func(w walked) bool { return w.PauseS > 0 })
	either("with spikes", "without spikes", func(w walked) bool { return w.Spikes > 0 })
	for _, kind := range shapes.Kinds() {
		if kind.Holes == 0 {
			all = append(all, class{kind.Name, func(w walked) bool { return strings.HasPrefix(w.Shape, kind.Name) }})
		}
	}
	return all
}

// tally is how a class of walks came out. A walk that was refused is one whose
// true area was not given.
type tally struct {
	count, inside, refused int
	bias, deviation        float64 // shares of the true area, means over the walks read
}

func tallied(all []walked, has func(walked) bool) tally {
	var t tally
	for _, w := range all {
		if !has(w) {
			continue
		}
		t.count++
		if w.err != nil {
			t.refused++
			continue
		}
		if w.inside() {
			t.inside++
		}
		t.bias += w.result.AreaM2/w.TrueAreaM2 - 1
		t.deviation += w.result.UncertaintyM2 / w.TrueAreaM2
	}
	read := float64(t.count - t.refused)
	t.bias, t.deviation = t.bias/read, t.deviation/read
	return t
}

func (t tally) share() float64 { return float64(t.inside) / float64(t.count) }

func (t tally) String() string {
	return fmt.Sprintf("%3d walks, %d refused, truth inside %.1f %%, mean error %+.2f %%, mean deviation %.1f %%",
		t.count, t.refused, 100*t.share(), 100*t.bias, 100*t.deviation)
}

// TestIntervalHoldsTheTruth reads 500 walks over 0.1 to 5 acres, 1 to 4 m of
// error lasting 20 to 120 s. The true area must lie in the stated 95 % interval
// in 90 to 99 % of all, and in no class in fewer than 90 % by more than twice
// what chance does to a class of its size.
func TestIntervalHoldsTheTruth(t *testing.T) {
	const low, high = 0.90, 0.99
	all := walks(500, 2026)
	whole := tallied(all, func(walked) bool { return true })
	t.Logf("%-22s %v", "all", whole)
	if share := whole.share(); share < low || share > high {
		t.Errorf("the truth is inside in %.1f %% of the walks", 100*share)
	}
	for _, c := range classes() {
		part := tallied(all, c.has)
		t.Logf("%-22s %v", c.name, part)
		chance := math.Sqrt(low * (1 - low) / float64(part.count))
		if part.share() < low-2*chance {
			t.Errorf("%s: the truth is inside in %.1f %%", c.name, 100*part.share())
		}
	}
	for i, w := range all {
		if w.err != nil {
			t.Logf("walk %d refused: %s, %.0f m2, sigma %.1f m: %v", i, w.Shape, w.TrueAreaM2, w.SigmaM, w.err)
		}
	}
}
