package shapes

import (
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
)

// between is a random number from low to high.
func between(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

func closed(points ...orb.Point) orb.Ring { return append(orb.Ring(points), points[0]) }

// star has four to six blunt arms, each as a clearing with lanes has them.
func star(rng *rand.Rand) orb.Ring {
	arms := 4 + rng.IntN(3)
	inner := between(rng, 0.45, 0.6)
	var points []orb.Point
	for i := range arms {
		for k, r := range []float64{1, 1, inner} {
			turn := (float64(i) + []float64{-0.12, 0.12, 0.5}[k]) / float64(arms)
			sin, cos := math.Sincos(2 * math.Pi * turn)
			r *= between(rng, 0.9, 1)
			points = append(points, orb.Point{r * cos, r * sin})
		}
	}
	return closed(points...)
}

// strip is three to five times as long as wide and tapers a little.
func strip(rng *rand.Rand) orb.Ring {
	long, end := between(rng, 3, 5), between(rng, 0.8, 1.1)
	return closed(orb.Point{0, 0}, orb.Point{long, 0}, orb.Point{long, end}, orb.Point{0, 1})
}

// bentStrip follows a quarter to a third of a circle.
func bentStrip(rng *rand.Rand) orb.Ring {
	const steps = 8
	radius, sweep := between(rng, 2, 3), between(rng, math.Pi/2, 2*math.Pi/3)
	var inner, outer []orb.Point
	for i := range steps + 1 {
		sin, cos := math.Sincos(sweep * float64(i) / steps)
		outer = append(outer, orb.Point{(radius + 0.5) * cos, (radius + 0.5) * sin})
		inner = append(inner, orb.Point{(radius - 0.5) * cos, (radius - 0.5) * sin})
	}
	for i := len(inner) - 1; i >= 0; i-- {
		outer = append(outer, inner[i])
	}
	return closed(outer...)
}

// ell is a square with a corner missing.
func ell(rng *rand.Rand) orb.Ring {
	x, y := between(rng, 0.4, 0.6), between(rng, 0.4, 0.6)
	return closed(orb.Point{0, 0}, orb.Point{1, 0}, orb.Point{1, y},
		orb.Point{x, y}, orb.Point{x, 1}, orb.Point{0, 1})
}

// horseshoe goes round three sides of something.
func horseshoe(rng *rand.Rand) orb.Ring {
	left, right := between(rng, 0.33, 0.4), between(rng, 0.6, 0.67)
	floor := between(rng, 0.35, 0.45)
	return closed(orb.Point{0, 0}, orb.Point{1, 0}, orb.Point{1, 1}, orb.Point{right, 1},
		orb.Point{right, floor}, orb.Point{left, floor}, orb.Point{left, 1}, orb.Point{0, 1})
}

// round is an egg whose edge swings in and out twice and three times.
func round(rng *rand.Rand) orb.Ring {
	const steps = 16
	two, three := between(rng, 0, 0.15), between(rng, 0, 0.1)
	points := make([]orb.Point, steps)
	for i := range points {
		angle := 2 * math.Pi * float64(i) / steps
		r := 1 + two*math.Cos(2*angle) + three*math.Sin(3*angle)
		points[i] = orb.Point{1.2 * r * math.Cos(angle), r * math.Sin(angle)}
	}
	return closed(points...)
}

// wedge is a field corner: four sides, one end half as wide as the other.
func wedge(rng *rand.Rand) orb.Ring {
	return closed(orb.Point{0, 0}, orb.Point{between(rng, 1.2, 1.8), between(rng, -0.1, 0.1)},
		orb.Point{between(rng, 1.2, 1.6), between(rng, 0.35, 0.6)}, orb.Point{0, 1})
}
