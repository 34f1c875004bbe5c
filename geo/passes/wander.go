package passes

import (
	"math"
	"math/rand/v2"
	"slices"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// Wandering is what a driver's wander makes of the evenness: the expected CV
// and the range that the runs span.
type Wandering struct {
	ExpectedCV float64 `json:"expected_cv"`
	LowCV      float64 `json:"cv_low"`  // 10th percentile
	HighCV     float64 `json:"cv_high"` // 90th percentile
	Runs       int     `json:"runs"`
}

// How long an error lasts, metres driven: at 3 m/s a driver who is off the line
// is back on it after some three seconds, while a speed that has crept up stays
// for longer. The errors are first-order autoregressive along the path, drawn
// every noise step and linear in between. Common practice, no source.
const (
	steeringLastsM = 10.0
	speedLastsM    = 25.0
	noiseStepM     = 2.5
)

// mostSpeedShare bounds a single speed error, so that no run stands still.
const mostSpeedShare = 0.5

// wandering drives a plan so many times with errors and sums up. Run k of one
// plan and run k of another draw the same numbers, so that plans are compared
// on equal luck.
func (pl *planner) wandering(p Plan, heaps float64) Wandering {
	strokes := p.Strokes()
	for i := range strokes {
		strokes[i] = withErrorPoints(strokes[i])
	}
	cvs := make([]float64, 0, pl.o.Runs)
	for run := range pl.o.Runs {
		pl.raster.Clear()
		for i := range strokes {
			rng := rand.New(rand.NewPCG(pl.o.Seed, uint64(run)<<32|uint64(i)))
			pl.stray(&strokes[i], rng)
			pl.lapBrush.Lay(pl.raster, strokes[i])
		}
		cvs = append(cvs, pl.uneven(pl.mask.Spread(pl.raster), heaps))
	}
	return summed(cvs)
}

func summed(cvs []float64) Wandering {
	if len(cvs) == 0 {
		return Wandering{}
	}
	slices.Sort(cvs)
	sum := 0.0
	for _, v := range cvs {
		sum += v
	}
	at := func(q float64) float64 {
		x := q * float64(len(cvs)-1)
		i := min(int(x), len(cvs)-2)
		if i < 0 {
			return cvs[0]
		}
		return cvs[i] + (x-float64(i))*(cvs[i+1]-cvs[i])
	}
	return Wandering{ExpectedCV: sum / float64(len(cvs)), LowCV: at(0.1), HighCV: at(0.9), Runs: len(cvs)}
}

// withErrorPoints has a point at least every noise step, and room for the errors.
func withErrorPoints(s coverage.Stroke) coverage.Stroke {
	line := orb.LineString{s.Line[0]}
	for i := 1; i < len(s.Line); i++ {
		a, b := s.Line[i-1], s.Line[i]
		n := max(1, int(math.Ceil(apart(a, b)/noiseStepM)))
		for k := 1; k < n; k++ {
			f := float64(k) / float64(n)
			line = append(line, orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])})
		}
		line = append(line, b)
	}
	s.Line, s.Along, s.AsideM = line, make([]float64, len(line)), make([]float64, len(line))
	return s
}

// stray draws the errors of one run of a stroke. More speed means less material
// on a metre.
func (pl *planner) stray(s *coverage.Stroke, rng *rand.Rand) {
	aside, speed := rng.NormFloat64(), rng.NormFloat64()
	for i := range s.Line {
		if i > 0 {
			d := apart(s.Line[i-1], s.Line[i])
			aside = follow(aside, d/steeringLastsM, rng)
			speed = follow(speed, d/speedLastsM, rng)
		}
		s.AsideM[i] = aside * pl.o.SteeringM
		s.Along[i] = 1 / (1 + math.Max(-mostSpeedShare, math.Min(mostSpeedShare, speed*pl.o.SpeedShare)))
	}
}

// follow is the next value of a process with unit variance whose correlation
// falls to 1/e over one unit of way.
func follow(v, way float64, rng *rand.Rand) float64 {
	keep := math.Exp(-way)
	return keep*v + math.Sqrt(1-keep*keep)*rng.NormFloat64()
}
