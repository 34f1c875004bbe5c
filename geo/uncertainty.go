package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// CornerSigmaM is the standard deviation, per axis, of a corner that was drawn
// on imagery or exported without saying how good it is: metres. Common
// practice, no source.
const CornerSigmaM = 1.0

// coverageFactor widens a standard deviation to what about nineteen
// measurements in twenty stay within: k = 2 as JCGM 100:2008 has it in 6.3.3,
// from memory.
const coverageFactor = 2

// GiveOrTakeM2 is what a person is told about an area whose standard deviation
// is sigmaM2, both in square metres; the true area lies within it about
// nineteen times in twenty.
func GiveOrTakeM2(sigmaM2 float64) float64 { return coverageFactor * sigmaM2 }

// DrawnUncertaintyM2 is one standard deviation of the area in square metres
// when every corner was placed independently with a standard deviation of
// sigmaM metres in east and in north.
func (p Plot) DrawnUncertaintyM2(sigmaM float64) float64 {
	variance := 0.0
	for _, ring := range p.Frame().LocalPolygon(p.Polygon) {
		variance += VertexVarianceM4(ring, sigmaM)
	}
	return math.Sqrt(variance)
}

// VertexVarianceM4 is the variance, in metres to the fourth, of the area of a
// ring given in local metres (closed or open) whose n corners carry
// independent errors of standard deviation sigmaM per axis. It is the
// first-order propagation of the shoelace formula,
//
//	sigma^2 / 4 * sum |p[i+1] - p[i-1]|^2,
//
// plus the term n sigma^4 / 2 of the products of two errors, without which a
// densely recorded line would look far more certain than it is.
func VertexVarianceM4(ring []orb.Point, sigmaM float64) float64 {
	n := len(ring)
	if n > 1 && ring[0] == ring[n-1] {
		n--
	}
	if n < 3 {
		return 0
	}
	chords := 0.0
	for i := range n {
		next, before := ring[(i+1)%n], ring[(i+n-1)%n]
		east, north := next[0]-before[0], next[1]-before[1]
		chords += east*east + north*north
	}
	s2 := sigmaM * sigmaM
	return s2/4*chords + float64(n)*s2*s2/2
}
