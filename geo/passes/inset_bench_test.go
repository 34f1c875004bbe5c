package passes

import (
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
)

// benchPlot is a plot of 40 corners and about a quarter acre.
func benchPlot() orb.Polygon {
	ring := starRing(rand.New(rand.NewPCG(1, 2)), orb.Point{}, 40, 0.25)
	for i, p := range ring {
		ring[i] = orb.Point{20.5 * p[0], 20.5 * p[1]}
	}
	return orb.Polygon{ring}
}

// twentyDepths reach from half a metre to the middle of the plot.
func twentyDepths() []float64 {
	depths := make([]float64, 20)
	for i := range depths {
		depths[i] = 0.5 + 0.6*float64(i)
	}
	return depths
}

func BenchmarkInsets20(b *testing.B) {
	g, err := NewGround(benchPlot())
	if err != nil {
		b.Fatal(err)
	}
	depths := twentyDepths()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := g.Insets(depths); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkInsets20Library(b *testing.B) {
	plot := libraryPolygon(benchPlot())
	b.ReportAllocs()
	for b.Loop() {
		for _, depth := range twentyDepths() {
			if _, err := geom.Buffer(plot, -depth); err != nil {
				b.Fatal(err)
			}
		}
	}
}
