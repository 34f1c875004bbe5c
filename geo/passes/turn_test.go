package passes

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

func poseTowards(x, y, angle float64) pose {
	sin, cos := math.Sincos(angle)
	return pose{orb.Point{x, y}, orb.Point{cos, sin}}
}

func TestShortestTurnsOfKnownLength(t *testing.T) {
	tests := []struct {
		name     string
		from, to pose
		want     float64 // turning radii
	}{
		{"straight on", poseTowards(0, 0, 0), poseTowards(5, 0, 0), 5},
		{"half a circle", poseTowards(0, 0, 0), poseTowards(0, 2, math.Pi), math.Pi},
		{"half a circle and a straight", poseTowards(0, 0, 0), poseTowards(0, 5, math.Pi), math.Pi + 3},
		{"quarter turn", poseTowards(0, 0, 0), poseTowards(1, -1, -math.Pi/2), math.Pi / 2},
		{"change of lane by two radii", poseTowards(0, 0, 0), poseTowards(2, 2, 0), math.Pi},
		// turned about on the spot: three arcs of 60, 300 and 60 degrees
		{"about face", poseTowards(0, 0, 0), poseTowards(0, 0, math.Pi), 7 * math.Pi / 3},
	}
	for _, tt := range tests {
		for _, radius := range []float64{1, 2.5} {
			from, to := tt.from, tt.to
			for k := range 2 {
				from.at[k], to.at[k] = from.at[k]*radius, to.at[k]*radius
			}
			if got := turnWords(from, to, radius)[0].length(); math.Abs(got-tt.want) > 1e-6 {
				t.Errorf("%s: %.6f radii, want %.6f", tt.name, got, tt.want)
			}
		}
	}
}

// Every word, not only the shortest, must lead to the pose asked for on arcs
// of the radius.
func TestEveryTurnArrives(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const radius = 2.4
	for range 2000 {
		from := poseTowards(20*r.Float64(), 20*r.Float64(), 2*math.Pi*r.Float64())
		to := poseTowards(20*r.Float64(), 20*r.Float64(), 2*math.Pi*r.Float64())
		for _, w := range turnWords(from, to, radius) {
			line := w.trace(from, to, radius)
			n := len(line)
			if n > 2 {
				// the last step may not be stretched to reach the end
				if gap := math.Abs(lineLength(line) - w.length()*radius); gap > 0.002*w.length()*radius+1e-6 {
					t.Fatalf("word %+v from %v to %v draws %.4f m, should be %.4f", w, from, to, lineLength(line), w.length()*radius)
				}
				if tight := tightest(line, false); tight < 0.99*radius {
					t.Fatalf("word %+v has a bend of %.3f", w, tight)
				}
			}
			if n > 1 && !headingClose(endPose(line).heading, to.heading) {
				t.Fatalf("word %+v from %v to %v arrives heading %v", w, from, to, endPose(line).heading)
			}
		}
	}
}

func headingClose(a, b orb.Point) bool {
	return a[0]*b[0]+a[1]*b[1] > math.Cos(arcStep(2.4))
}
