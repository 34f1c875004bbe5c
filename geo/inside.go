package geo

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Inside is a point of degrees within the plot, and in none of its holes,
// where its name may stand: the middle of the widest stretch about halfway up.
func (p Plot) Inside() orb.Point {
	lat := p.betweenCorners()
	var crossings []float64
	for _, ring := range p.Polygon {
		for i := 1; i < len(ring); i++ {
			a, b := ring[i-1], ring[i]
			if (a[1] > lat) != (b[1] > lat) {
				crossings = append(crossings, a[0]+(lat-a[1])/(b[1]-a[1])*(b[0]-a[0]))
			}
		}
	}
	slices.Sort(crossings)
	at, widest := orb.Point{0, lat}, -1.0
	for i := 1; i < len(crossings); i += 2 {
		if width := crossings[i] - crossings[i-1]; width > widest {
			at[0], widest = (crossings[i]+crossings[i-1])/2, width
		}
	}
	return at
}

// betweenCorners is a latitude about halfway up the plot that no corner lies on.
func (p Plot) betweenCorners() float64 {
	middle := p.Polygon[0].Bound().Center()[1]
	below, above := math.Inf(-1), math.Inf(1)
	for _, ring := range p.Polygon {
		for _, corner := range ring {
			if corner[1] <= middle {
				below = math.Max(below, corner[1])
			} else {
				above = math.Min(above, corner[1])
			}
		}
	}
	return (below + above) / 2
}
