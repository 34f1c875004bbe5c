package coverage

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// slope is a raster whose ratio to a target of 1 grows from 0 in the west to 2
// in the east of 20 m.
func slope() *Raster {
	r := NewRaster(orb.Bound{Min: orb.Point{-1, -1}, Max: orb.Point{21, 13}}, 0.5)
	for i := range r.Density {
		r.Density[i] = r.Centre(i%r.Cols, i/r.Cols)[0] / 10
	}
	return r
}

func TestBandsOfASlopeAreStrips(t *testing.T) {
	r := slope()
	m := NewMask(r, box(0.3, 0.2, 19.7, 11.8))
	bands := Bands(r, m, 1, []float64{0.5, 1, 1.5})
	if len(bands) != 4 {
		t.Fatalf("%d bands", len(bands))
	}
	// By hand: the limits lie at 5, 10 and 15 m.
	for i, want := range []float64{4.7 * 11.6, 5 * 11.6, 5 * 11.6, 4.7 * 11.6} {
		near(t, "area", areaOf(bands[i].Area), want, 0.2) // a cell's corner is lost at corners
		if len(bands[i].Area) != 1 || len(bands[i].Area[0]) != 1 {
			t.Errorf("band %d is in %d pieces", i, len(bands[i].Area))
		}
	}
	if bands[0].From != 0 || bands[0].To != 0.5 || bands[3].From != 1.5 || bands[3].To != 0 {
		t.Errorf("limits %+v", bands)
	}
}

func TestBandsMakeUpTheGround(t *testing.T) {
	p := triangle(-4, 4)
	strokes := []Stroke{roundedLap(14, 11, 3), roundedLap(9, 6, 3), line(-20, 0, 20, 3)}
	r := NewRaster(orb.Bound{Min: orb.Point{-25, -22}, Max: orb.Point{25, 22}}, 0.4)
	Deposit(r, strokes, p, DepositOptions{})
	plot := append(box(-15, -12, 15, 12), orb.Ring{{1, 2}, {1, 5}, {4, 5}, {4, 2}, {1, 2}})
	m := NewMask(r, plot, Strip{Line: orb.LineString{{-15, -12}, {15, -12}}, DistanceM: 2})
	bands := Bands(r, m, 0.25, UsualLimits())
	sum, share := 0.0, 0.0
	for _, b := range bands {
		sum += areaOf(b.Area)
		share += b.Share
		for _, polygon := range b.Area {
			if ringArea(polygon[0]) <= 0 {
				t.Error("an outer ring runs clockwise")
			}
			for _, ring := range polygon {
				if ring[0] != ring[len(ring)-1] || len(ring) < 4 {
					t.Errorf("a ring of %d points is not closed", len(ring))
				}
			}
			for _, hole := range polygon[1:] {
				if ringArea(hole) >= 0 {
					t.Error("a hole runs anticlockwise")
				}
			}
		}
	}
	near(t, "area", sum, 30*22-9, 1)
	near(t, "shares", share, 1, 1e-12)
	within := 0.0
	for _, b := range bands {
		if b.From == 0.9 {
			within = b.Share
		}
	}
	near(t, "the middle band", within, Measure(r, m, 0.25, 100).Within10, 0.01)
	if again := Bands(r, m, 0.25, UsualLimits()); !sameBands(bands, again) {
		t.Error("the same raster gives other bands")
	}
}

func sameBands(a, b []Band) bool {
	for i := range a {
		if a[i].Share != b[i].Share || !a[i].Area.Equal(b[i].Area) {
			return false
		}
	}
	return len(a) == len(b)
}

func TestABandCanHaveAHole(t *testing.T) {
	r := NewRaster(orb.Bound{Max: orb.Point{20, 20}}, 0.5)
	for i := range r.Density {
		at := r.Centre(i%r.Cols, i/r.Cols)
		r.Density[i] = math.Hypot(at[0]-10, at[1]-10) / 5
	}
	m := NewMask(r, box(1, 1, 19, 19))
	bands := Bands(r, m, 1, []float64{0.6, 1.2})
	ring := bands[1].Area
	if len(ring) != 1 || len(ring[0]) != 2 {
		t.Fatalf("the ring has %d polygons", len(ring))
	}
	near(t, "ring", areaOf(ring), math.Pi*(36-9), 0.5)
}
