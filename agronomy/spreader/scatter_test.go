package spreader

import (
	"math"
	"testing"
)

// Student's t by its definition: the density integrated in small steps.
func TestStudentQuantileAgreesWithItsDensity(t *testing.T) {
	for _, freedom := range []int{1, 2, 3, 4, 5, 8, 11, 30} {
		nu := float64(freedom)
		top, _ := math.Lgamma((nu + 1) / 2)
		bottom, _ := math.Lgamma(nu / 2)
		scale := math.Exp(top-bottom) / math.Sqrt(nu*math.Pi)
		quantile := studentQuantile(0.975, freedom)
		const steps = 20000
		below := 0.5
		for i := range steps {
			at := quantile * (float64(i) + 0.5) / steps
			below += scale * math.Pow(1+at*at/nu, -(nu+1)/2) * quantile / steps
		}
		if math.Abs(below-0.975) > 1e-6 {
			t.Errorf("%d degrees: %v holds %v", freedom, quantile, below)
		}
	}
}
