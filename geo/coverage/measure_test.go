package coverage

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// stepped is a raster of 20 x 10 m with ratio 0.5 on its western quarter, 1.5
// on its eastern quarter and 1 between.
func stepped() *Raster {
	r := NewRaster(orb.Bound{Max: orb.Point{20, 10}}, 0.5)
	for i := range r.Density {
		switch col := i % r.Cols; {
		case col < 10:
			r.Density[i] = 0.5
		case col < 30:
			r.Density[i] = 1
		default:
			r.Density[i] = 1.5
		}
	}
	return r
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

func TestMeasureByHand(t *testing.T) {
	r := stepped()
	m := NewMask(r, box(0, 0, 20, 10))
	f := Measure(r, m, 1, r.Mass())
	near(t, "mean", f.MeanRatio, 1, 1e-12)
	near(t, "CV", f.CV, math.Sqrt(0.125), 1e-12) // half the ground off by a half
	near(t, "within 10 %", f.Within10, 0.5, 1e-12)
	near(t, "within 25 %", f.Within25, 0.5, 1e-12)
	near(t, "outside", f.OutsideShare, 0, 1e-12)
	near(t, "thinnest", f.Thinnest.MeanRatio, 0.5, 1e-9)
	near(t, "heaviest", f.Heaviest.MeanRatio, 1.5, 1e-9)
	if f.Thinnest.At[0] > 5 || f.Heaviest.At[0] < 15 {
		t.Errorf("thinnest at %v, heaviest at %v", f.Thinnest.At, f.Heaviest.At)
	}
}

func TestMeasureCountsPartsOfCellsHolesAndStrips(t *testing.T) {
	r := stepped()
	for i := range r.Density {
		r.Density[i] = 2
	}
	plot := box(2.1, 1.3, 17.9, 8.7)
	plot = append(plot, orb.Ring{{5, 3}, {5, 6}, {9, 6}, {9, 3}, {5, 3}})
	creek := Strip{Line: orb.LineString{{0, 0}, {20, 0}}, DistanceM: 3}
	m := NewMask(r, plot, creek)
	// By hand: 15.8 m x (8.7 - 3) m less the hole of 4 x 3 m.
	near(t, "area", m.AreaM2(), 15.8*5.7-12, 0.02*78)
	f := Measure(r, m, 2, r.Mass())
	near(t, "CV of an even spread", f.CV, 0, 1e-9)
	near(t, "outside", f.OutsideShare, 1-m.AreaM2()/200, 1e-9)
	if len(f.KeepOffShare) != 1 {
		t.Fatalf("%d strips", len(f.KeepOffShare))
	}
	near(t, "into the strip", f.KeepOffShare[0], 0.3, 0.005)
}

func TestMaskAreaIsTheRingArea(t *testing.T) {
	ring := orb.Ring{{3.3, 2.2}, {41.7, 7.9}, {35.2, 29.4}, {20.1, 18.8}, {6.6, 33.3}, {3.3, 2.2}}
	area := 0.0
	for i := 1; i < len(ring); i++ {
		area += (ring[i-1][0]*ring[i][1] - ring[i][0]*ring[i-1][1]) / 2
	}
	for _, cell := range []float64{0.25, 0.5, 1} {
		r := NewRaster(orb.Bound{Max: orb.Point{45, 40}}, cell)
		m := NewMask(r, orb.Polygon{ring})
		near(t, "area", m.AreaM2()/area, 1, 2e-3)
		if m.Share(r.Cols-1, r.Rows-1) != 0 {
			t.Error("the corner of the raster counts as plot")
		}
	}
}

func TestNothingSpreadHasNoEvenness(t *testing.T) {
	r := NewRaster(orb.Bound{Max: orb.Point{20, 10}}, 0.5)
	m := NewMask(r, box(0, 0, 20, 10))
	if s := m.Spread(r); !math.IsInf(s.CV, 1) || s.Mean != 0 {
		t.Errorf("%+v", s)
	}
}

// square is a plot of an area, and its plan of parallel passes at 4 m.
func square(areaM2 float64) (orb.Polygon, []Stroke) {
	side := math.Sqrt(areaM2)
	var strokes []Stroke
	for y := 2.0; y < side; y += 4 {
		strokes = append(strokes, line(0, y, side, y))
	}
	return box(0, 0, side, side), strokes
}

func benchmarkDeposit(b *testing.B, areaM2, cell float64, laps bool) {
	p := triangle(-3.9624, 3.9624)
	_, strokes := square(areaM2)
	if laps {
		strokes = nil
		for inset := 2.0; inset < math.Sqrt(areaM2)/2-2.5; inset += 4 {
			strokes = append(strokes, roundedLap(math.Sqrt(areaM2)/2-inset, math.Sqrt(areaM2)/2-inset, 2.44))
		}
	}
	r := NewRaster(BoundsOf(strokes, p, DepositOptions{}, cell), cell)
	brush := NewBrush(p, cell, DepositOptions{})
	b.ReportAllocs()
	for b.Loop() {
		r.Clear()
		for _, s := range strokes {
			brush.Lay(r, s)
		}
	}
}

func BenchmarkDeposit(b *testing.B) {
	for _, c := range []struct {
		name string
		area float64
	}{{"quarter acre", 1012}, {"two acres", 8094}} {
		b.Run(c.name+"/straight/0.5 m", func(b *testing.B) { benchmarkDeposit(b, c.area, 0.5, false) })
		b.Run(c.name+"/straight/0.25 m", func(b *testing.B) { benchmarkDeposit(b, c.area, 0.25, false) })
		b.Run(c.name+"/laps/0.5 m", func(b *testing.B) { benchmarkDeposit(b, c.area, 0.5, true) })
	}
}

func BenchmarkMeasure(b *testing.B) {
	for _, c := range []struct {
		name string
		area float64
	}{{"quarter acre", 1012}, {"two acres", 8094}} {
		plot, strokes := square(c.area)
		p := triangle(-3.9624, 3.9624)
		r := NewRaster(BoundsOf(strokes, p, DepositOptions{}, 0.5), 0.5)
		Deposit(r, strokes, p, DepositOptions{})
		m := NewMask(r, plot)
		b.Run(c.name+"/score", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m.Spread(r)
			}
		})
		b.Run(c.name+"/figures", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Measure(r, m, 0.25, c.area/4)
			}
		})
		b.Run(c.name+"/mask", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				NewMask(r, plot)
			}
		})
	}
}
