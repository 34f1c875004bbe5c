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

func madeBench(b *testing.B, name string) *Ground {
	b.Helper()
	for _, m := range madePlots(b) {
		if m.name == name {
			g, err := NewGround(m.local)
			if err != nil {
				b.Fatal(err)
			}
			return g
		}
	}
	b.Fatalf("no plot %q", name)
	return nil
}

func BenchmarkLaps(b *testing.B) {
	for _, name := range []string{"quarter-acre ell", "two-acre ell with a hole"} {
		g := madeBench(b, name)
		for _, way := range []struct {
			name string
			core bool
			lay  func(LapOptions) error
		}{
			{"rings", false, func(o LapOptions) error { _, err := g.LapRings(o); return err }},
			{"rings and core", true, func(o LapOptions) error { _, err := g.LapRings(o); return err }},
			{"whole plan", true, func(o LapOptions) error { _, err := g.Laps(o); return err }},
		} {
			b.Run(name+"/"+way.name, func(b *testing.B) {
				o := atvLaps()
				o.Core = way.core
				b.ReportAllocs()
				for b.Loop() {
					if err := way.lay(o); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkStraightLines(b *testing.B) {
	for _, name := range []string{"quarter-acre ell", "two-acre ell with a hole"} {
		g := madeBench(b, name)
		o := StraightOptions{SpacingM: 13 * ft, FirstInsetM: 6.5 * ft, TurnRadiusM: 8 * ft, ClearanceM: 0.75, HeadlandLaps: 1, StopM: 2}
		f, err := g.Field(o)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name+"/lines", func(b *testing.B) {
			var l Lines
			b.ReportAllocs()
			for b.Loop() {
				o.BearingRad += 0.01
				f.StraightLines(&l, o)
			}
		})
		b.Run(name+"/field", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := g.Field(o); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/finish", func(b *testing.B) {
			var l Lines
			f.StraightLines(&l, o)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := f.Finish(&l, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
