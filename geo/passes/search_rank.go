package passes

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/geo/coverage"
)

// finalist is a plan, in the plot's own frame, that goes into the last ranking.
type finalist struct {
	plan    Plan
	wander  Wandering
	perfect coverage.Spread
	outside float64
	laidM   float64
	heaps   float64
	strayM  float64 // of the way with the gate closed
}

// enter puts a plan into the last ranking: its evenness as the machine throws,
// with and without wander, on the search's own raster.
func (pl *planner) enter(p Plan) finalist {
	f := finalist{plan: p}
	pl.raster.Clear()
	for _, s := range p.Strokes() {
		pl.lapBrush.Lay(pl.raster, s)
		f.laidM += s.Laid()
		f.heaps += pl.heaps(s.Line, s.Flow)
	}
	f.perfect = pl.mask.Spread(pl.raster)
	f.perfect.CV = pl.uneven(f.perfect, f.heaps)
	f.outside = max(0, 1-f.perfect.Inside/f.laidM)
	for _, line := range p.Travel {
		f.strayM += pl.strayed(line)
	}
	if !pl.o.NoWander && !pl.o.Quick {
		f.wander = pl.wandering(p, f.heaps)
	}
	return f
}

// turnPrice is what one turn more costs against the share of CV: a tenth of a
// point. A choice of the house.
const turnPrice = 0.001

// aim is the last word on a finalist by a priority, the less the better. Half
// of the way with the gate closed counts, because it takes time but no care.
func (pl *planner) aim(f finalist, by Priority) float64 {
	cv := f.perfect.CV
	if f.wander.Runs > 0 {
		cv = f.wander.ExpectedCV
	}
	was := pl.o.Priority
	pl.o.Priority = by
	s := pl.judge(cv, f.outside, f.plan.LengthM+f.plan.TravelM/2)
	pl.o.Priority = was
	if pl.o.AlongRad != nil {
		if _, straight := f.plan.BearingRad(); !straight {
			s.aim++ // only shown to compare
		}
	}
	// A plan that cannot be driven without straying is for want of a better.
	return s.aim + math.Min(1, f.strayM) + turnPrice*float64(f.plan.Turns)*pl.evenM*pl.evenM/pl.ground.areaM2
}

func (pl *planner) best(pool []finalist, by Priority) int {
	best := 0
	for i := range pool {
		if pl.aim(pool[i], by) < pl.aim(pool[best], by)-1e-12 {
			best = i
		}
	}
	return best
}

// mostOptions is how many plans a person is asked to compare.
const mostOptions = 7

// shortlist picks what is shown: the best by the priority, the best by the two
// others, the habit, and the best of each other name, in the order of merit.
func (pl *planner) shortlist(pool []finalist) []int {
	order := make([]int, len(pool))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(pl.aim(pool[a], pl.o.Priority), pl.aim(pool[b], pl.o.Priority))
	})
	must := map[int]bool{}
	for _, by := range []Priority{MostEven, LeastOutside, Shortest} {
		must[pl.best(pool, by)] = true
	}
	named := map[string]bool{}
	for i := range pool {
		switch pool[i].plan.Name {
		case HabitName, SideBySideName, RightAnglesName:
			must[i] = true
		}
	}
	for i := range must {
		named[pool[i].plan.Name] = true
	}
	var picked []int
	room := mostOptions - len(must)
	for _, i := range order {
		name := pool[i].plan.Name
		if must[i] {
			picked = append(picked, i)
		} else if !named[name] && room > 0 {
			named[name] = true
			picked = append(picked, i)
			room--
		}
	}
	return picked
}

// options measures the shortlist on the fine raster and turns it to the map; the
// one quick plan is measured as enter left it.
func (pl *planner) options(pool []finalist) []Option {
	picked := pl.shortlist(pool)
	mask, raster := pl.mask, pl.raster
	lay := func(Plan) {}
	if !pl.o.Quick {
		var brush *coverage.Brush
		mask, raster, brush = pl.fine()
		lay = func(p Plan) {
			raster.Clear()
			for _, s := range p.Strokes() {
				brush.Lay(raster, s)
			}
		}
	}
	out := make([]Option, len(picked))
	for k, i := range picked {
		lay(pool[i].plan)
		out[k] = pl.option(pool[i], mask, raster)
		for _, by := range []Priority{MostEven, LeastOutside, Shortest} {
			if pl.best(pool, by) == i {
				out[k].Best = append(out[k].Best, by)
			}
		}
	}
	return out
}

// option is a finalist on the map, measured on the raster that it lies on.
func (pl *planner) option(f finalist, mask *coverage.Mask, raster *coverage.Raster) Option {
	o := Option{Habit: f.plan.Name == HabitName, Wander: f.wander, Plan: pl.axis.planBack(f.plan), FlowWidthM: mask.AreaM2() / f.laidM}
	o.Figures = coverage.Measure(raster, mask, f.laidM/mask.AreaM2(), f.laidM)
	if pl.o.Quick {
		o.Figures.CV = f.perfect.CV // with the heaps that its coarse cells hide
	}
	o.Figures.Thinnest.At = pl.axis.back(o.Figures.Thinnest.At)
	o.Figures.Heaviest.At = pl.axis.back(o.Figures.Heaviest.At)
	o.Says = pl.says(o)
	return o
}

// fine is the ground as its figures are measured on.
func (pl *planner) fine() (*coverage.Mask, *coverage.Raster, *coverage.Brush) {
	bounds, cell := pl.grid(pl.profile.ThrowM() * figureCell)
	raster := coverage.NewRaster(bounds, cell)
	mask := coverage.NewMask(raster, pl.ground.polygon, pl.limits.strips...)
	return mask, raster, coverage.NewBrush(pl.profile, cell, pl.deposit())
}

// says is an option in one sentence.
func (pl *planner) says(o Option) string {
	text := map[string]string{
		HabitName: "a lap along the edge, then laps inward with the edge of the throw on the last tracks",
	}[o.Plan.Name]
	switch o.Plan.Name {
	case SideBySideName, RightAnglesName:
		_, parallel, crossed := FieldCV(pl.profile, pl.evenM*1.5)
		text = fmt.Sprintf("half open, driven twice. Sources disagree: some advise right angles, others half the spacing in parallel; where passes are half a throw and a half apart, parallel gives a CV of %.0f %%, right angles %.0f %%", 100*parallel, 100*crossed)
	case HabitName:
	default:
		text = o.Plan.Name
	}
	return fmt.Sprintf("%s; CV %.0f %%, %.0f %% outside", text, 100*o.Figures.CV, 100*o.Figures.OutsideShare)
}
