package walk

import (
	"fmt"
	"math"
	"sort"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

const (
	// mostLaps and mostVisits bound the work on walks that circle for hours.
	// Nobody needs more laps; a plot has fewer arms than visits.
	mostLaps, mostVisits = 20, 24
	// probes is at how many readings what follows a return is laid against the
	// beginning.
	probes = 100
)

// splitLaps cuts a track into full laps. What follows the last one overlaps
// it and is dropped.
func splitLaps(track lap, o Options, frame geo.Frame, done *Result) ([]lap, error) {
	if err := checkWidth(track, frame); err != nil {
		return nil, err
	}
	maxGapM := o.MaxGapM
	if maxGapM == 0 {
		maxGapM = math.Max(gapSigmas*rmsSigma(track), leastGapM)
	}
	end, gapM, ok := closing(track, maxGapM)
	if !ok {
		return nil, neverClosed(track, maxGapM, frame)
	}
	done.GapM = gapM
	laps := []lap{track[:end+1]}
	rest := track[end+1:]
	for len(rest) >= minFixes && len(laps) < mostLaps {
		end, _, ok := closing(rest, maxGapM)
		if !ok || !alike(laps[0], rest[:end+1]) {
			break
		}
		laps = append(laps, rest[:end+1])
		rest = rest[end+1:]
	}
	done.Dropped.Overlap = len(rest)
	return laps, nil
}

// alike tells a further lap of the same plot from a stray loop at the end.
func alike(first, other lap) bool {
	ratio := math.Abs(other.areaM2() / first.areaM2())
	return ratio > 0.5 && ratio < 2
}

func rmsSigma(track lap) float64 {
	sum := 0.0
	for _, r := range track {
		sum += r.sigmaM * r.sigmaM
	}
	return math.Sqrt(sum / float64(len(track)))
}

// narrowSigmas is how many standard deviations a track must spread across its
// own axis (root mean square) to be more than a line. A line of one deviation
// of noise spreads by one; a strip w wide by w/2 and that noise.
const narrowSigmas = 1.25

// lineRatio is the length over the spread across beyond which the walk is
// called a line, to a person.
const lineRatio = 10.0

// checkWidth refuses a walk along a line.
func checkWidth(track lap, frame geo.Frame) error {
	var mean orb.Point
	for _, r := range track {
		mean[0] += r.at[0] / float64(len(track))
		mean[1] += r.at[1] / float64(len(track))
	}
	var xx, xy, yy float64
	for _, r := range track {
		d := minus(r.at, mean)
		xx, xy, yy = xx+d[0]*d[0], xy+d[0]*d[1], yy+d[1]*d[1]
	}
	n, spread := float64(len(track)), math.Hypot((xx-yy)/2, xy)
	across := math.Sqrt(math.Max((xx+yy)/2-spread, 0) / n)
	sigmaM := rmsSigma(track)
	if across > narrowSigmas*sigmaM {
		return nil
	}
	alongM := 2 * math.Sqrt(3*((xx+yy)/2+spread)/n) // of an even line with this spread
	what := fmt.Sprintf("the walk is a line about %.0f m long and no wider than the receiver's error of %.0f m", alongM, sigmaM)
	if across*lineRatio > alongM {
		what = fmt.Sprintf("the walk spans about %.0f m, too little beside the receiver's error of %.0f m", alongM, sigmaM)
	}
	return fault.New("straight_line", what,
		"walk right round the edge and back to where you started; tape a plot that is too narrow for that").
		At(fault.Place{LonLat: lonLat(frame, mean)})
}

func lonLat(frame geo.Frame, p orb.Point) []float64 {
	d := frame.ToLonLat(p)
	return []float64{math.Remainder(d[0], 360), d[1]}
}

// closing finds where a track first comes back to its start: the last reading
// of the lap and its distance from the first one.
//
// Coming near is not enough, because the far side of a narrow strip and the
// next arm of a star are near too. Two more things tell a return. Stretches of
// the edge of one plot that run side by side, with the plot or a gap between
// them, run opposite ways, so a return goes the way of the start (unless the
// walk began at the tip of a sharp corner). And what follows a return, an
// overlap or a further lap, runs along the beginning.
func closing(track lap, maxGapM float64) (end int, gapM float64, ok bool) {
	visits, leastM := returns(track, maxGapM), math.Inf(1)
	for _, v := range visits {
		leastM = math.Min(leastM, v.strayM)
	}
	for _, v := range visits {
		if v.strayM <= leastM+nearlySigmas*rmsSigma(track) {
			return stepBack(track, v), v.gapM, true
		}
	}
	return 0, 0, false
}

// visit is the reading at which a track that has left its start comes nearest
// to it again.
type visit struct {
	at     int
	gapM   float64
	way    orb.Point // direction of arrival, a unit vector
	strayM float64   // gapM and what speaks against a return, in metres
}

const (
	// turnedBack is the cosine of the angle to the direction of the start
	// beyond which a visit runs against it: 120 degrees, half way between a
	// square corner and the far side of a strip.
	turnedBack = -0.5
	// againstSigmas is what that counts for, in standard deviations.
	againstSigmas = 3.0
	// nearlySigmas is how much worse than the best visit an earlier one may be
	// and still be the return: the distance of two points that each err by
	// sigma per axis is all but never beyond four.
	nearlySigmas = 4.0
	// retraceSigmas is how far, root mean square, what follows a return may run
	// beside the beginning: both err by sigma.
	retraceSigmas = 1.5
	// retraceWeight is how much more a metre beyond that counts than one of gap.
	retraceWeight = 2.0
)

// returns lists the visits to the start, each from coming near to leaving,
// and weighs what speaks against them.
func returns(track lap, maxGapM float64) []visit {
	sigmaM, farM := rmsSigma(track), farthestM(track)
	strideM := math.Max(2*sigmaM, 4)
	setOut, _ := heading(track, 0, 1, strideM)
	var found []visit
	left, open := false, false
	for i, r := range track {
		gapM := apart(r.at, track[0].at)
		if gapM > math.Min(maxGapM, farM/2) {
			left, open = left || gapM > farM/2, false
			continue
		}
		way, ok := heading(track, i, -1, strideM)
		if !left || !ok || i < minFixes-1 {
			continue
		}
		here := visit{at: i, gapM: gapM, way: way, strayM: gapM}
		if dot(way, setOut) <= turnedBack {
			here.strayM += againstSigmas * sigmaM
		}
		switch last := len(found) - 1; {
		case open && here.strayM < found[last].strayM:
			found[last] = here
		case !open && len(found) < mostVisits:
			found, open = append(found, here), true
		}
	}
	ways := track.ways()
	for i, v := range found {
		found[i].strayM += retraceWeight * math.Max(besideM(track, ways, v.at)-retraceSigmas*sigmaM, 0)
	}
	return found
}

// farthestM is how far a track gets from its start.
func farthestM(track lap) float64 {
	farM := 0.0
	for _, r := range track {
		farM = math.Max(farM, apart(r.at, track[0].at))
	}
	return farM
}

// ways is how far each reading is along the track, in metres.
func (l lap) ways() []float64 {
	out := make([]float64, len(l))
	for i := 1; i < len(l); i++ {
		out[i] = out[i-1] + apart(l[i].at, l[i-1].at)
	}
	return out
}

const (
	// waySlack and waySlackM are by how much the ways of two laps to the same
	// place may differ: restlessness makes a recorded line longer.
	waySlack, waySlackM = 0.15, 5.0
)

// besideM is how far, root mean square in metres, the track after a return
// runs beside its beginning, over one lap at the most.
func besideM(track lap, ways []float64, end int) float64 {
	squares, n := 0.0, 0.0
	stride := max(1, (len(track)-end)/probes)
	for k := end + 1; k < len(track) && ways[k]-ways[end] <= ways[end]; k += stride {
		way := ways[k] - ways[end]
		least := math.Inf(1)
		for j := sort.SearchFloat64s(ways, (1-waySlack)*way-waySlackM); j <= end && ways[j] <= (1+waySlack)*way+waySlackM; j++ {
			least = math.Min(least, apart(track[j].at, track[k].at))
		}
		squares, n = squares+least*least, n+1
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(squares / n)
}

// heading is the direction from a reading to the first one at least a stride
// away, forwards (step 1) or from behind (step -1).
func heading(track lap, i, step int, strideM float64) (way orb.Point, ok bool) {
	for k := i + step; k >= 0 && k < len(track); k += step {
		if d := apart(track[k].at, track[i].at); d >= strideM {
			way = minus(track[k].at, track[i].at)
			return orb.Point{way[0] / d * float64(step), way[1] / d * float64(step)}, true
		}
	}
	return orb.Point{}, false
}

// stepBack leaves out the reading at which the start was just passed, so that
// the closing line does not run back over the edge.
func stepBack(track lap, v visit) int {
	if v.at > minFixes && dot(minus(track[0].at, track[v.at].at), v.way) < 0 {
		return v.at - 1
	}
	return v.at
}

// neverClosed says how much is missing.
func neverClosed(track lap, maxGapM float64, frame geo.Frame) error {
	last := track[len(track)-1]
	gap := apart(last.at, track[0].at)
	return fault.New("never_closed",
		fmt.Sprintf("the walk ends %.0f m from where it began and never comes back within %.0f m of it", gap, maxGapM),
		"walk on until you are a few steps past where you started, or allow a wider gap to have it closed by a straight line").
		At(fault.Place{LonLat: lonLat(frame, last.at)})
}
