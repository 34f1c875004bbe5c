package stand

import "math"

// tQuantile is the quantile of Student's t for a probability above one half
// and whole degrees of freedom, by halving on the angle atan(t/sqrt(df)) in
// the finite series of Abramowitz and Stegun, 26.7.3 and 26.7.4.
func tQuantile(p float64, df int) float64 {
	low, high := 0.0, math.Pi/2
	for range 60 {
		middle := (low + high) / 2
		if tWithin(middle, df) < 2*p-1 {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Sqrt(float64(df)) * math.Tan(low)
}

// tWithin is the probability that |t| stays under sqrt(df) tan(angle).
func tWithin(angle float64, df int) float64 {
	sin, cos := math.Sincos(angle)
	term, sum := 1.0, 0.0
	if df%2 == 1 {
		term = cos
	}
	for k := 1 + df%2; k < df; k += 2 {
		sum += term
		term *= cos * cos * float64(k) / float64(k+1)
	}
	if df%2 == 1 {
		return 2 / math.Pi * (angle + sin*sum)
	}
	return sin * sum
}
