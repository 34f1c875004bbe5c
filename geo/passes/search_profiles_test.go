package passes

import "evenfall/geo/coverage"

// tri is a triangular throw of 26 ft.
func tri() coverage.Profile { return triangular(26 * 0.3048 / 2) }

// triangular is a triangular throw that reaches so far to each side.
func triangular(half float64) coverage.Profile {
	const n = 128
	p := coverage.Profile{StartM: -half, StepM: 2 * half / n, Share: make([]float64, n)}
	for i := range p.Share {
		x := (float64(i) + 0.5) / n * 2
		if x > 1 {
			x = 2 - x
		}
		p.Share[i] = x * 2 / n
	}
	return p
}
