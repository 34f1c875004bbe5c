package coverage

import (
	"math"

	"evenfall/geo/fault"
)

// Check says what is wrong with a profile: no bins, a width that is not
// positive, a share that is negative or not a number, or shares that do not
// sum to 1 within a millionth.
func (p Profile) Check() error {
	if len(p.Share) == 0 || !(p.StepM > 0) || math.IsInf(p.StepM, 0) || math.IsNaN(p.StartM) || math.IsInf(p.StartM, 0) {
		return fault.New("profile_empty", "the throw pattern has no width", "give at least one bin of positive width").In("profile")
	}
	sum := 0.0
	for _, v := range p.Share {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fault.New("profile_share", "a share of the throw pattern is negative or not a number", "give shares of zero or more").In("profile")
		}
		sum += v
	}
	if math.Abs(sum-1) > 1e-6 {
		return fault.New("profile_sum", "the shares of the throw pattern do not sum to 1", "divide every share by their sum").In("profile")
	}
	return nil
}

// Reach is how far the throw goes to the left (negative or zero) and to the
// right (positive or zero) of the track in metres, empty bins left out.
func (p Profile) Reach() (left, right float64) {
	first, last := -1, -1
	for i, v := range p.Share {
		if v > 0 {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return 0, 0
	}
	left = p.StartM + float64(first)*p.StepM
	right = p.StartM + float64(last+1)*p.StepM
	return math.Min(left, 0), math.Max(right, 0)
}

// ThrowM is the full width on which the profile drops material, in metres.
func (p Profile) ThrowM() float64 {
	left, right := p.Reach()
	return right - left
}

// Mirrored is the profile of the same machine driven the other way.
func (p Profile) Mirrored() Profile {
	m := Profile{StartM: -(p.StartM + float64(len(p.Share))*p.StepM), StepM: p.StepM, Share: make([]float64, len(p.Share))}
	for i, v := range p.Share {
		m.Share[len(p.Share)-1-i] = v
	}
	return m
}

// cumulative is the share of the material that falls left of an offset: linear
// within a bin, because a bin holds an even density.
type cumulative struct {
	start, inv float64
	at         []float64 // at each bin edge; the last is 1
}

func newCumulative(p Profile) cumulative {
	at := make([]float64, len(p.Share)+1)
	for i, v := range p.Share {
		at[i+1] = at[i] + v
	}
	total := at[len(at)-1]
	for i := range at {
		at[i] /= total
	}
	return cumulative{start: p.StartM, inv: 1 / p.StepM, at: at}
}

func (c cumulative) below(u float64) float64 {
	x := (u - c.start) * c.inv
	if x <= 0 {
		return 0
	}
	i := int(x)
	if i >= len(c.at)-1 {
		return 1
	}
	return c.at[i] + (x-float64(i))*(c.at[i+1]-c.at[i])
}
