package walk

import "math"

// budget is what the errors of the receiver make of the area.
type budget struct {
	readM2      float64 // area within the recorded line, mean of the laps
	areaM2      float64 // the same with what the straight steps between fixes cut off
	deviationM2 float64 // one standard deviation
	lasting     bool    // the lasting errors gave the larger figure
	sigmaM      float64 // per axis, root mean square over the fixes
}

// normal95 is how many standard deviations either way hold 95 % of a normal
// distribution.
const normal95 = 1.959964

// budgetOf takes the area from every reading and its deviation from the
// harsher of the two error models.
//
// The first-order variance is taken at the readings, not at the unknown true
// points, and so holds the second-order part twice more than it should
// (TestVarianceFromNoisyPoints); the whole, V1 + V2, is therefore V1 - V2 as
// read. It cannot be less than V2.
func budgetOf(laps []lap, o Options) budget {
	var b budget
	squares, n := 0.0, 0
	for _, l := range laps {
		b.readM2 += math.Abs(l.areaM2()) / float64(len(laps))
		squares += rmsSigma(l) * rmsSigma(l) * float64(len(l))
		n += len(l)
	}
	b.sigmaM = math.Sqrt(squares / float64(n))
	loss := cornerLoss(laps)
	b.areaM2 = b.readM2 + loss
	lasting := 0.0
	for _, correlationS := range o.correlations() {
		first, second := lastingVariance(laps, correlationS)
		lasting = math.Max(lasting, math.Max(first-second, second))
	}
	independent := independentVariance(laps)
	b.lasting = lasting >= independent
	b.deviationM2 = math.Hypot(math.Sqrt(math.Max(lasting, independent)), cornerDoubt*loss)
	return b
}

// interval is where the true area lies in 95 cases of 100. No plot is smaller
// than nothing.
func interval(areaM2, deviationM2 float64) Interval {
	half := normal95 * deviationM2
	return Interval{math.Max(areaM2-half, 0), areaM2 + half}
}

const (
	// cornerShare of a squared step is the area that a line of straight steps
	// cuts off. A corner of turn a that falls between two fixes a step L apart
	// loses L^2 sin(a) / 12 on average, a curve of turn a L^2 a / 12. The turns
	// of a lap add up to a whole one: four square corners lose L^2/3, a circle
	// 0.52 L^2, and what is lost at the corners of a bay is won back there.
	cornerShare = 0.43
	// cornerDoubt is one standard deviation of it, as a share: the two cases
	// differ by a quarter each way, and where between two fixes a corner falls
	// is chance.
	cornerDoubt = 0.4
)

// cornerLoss is the area in square metres that the straight steps between
// fixes leave out on average. It matters to fast drives with few fixes.
func cornerLoss(laps []lap) float64 {
	cubes, wayM := 0.0, 0.0
	for _, l := range laps {
		paceMPS := usualPace(l)
		for i := 1; i < len(l); i++ {
			stepM := paceMPS * (l[i].timeS - l[i-1].timeS)
			if far := apart(l[i].at, l[i-1].at); far < stepM/2 {
				stepM = far // stood still, or the pace was far off
			}
			cubes, wayM = cubes+stepM*stepM*stepM, wayM+stepM
		}
	}
	if wayM == 0 {
		return 0
	}
	return cornerShare * cubes / wayM
}
