package walk_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenfall/geo/walk"
	"evenfall/testdata/walks/strolls"
)

type outcome struct {
	strolls.Stroll
	result walk.Result
	err    error
}

func (o outcome) inside() bool {
	return o.err == nil && o.result.Interval95.LowM2 <= o.TrueAreaM2 && o.TrueAreaM2 <= o.result.Interval95.HighM2
}

func outcomes(n int) []outcome {
	out := make([]outcome, n)
	for i := range out {
		rng := rand.New(rand.NewPCG(500, uint64(i)))
		stroll, ring := strolls.Draw(rng)
		out[i].Stroll = stroll
		out[i].result, out[i].err = walk.Trace("made up", stroll.Record(ring, rng), walk.Options{OffsetM: stroll.OffsetM})
	}
	return out
}

type class struct {
	name string
	in   func(outcome) bool
}

func classes() []class {
	band := func(name string, of func(outcome) float64, edges ...float64) []class {
		var out []class
		for i := 0; i+1 < len(edges); i++ {
			out = append(out, class{fmt.Sprintf("%s %g to %g", name, edges[i], edges[i+1]),
				func(o outcome) bool { return of(o) >= edges[i] && of(o) < edges[i+1] }})
		}
		return out
	}
	all := []class{{"all", func(outcome) bool { return true }}}
	all = append(all, band("acres", func(o outcome) float64 { return o.TrueAreaM2 / 4046.8564224 }, 0.1, 0.25, 0.5, 1, 2, 5.01)...)
	all = append(all, band("sigma m", func(o outcome) float64 { return o.SigmaM }, 1, 2, 3, 4)...)
	all = append(all, band("correlation s", func(o outcome) float64 { return o.CorrelationS }, 20, 40, 70, 120)...)
	all = append(all, band("laps", func(o outcome) float64 { return float64(o.Laps) }, 1, 2, 4)...)
	all = append(all, band("pause s", func(o outcome) float64 { return o.PauseS }, 0, 1, 61)...)
	all = append(all, band("spikes", func(o outcome) float64 { return float64(o.Spikes) }, 0, 1, 4)...)
	for _, c := range []class{
		{"walking", func(o outcome) bool { return o.Drive == "walking" }},
		{"ATV", func(o outcome) bool { return o.Drive == "ATV" }},
		{"says accuracy", func(o outcome) bool { return o.SaysAccuracy }},
		{"says nothing", func(o outcome) bool { return !o.SaysAccuracy }},
		{"says nothing, sigma 3 to 4", func(o outcome) bool { return !o.SaysAccuracy && o.SigmaM > 3 }},
		{"on the edge", func(o outcome) bool { return o.OffsetM == 0 }},
		{"inside the edge", func(o outcome) bool { return o.OffsetM > 0 }},
		{"small ATV", func(o outcome) bool { return o.Drive == "ATV" && o.TrueAreaM2 < 1500 }},
		{"small ATV short corr", func(o outcome) bool { return o.Drive == "ATV" && o.TrueAreaM2 < 1500 && o.CorrelationS < 50 }},
	} {
		all = append(all, c)
	}
	var kinds []string
	return append(all, band("kinds", func(outcome) float64 { return float64(len(kinds)) - 1 }, 0)...)
}

func TestIntervalHoldsTheTruth(t *testing.T) {
	n := 5000
	all := outcomes(n)
	for _, c := range classes() {
		count, in, refused, z, wrong, rel, width := 0, 0, 0, 0.0, 0, 0.0, 0.0
		var zs []float64
		for _, o := range all {
			if !c.in(o) {
				continue
			}
			count++
			if o.err != nil {
				refused++
				continue
			}
			if o.inside() {
				in++
			}
			if o.result.Laps != o.Laps {
				wrong++
			}
			zz := (o.result.AreaM2 - o.TrueAreaM2) / o.result.UncertaintyM2
			zs = append(zs, zz*zz)
			z += zz
			rel += o.result.AreaM2/o.TrueAreaM2 - 1
			width += o.result.UncertaintyM2 / o.TrueAreaM2
		}
		k := float64(count - refused)
		slices.Sort(zs)
		sum := 0.0
		for _, v := range zs {
			sum += v
		}
		t.Logf("%-28s %4d walks, %2d refused, %2d laps wrong, inside %5.1f %%; mean z %+.2f, rms z %.2f, mean rel %+.2f %%, mean sd %.1f %%", c.name, count, refused, wrong,
			100*float64(in)/float64(count), z/k, math.Sqrt(sum/k), 100*rel/k, 100*width/k)
	}
	for i, o := range all {
		if o.err != nil {
			t.Logf("%d %v: %v", i, o.Stroll, o.err)
		} else if !o.inside() {
			t.Logf("%d %+v: %.0f +- %.0f gap %.1f laps %d", i, o.Stroll, o.result.AreaM2, o.result.UncertaintyM2, o.result.GapM, o.result.Laps)
		}
	}
}
