package walk

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

const (
	// maxFixes bounds the work: five and a half hours at a fix a second.
	maxFixes = 20_000
	// minFixes is what a walk needs at the least once it is cleaned. Ours.
	minFixes = 8
	// leastStepS keeps fixes a second apart: faster recorders repeat or
	// interpolate, and their fixes are not news. Seconds; below one because
	// clocks waver.
	leastStepS = 0.8
)

func checkFixes(fixes []Fix) error {
	if len(fixes) > maxFixes {
		return fault.New("too_many_fixes", fmt.Sprintf("the walk has %d fixes, more than %d", len(fixes), maxFixes),
			"send the part in which you went round the plot").Of(fault.TooLarge)
	}
	if len(fixes) < minFixes {
		return tooFew(len(fixes), "the walk has")
	}
	timed := 0
	for i, f := range fixes {
		if err := checkFix(f); err != nil {
			return err.At(fault.Place{Vertex: i + 1})
		}
		if !math.IsNaN(f.TimeS) && f.TimeS != fixes[0].TimeS {
			timed++
		}
	}
	if timed < len(fixes)/2 {
		return fault.New("no_times", "the track has no times, so that spikes and standing still cannot be told from the edge",
			"record a track with times, or send it as a drawn outline")
	}
	return nil
}

