package spreader

import (
	"math"
	"slices"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Way is how neighbouring passes run. Laps that are all driven the same way
// round count as the same way: what lies left of one is left of the next.
type Way string

// The two ways.
const (
	SameWay      Way = "same_way"
	BackAndForth Way = "back_and_forth"
)

// narrowest is the least spacing that is worked out, over the throw: closer
// passes than that are even whatever the pattern, and the sum grows long.
const narrowest = 1.0 / 200

// Overlap is the coefficient of variation (population, 0.15 is 15 %) across a
// wide field of parallel passes at a spacing. It is the integral over one
// repeat of the pattern: exact for straight-lined shapes and the parabola, good
// to 1e-9 for the bell and to 2e-5 for the oval, whose ends are steep.
func Overlap(p Pattern, spacing units.Length, way Way) (float64, error) {
	c, err := p.cross()
	if err != nil {
		return 0, err
	}
	if err := checkWay(way); err != nil {
		return 0, err
	}
	if !(float64(spacing) >= narrowest*(c.hi-c.lo) && float64(spacing) <= 100*float64(mostThrow)) {
		return 0, fault.New("range", "the spacing must be above zero and in proportion to the throw", "give the distance between neighbouring tracks").In("spacing_m")
	}
	return c.variation(float64(spacing), way), nil
}

func checkWay(way Way) error {
	if way == SameWay || way == BackAndForth {
		return nil
	}
	return fault.New("unknown_way", "passes run the same way or back and forth", "use same_way or back_and_forth").In("way")
}

// variation integrates the squared departure from the mean over one lane
// centred on a track. Back and forth repeats over two lanes, but the second
// mirrors the first.
func (c cross) variation(spacing float64, way Way) float64 {
	mean := 1 / spacing
	cuts := c.cuts(spacing, way)
	sum := 0.0
	for i := 1; i < len(cuts); i++ {
		width := (cuts[i] - cuts[i-1]) / float64(c.parts)
		for part := range c.parts {
			sum += quadrature(cuts[i-1]+float64(part)*width, width, func(x float64) float64 {
				off := c.fold(x, spacing, way)/mean - 1
				return off * off
			})
		}
	}
	return math.Sqrt(sum / spacing)
}

// fold is the density at x from every pass that reaches it.
func (c cross) fold(x, spacing float64, way Way) float64 {
	sum := 0.0
	for k := -c.passes(spacing); k <= c.passes(spacing); k++ {
		sum += c.density(c.seen(x, k, spacing, way))
	}
	return sum
}

// passes is how many passes each side can reach the lane around a track.
func (c cross) passes(spacing float64) int {
	return int(math.Ceil(max(-c.lo, c.hi)/spacing + 0.5))
}

// seen is where x lies for pass k, right of it counting as positive.
func (c cross) seen(x float64, k int, spacing float64, way Way) float64 {
	off := x - float64(k)*spacing
	if way == BackAndForth && k%2 != 0 {
		return -off
	}
	return off
}

// cuts are the points of the lane around a track where the folded density
// bends or jumps, the lane's edges among them, ascending.
func (c cross) cuts(spacing float64, way Way) []float64 {
	cuts := []float64{-spacing / 2, spacing / 2}
	for k := -c.passes(spacing); k <= c.passes(spacing); k++ {
		for _, kink := range c.kinks {
			if way == BackAndForth && k%2 != 0 {
				kink = -kink
			}
			if x := float64(k)*spacing + kink; x > -spacing/2 && x < spacing/2 {
				cuts = append(cuts, x)
			}
		}
	}
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

// Gauss-Legendre points and weights of order five on [0, 1], exact for
// polynomials up to degree nine: (1 -+ x)/2 of the roots of P5.
var (
	gaussAt = func() [5]float64 {
		inner, outer := gaussRoots()
		return [5]float64{(1 - outer) / 2, (1 - inner) / 2, 0.5, (1 + inner) / 2, (1 + outer) / 2}
	}()
	gaussWeight = func() [5]float64 {
		s := 13 * math.Sqrt(70)
		inner, outer := (322+s)/1800, (322-s)/1800
		return [5]float64{outer, inner, 64.0 / 225, inner, outer}
	}()
)

func gaussRoots() (inner, outer float64) {
	s := 2 * math.Sqrt(10.0/7)
	return math.Sqrt(5-s) / 3, math.Sqrt(5+s) / 3
}

func quadrature(from, width float64, f func(float64) float64) float64 {
	sum := 0.0
	for i, at := range gaussAt {
		sum += gaussWeight[i] * f(from+at*width)
	}
	return sum * width
}

// Curve is the coefficient of variation against spacing, as arrays of one
// length.
type Curve struct {
	SpacingM     []float64 `json:"spacing_m"`
	SameWay      []float64 `json:"same_way_cv"`
	BackAndForth []float64 `json:"back_and_forth_cv"`
}

const mostCurvePoints = 2000

// CVCurve works the curve out at points evenly set from one spacing to another.
func CVCurve(p Pattern, from, to units.Length, points int) (Curve, error) {
	if points < 2 || points > mostCurvePoints || !(to > from) {
		return Curve{}, fault.New("range", "a curve needs 2 to 2,000 spacings, the last wider than the first", "check the range").In("spacing_m")
	}
	curve := Curve{make([]float64, points), make([]float64, points), make([]float64, points)}
	for i := range points {
		s := from + (to-from)*units.Length(i)/units.Length(points-1)
		choice, err := weigh(p, s)
		if err != nil {
			return Curve{}, err
		}
		curve.SpacingM[i], curve.SameWay[i], curve.BackAndForth[i] = float64(s), choice.SameWayCV, choice.BackAndForthCV
	}
	return curve, nil
}

// HalfRateTwice compares two ways to put the material on in two halves: a
// second time at right angles, or in parallel midway between the first tracks.
// Both are the coefficients of variation of the whole.
func HalfRateTwice(p Pattern, spacing units.Length, way Way) (rightAngles, parallel float64, err error) {
	once, err := Overlap(p, spacing, way)
	if err != nil {
		return 0, 0, err
	}
	parallel, err = Overlap(p, spacing/2, way)
	// The two directions are independent, and each puts on half.
	return once / math.Sqrt2, parallel, err
}
