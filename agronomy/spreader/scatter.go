package spreader

import "math"

// Scatter is how far one more run at the same gate may fall from the mean of
// the tests, as factors of the flow. With three or more tests that repeat a
// mark in all it is the 95 % prediction interval of Student's t, relative
// departures pooled over the marks; with a single repeat it is the plain range
// of the two. Known is false when no mark was tested twice.
type Scatter struct {
	Known   bool    `json:"known"`
	Repeats int     `json:"repeats"` // tests beyond the first at their mark
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
}

func scatter(marks []mark) Scatter {
	s := Scatter{Low: 1, High: 1}
	squares, fewest := 0.0, math.MaxInt
	for _, m := range marks {
		fewest = min(fewest, len(m.flows))
		s.Repeats += len(m.flows) - 1
		for _, flow := range m.flows {
			off := flow/m.mean() - 1
			squares += off * off
			s.Low, s.High = min(s.Low, 1+off), max(s.High, 1+off)
		}
	}
	s.Known = s.Repeats > 0
	if s.Repeats >= 2 {
		sd := math.Sqrt(squares / float64(s.Repeats))
		half := studentQuantile(0.975, s.Repeats) * sd * math.Sqrt(1+1/float64(fewest))
		s.Low, s.High = max(0, 1-half), 1+half
	}
	return s
}

// studentQuantile inverts Student's t for a probability above one half, by
// halving; degrees of freedom from one up.
func studentQuantile(p float64, freedom int) float64 {
	low, high := 0.0, 1000.0
	for range 70 {
		if mid := (low + high) / 2; studentBelow(mid, freedom) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// studentBelow is the distribution function for t >= 0: the finite series of
// Abramowitz and Stegun, 26.7.3 and 26.7.4.
func studentBelow(t float64, freedom int) float64 {
	theta := math.Atan2(t, math.Sqrt(float64(freedom)))
	sin, cos := math.Sincos(theta)
	term, series := 1.0, 1.0
	if freedom%2 != 0 {
		term, series = cos, cos
	}
	for k := 2 + freedom%2; k <= freedom-2; k += 2 {
		term *= cos * cos * float64(k-1) / float64(k)
		series += term
	}
	if freedom%2 == 0 {
		return 0.5 + sin*series/2
	}
	if freedom == 1 {
		return 0.5 + theta/math.Pi
	}
	return 0.5 + (theta+sin*series)/math.Pi
}
