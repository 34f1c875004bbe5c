package passes

import (
	"math"
	"testing"

	"evenfall/geo/coverage"
)

// What the heaps add to the search's cells is what cells three times as fine
// show more of a lap's unevenness.
func TestHeapsAreWhatFinerCellsShow(t *testing.T) {
	for _, name := range []string{"quarter-acre ell", "quarter-acre strip", "quarter-acre horseshoe", "two-acre star"} {
		pl := planning(t, made(t, name), SearchOptions{})
		h, err := pl.newHeadland(lapAt(0.5), 0.5*pl.evenM)
		if err != nil {
			t.Fatal(err)
		}
		squares := func(share float64) float64 {
			bounds, cell := pl.grid(pl.profile.ThrowM() * share)
			raster := coverage.NewRaster(bounds, cell)
			mask := coverage.NewMask(raster, pl.ground.polygon)
			brush := coverage.NewBrush(pl.profile, cell, pl.deposit())
			for _, pass := range h.laps {
				brush.Lay(raster, coverage.Stroke{Line: pass.Line, Flow: pass.Flow})
			}
			s := mask.Spread(raster)
			return s.Mean * s.Mean * (1 + s.CV*s.CV) * mask.AreaM2()
		}
		more := squares(figureCell) - squares(searchCell)
		if math.Abs(h.heaps-more) > 0.4*more {
			t.Errorf("%s: heaps of %.3f, finer cells show %.3f more", name, h.heaps, more)
		}
	}
}

func TestAWideBendDoesNotHeap(t *testing.T) {
	pl := planning(t, rectangle(t, 60, 40), SearchOptions{})
	wide := roundCorners(squareLine(10, 20), pl.reachM)
	tight := roundCorners(squareLine(10, 20), radius)
	if got := pl.heaps(wide, 1); got > 1e-3 {
		t.Errorf("a bend as wide as the throw reaches heaps %g", got)
	}
	if got := pl.heaps(tight, 1); got < 0.01 {
		t.Errorf("a bend of the turning radius heaps %g", got)
	}
	if half := pl.heaps(tight, 0.5); math.Abs(half-pl.heaps(tight, 1)/4) > 1e-12 {
		t.Errorf("at half flow %g", half)
	}
}
