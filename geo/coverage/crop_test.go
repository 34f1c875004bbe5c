package coverage

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// A raster that ends inside what is spread holds the same as that part of a
// raster that takes it all in, but for the outermost cells: what would be shared
// with a neighbour beyond them counts as missed.
func TestASmallRasterIsACropOfALargeOne(t *testing.T) {
	all, profiles, options := plans()
	for i, strokes := range all {
		whole := BoundsOf(strokes, profiles[i], options[i], 0.25)
		large := NewRaster(whole, 0.25)
		Deposit(large, strokes, profiles[i], options[i])
		const cut = 21 // cells off every side
		small := NewRaster(orb.Bound{
			Min: orb.Point{large.OriginM[0] + cut*0.25, large.OriginM[1] + cut*0.25},
			Max: orb.Point{large.OriginM[0] + float64(large.Cols-cut)*0.25, large.OriginM[1] + float64(large.Rows-cut)*0.25},
		}, 0.25)
		Deposit(small, strokes, profiles[i], options[i])
		worst, heaviest := 0.0, 0.0
		for row := 1; row < small.Rows-1; row++ {
			for col := 1; col < small.Cols-1; col++ {
				a, b := small.Density[row*small.Cols+col], large.Density[(row+cut)*large.Cols+col+cut]
				worst, heaviest = max(worst, math.Abs(a-b)), max(heaviest, b)
			}
		}
		if worst > 0.01*heaviest {
			t.Errorf("plan %d: a cell differs by %.2f %% of the heaviest", i, 100*worst/heaviest)
		}
	}
}
