package passes

import (
	"math"

	"evenfall/geo/coverage"
)

// lapLayout is one candidate of laps all the way.
type lapLayout struct {
	insetM, spacingM float64
	score            score
}

// tryLaps scores laps all the way; a layout that cannot be driven is the worst
// of all.
func (pl *planner) tryLaps(c *lapLayout) {
	c.score = score{aim: math.Inf(1)}
	driven, err := pl.ground.LapRings(pl.lapOptions(c.insetM, c.spacingM))
	if err != nil {
		pl.tried++
		return
	}
	pl.raster.Clear()
	laid, heaps := 0.0, 0.0
	for _, pass := range pl.limited(driven) {
		pl.lapBrush.Lay(pl.raster, coverage.Stroke{Line: pass.Line, Flow: pass.Flow})
		laid += pass.LengthM
		heaps += pl.heaps(pass.Line, pass.Flow)
	}
	c.score = pl.judgeRaster(laid, laid, heaps)
}

// bestLaps searches first inset and spacing: a small grid, then a step
// each way, because laps are dear to lay.
func (pl *planner) bestLaps() lapLayout {
	best := lapLayout{score: score{aim: math.Inf(1)}}
	for _, inset := range [2]float64{0.3, 0.55} {
		for _, spacing := range [2]float64{0.95, 1.1} {
			c := lapLayout{insetM: pl.leastInset(inset * pl.evenM), spacingM: spacing * pl.evenM}
			if pl.tryLaps(&c); c.score.aim < best.score.aim {
				best = c
			}
		}
	}
	for _, move := range [4][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		c := best
		c.insetM = pl.leastInset(math.Max(0, best.insetM+0.1*move[0]*pl.evenM))
		c.spacingM = best.spacingM + 0.05*move[1]*pl.evenM
		if pl.tryLaps(&c); c.score.aim < best.score.aim-1e-9 {
			best = c
		}
	}
	return best
}

// leastInset keeps a lap clear of the edge where there is no room beyond it,
// and its whole throw inside where none may fall beyond.
func (pl *planner) leastInset(insetM float64) float64 {
	least := 0.0
	if !pl.allRoom() {
		least = pl.o.ClearanceM
	}
	if pl.o.NoThrowOutside {
		least = math.Max(least, math.Max(-pl.limits.left, pl.limits.right)*(1+1e-6))
	}
	return math.Max(insetM, least)
}