func checkFix(f Fix) *fault.Error {
	if !finite(f.LonLat[0]) || !finite(f.LonLat[1]) || math.IsInf(f.TimeS, 0) {
		return fault.New("not_finite", "the fix is not a number", "export the track again")
	}
	if math.Abs(f.LonLat[0]) > 360 || math.Abs(f.LonLat[1]) > 90 {
		return fault.New("implausible", fmt.Sprintf("longitude %g latitude %g is nowhere on Earth", f.LonLat[0], f.LonLat[1]),
			"check that longitude and latitude are not swapped")
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func tooFew(n int, lead string) error {
	return fault.New("too_few_fixes", fmt.Sprintf("%s %d usable fixes and needs at least %d", lead, n, minFixes),
		"record one fix a second and walk right round the plot, back to where you started")
}

// cleaned is the track in local metres without what cannot be part of it.
func cleaned(fixes []Fix, o Options, dropped *Dropped) (lap, geo.Frame, error) {
	kept := inTime(fixes, dropped)
	accurate := slices.DeleteFunc(slices.Clone(kept), func(f Fix) bool { return f.AccuracyM > o.MaxAccuracyM })
	dropped.Inaccurate = len(kept) - len(accurate)
	if len(accurate) < minFixes && dropped.Inaccurate > 0 {
		return nil, geo.Frame{}, fault.New("too_few_fixes",
			fmt.Sprintf("%d of %d fixes are worse than %.0f m", dropped.Inaccurate, len(kept), o.MaxAccuracyM),
			"walk again under open sky, or allow a poorer accuracy and live with a wide range")
	}
	if len(accurate) < minFixes {
		return nil, geo.Frame{}, tooFew(len(accurate), "the walk has")
	}
	frame := geo.NewFrame(accurate[len(accurate)/2].LonLat)
	track := make(lap, len(accurate))
	for i, f := range accurate {
		track[i] = reading{at: frame.ToLocal(f.LonLat), timeS: f.TimeS, sigmaM: o.sigma(f)}
	}
	track = withoutSpikes(track, o, dropped)
	track = withoutStops(track, dropped)
	if len(track) < minFixes {
		return nil, frame, tooFew(len(track), "without spikes and standing still the walk has")
	}
	return track, frame, nil
}

// inTime sorts by time and keeps fixes that are a second apart.
func inTime(fixes []Fix, dropped *Dropped) []Fix {
	sorted := slices.DeleteFunc(slices.Clone(fixes), func(f Fix) bool { return math.IsNaN(f.TimeS) })
	dropped.Repeated += len(fixes) - len(sorted)
	slices.SortStableFunc(sorted, func(a, b Fix) int { return cmp.Compare(a.TimeS, b.TimeS) })
	kept := sorted[:0]
	for _, f := range sorted {
		if len(kept) == 0 || f.TimeS-kept[len(kept)-1].TimeS >= leastStepS {
			kept = append(kept, f)
		}
	}
	dropped.Repeated += len(sorted) - len(kept)
	return kept
}

const (
	// paceSpanS is the time over which the pace is taken: long enough that the
	// receiver's trembling does not count as progress. Seconds.
	paceSpanS = 8.0
	// paceShare of the way is gone no faster than the usual pace.
	paceShare = 0.75
	// calmFixes is the width of the running median that keeps spikes of up to
	// three fixes out of the pace.
	calmFixes = 7
)

// usualPace is the speed in m/s below which three quarters of the way were
// gone. Counting by way and not by time keeps standing still out of it.
func usualPace(track lap) float64 {
	type span struct{ speedMPS, wayM float64 }
	calm, spans, wayM := calmed(track), []span(nil), 0.0
	for i, j := 0, 0; i < len(track); i++ {
		for j < len(track)-1 && track[j].timeS-track[i].timeS < paceSpanS {
			j++
		}
		if j > i {
			way, passedS := apart(calm[i], calm[j]), track[j].timeS-track[i].timeS
			spans, wayM = append(spans, span{way / passedS, way}), wayM+way
		}
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Compare(a.speedMPS, b.speedMPS) })
	below := 0.0
	for _, s := range spans {
		if below += s.wayM; below >= paceShare*wayM {
			return s.speedMPS
		}
	}
	return 0
}

// calmed is the running median of the positions, axis by axis.
func calmed(track lap) []orb.Point {
	out := make([]orb.Point, len(track))
	for i := range track {
		window := track[max(0, i-calmFixes/2):min(len(track), i+calmFixes/2+1)]
		for axis := range 2 {
			values := make([]float64, len(window))
			for k, r := range window {
				values[k] = r.at[axis]
			}
			slices.Sort(values)
			out[i][axis] = values[len(values)/2]
		}
	}
	return out
}

func apart(a, b orb.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

const (
	// spikeReach is over how many fixes a run of spikes may last and still be
	// bridged. Ours.
	spikeReach = 60
	// dropCost is what leaving out one fix costs, in the same coin as a jump:
	// the square of how many spreads it is too long. So a fix goes when the jumps
	// in and out together are worse.
	dropCost = 6.0
	// shortestCorrelationS is the liveliest error that is reckoned with: the
	// shorter the time, the further it moves from fix to fix. Seconds.
	shortestCorrelationS = 20.0
	// speedSpread is how far a pace strays from the usual one, as a share.
	speedSpread = 0.4
)

// withoutSpikes keeps the run of fixes that costs least, where a fix left out
// has its price and a jump beyond the usual pace has its own. Looking at the
// whole run, a single bad fix, also the first, cannot carry it away, as it can
// where every fix is held against the last one kept.
func withoutSpikes(track lap, o Options, dropped *Dropped) lap {
	n, usual := len(track), usualPace(track)
	cost, from := make([]float64, n), make([]int, n)
	best, bestCost := 0, math.Inf(1)
	for i := range track {
		cost[i], from[i] = dropCost*float64(i), -1
		for j := i - 1; j >= max(0, i-spikeReach); j-- {
			left := dropCost * float64(i-j-1)
			if left >= cost[i] {
				break
			}
			if via := cost[j] + left + jumpCost(track[j], track[i], usual, o.MaxSpeedMPS); via < cost[i] {
				cost[i], from[i] = via, j
			}
		}
		if whole := cost[i] + dropCost*float64(n-1-i); whole < bestCost {
			best, bestCost = i, whole
		}
	}
	var run lap
	for i := best; i >= 0; i = from[i] {
		run = append(run, track[i])
	}
	slices.Reverse(run)
	dropped.Spikes = n - len(run)
	return run
}

// jumpCost is the square of how many spreads a step is too long. The spread
// has two parts: the pace and the movement of the receiver's error.
func jumpCost(a, b reading, usualMPS, limitMPS float64) float64 {
	passedS, wayM := b.timeS-a.timeS, apart(a.at, b.at)
	if limitMPS > 0 && wayM > limitMPS*passedS {
		return math.Inf(1)
	}
	pace := speedSpread * usualMPS * passedS
	tremble := b.sigmaM * math.Sqrt(2*(1-math.Exp(-passedS/shortestCorrelationS)))
	over := math.Max(wayM-usualMPS*passedS, 0)
	return over * over / (pace*pace + tremble*tremble)
}

const (
	// standingS is how long somebody must stay to be standing. Seconds.
	standingS = 10.0
	// standingShare of the usual progress in that time is the radius of a
	// stand: who gets no further has stopped.
	standingShare = 0.2
	// widestStandM bounds the radius when driving fast. Metres.
	widestStandM = 3.0
)

// withoutStops merges the fixes of every stand into their mean, because they
// wander about one place and tie knots into the line.
func withoutStops(track lap, dropped *Dropped) lap {
	radius := math.Min(standingShare*standingS*usualPace(track), widestStandM)
	var out lap
	for i := 0; i < len(track); {
		end, middle := standUntil(track, i, radius)
		stoodS := track[end].timeS - track[i].timeS
		if stoodS < standingS {
			out = append(out, track[i])
			i++
			continue
		}
		dropped.Standing += end - i
		out = append(out, reading{middle.at, track[i].timeS + stoodS/2, middle.sigmaM, stoodS})
		i = end + 1
	}
	return out
}

// standUntil is the last fix of the stand that begins at a fix, and its mean.
func standUntil(track lap, start int, radiusM float64) (end int, mean reading) {
	mean, end = track[start], start
	for k := start + 1; k < len(track); k++ {
		if apart(track[k].at, mean.at) > radiusM {
			break
		}
		n := float64(k - start + 1)
		mean.at[0] += (track[k].at[0] - mean.at[0]) / n
		mean.at[1] += (track[k].at[1] - mean.at[1]) / n
		mean.sigmaM += (track[k].sigmaM - mean.sigmaM) / n
		end = k
	}
	return end, mean
}
