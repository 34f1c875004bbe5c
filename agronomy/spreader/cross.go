package spreader

import (
	"math"
	"slices"
	"sort"
)

// cross is a pattern as a density across the track, in shares per metre, zero
// outside [lo, hi] and with an integral of one.
type cross struct {
	lo, hi  float64
	kinks   []float64 // where it bends or jumps, lo and hi among them, ascending
	parts   int       // equal parts in which five-point quadrature between kinks is good enough
	density func(x float64) float64
	below   func(x float64) float64 // the integral up to x
}

// cross gives the density of a valid pattern, or what is wrong with it.
func (p Pattern) cross() (cross, error) {
	if err := p.Validate(); err != nil {
		return cross{}, err
	}
	w, at := float64(p.Width()/2), float64(p.Offset)
	switch p.Shape {
	case Flat:
		return broken([]float64{at - w, at + w}, []float64{1, 1}), nil
	case Triangle:
		return broken([]float64{at - w, at, at + w}, []float64{0, 1, 0}), nil
	case Trapezoid:
		return p.trapezoid(w, at), nil
	case Lopsided:
		return broken([]float64{at - float64(p.LeftReach), at, at + float64(p.RightReach)}, []float64{0, 1, 0}), nil
	case Pans:
		x, y := p.PanTest.line()
		for i := range x {
			x[i] += at
		}
		return broken(x, y), nil
	case Bell:
		return p.bell(at), nil
	case Oval:
		return scaled(w, at, 16, ovalDensity, ovalBelow), nil
	default:
		return scaled(w, at, 1, parabolaDensity, parabolaBelow), nil
	}
}

func (p Pattern) trapezoid(w, at float64) cross {
	switch f := w * p.FlatShare; p.FlatShare {
	case 0:
		return broken([]float64{at - w, at, at + w}, []float64{0, 1, 0})
	case 1:
		return broken([]float64{at - w, at + w}, []float64{1, 1})
	default:
		return broken([]float64{at - w, at - f, at + f, at + w}, []float64{0, 1, 1, 0})
	}
}

func (p Pattern) bell(at float64) cross {
	sigma := float64(p.Sigma)
	if sigma == 0 {
		sigma = float64(p.Throw) / sigmasInThrow
	}
	kept := math.Erf(sigmasKept / math.Sqrt2)
	density := func(u float64) float64 {
		z := u * sigmasKept
		return sigmasKept * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / kept
	}
	below := func(u float64) float64 { return (1 + math.Erf(u*sigmasKept/math.Sqrt2)/kept) / 2 }
	return scaled(sigmasKept*sigma, at, 4, density, below)
}

func ovalDensity(u float64) float64 { return 2 / math.Pi * math.Sqrt(max(0, 1-u*u)) }

func ovalBelow(u float64) float64 {
	return 0.5 + (u*math.Sqrt(max(0, 1-u*u))+math.Asin(u))/math.Pi
}

func parabolaDensity(u float64) float64 { return 0.75 * (1 - u*u) }

func parabolaBelow(u float64) float64 { return 0.5 + (3*u-u*u*u)/4 }

// scaled stretches a density on [-1, 1] to a half width of w around at.
func scaled(w, at float64, parts int, density, below func(float64) float64) cross {
	return cross{
		lo: at - w, hi: at + w, kinks: []float64{at - w, at + w}, parts: parts,
		density: func(x float64) float64 {
			if u := (x - at) / w; math.Abs(u) <= 1 {
				return density(u) / w
			}
			return 0
		},
		below: func(x float64) float64 { return below(min(1, max(-1, (x-at)/w))) },
	}
}

// broken is a density of straight lines between points, zero beyond them. It
// is scaled so that its integral is one.
func broken(x, y []float64) cross {
	sum := make([]float64, len(x))
	for i := 1; i < len(x); i++ {
		sum[i] = sum[i-1] + (x[i]-x[i-1])*(y[i]+y[i-1])/2
	}
	total := sum[len(sum)-1]
	last := len(x) - 1
	between := func(at float64) (i int, y0 float64) {
		i = min(max(sort.SearchFloat64s(x, at)-1, 0), last-1)
		return i, y[i] + (y[i+1]-y[i])*(at-x[i])/(x[i+1]-x[i])
	}
	return cross{
		lo: x[0], hi: x[last], kinks: slices.Clone(x), parts: 1,
		density: func(at float64) float64 {
			if at < x[0] || at > x[last] {
				return 0
			}
			_, height := between(at)
			return height / total
		},
		below: func(at float64) float64 {
			at = min(max(at, x[0]), x[last])
			i, height := between(at)
			return (sum[i] + (at-x[i])*(y[i]+height)/2) / total
		},
	}
}
