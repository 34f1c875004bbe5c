package passes

import (
	"math"

	"evenfall/geo/coverage"
)

// Names of the plans that spread half the rate twice.
const (
	SideBySideName  = "half rate twice, side by side"
	RightAnglesName = "half rate twice, at right angles"
)

// sideBySide is half rate twice in parallel: the passes of a layout and one
// more between each two, all at half flow.
func (pl *planner) sideBySide(c layout) finished {
	c.spacingM, c.flow = c.spacingM/2, 0.5
	pl.try(&c)
	return pl.refine(pl.settle(c, 24), 2)
}

// rightAngles is half rate twice with the second time across the first.
func (pl *planner) rightAngles(c layout) (along, across finished, ok bool) {
	c.flow = 0.5
	along = pl.refine(c, 2)
	second := layout{score: score{aim: math.Inf(1)}}
	for _, s := range pl.seeds(c.head, c.bearing+math.Pi/2, pl.evenM) {
		s.flow = 0.5
		if pl.try(&s); s.score.aim < second.score.aim {
			second = s
		}
	}
	if second.head == nil {
		return along, across, false
	}
	return along, pl.refine(second, 2), true
}

// FieldCV is the CV of a profile over a field without edges at a spacing: in
// one direction only, twice in parallel at half the spacing, and twice at right
// angles, each at half rate. It says why the sources that advise half rates
// side by side prefer them; others advise right angles.
func FieldCV(p coverage.Profile, spacingM float64) (once, sideBySide, rightAngles float64) {
	once, sideBySide = overlapCV(p, spacingM), overlapCV(p, spacingM/2)
	// Two patterns at right angles are independent over a period of both, so
	// that their variances add and each has half of the mean.
	return once, sideBySide, once / math.Sqrt2
}

// overlapCV folds a profile onto one spacing, all passes the same way round.
func overlapCV(p coverage.Profile, spacingM float64) float64 {
	const points = 2000
	var sum, squares float64
	for i := range points {
		x := (float64(i) + 0.5) / points * spacingM
		dose := 0.0
		for u := p.StartM + math.Mod(math.Mod(x-p.StartM, spacingM)+spacingM, spacingM); u < p.StartM+float64(len(p.Share))*p.StepM; u += spacingM {
			dose += p.Share[min(int((u-p.StartM)/p.StepM), len(p.Share)-1)]
		}
		sum += dose
		squares += dose * dose
	}
	mean := sum / points
	return math.Sqrt(math.Max(0, squares/points-mean*mean)) / mean
}
