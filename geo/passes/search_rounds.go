package passes

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

// Search looks for the passes that serve the priority best and returns them
// with the alternatives. Everything is in local metres. The same inputs give
// the same plans; a larger budget never gives a worse one, because it runs the
// same rounds and then more.
func (g *Ground) Search(p coverage.Profile, o SearchOptions) (Result, error) {
	o = o.filled()
	if err := o.check(); err != nil {
		return Result{}, err
	}
	if err := p.Check(); err != nil {
		return Result{}, err
	}
	if LeastM(g.areaM2, habitSpacingM(p)) <= 0 {
		return Result{}, tooSmall(g.areaM2, habitSpacingM(p))
	}
	pl, err := newPlanner(g, p, o)
	if err != nil {
		return Result{}, err
	}
	if pl.mask.AreaM2() <= 0 {
		return Result{}, fault.New("nothing_left", "what must be kept off leaves nothing of the plot to spread", "check the keep-off lines and their distances").Of(fault.Refused)
	}
	pool := pl.rounds()
	if len(pool) == 0 {
		return Result{}, pl.noPlan()
	}
	r := Result{Options: pl.options(pool), Candidates: pl.tried, GroundM2: pl.mask.AreaM2()}
	if stray := pool[pl.best(pool, o.Priority)].strayM; stray > 0 {
		r.Says = append(r.Says, fmt.Sprintf("no plan was found whose turns all keep to the room there is: this one strays for %.0f m, so look where it turns, or tell on which sides there is room", math.Ceil(stray)))
	}
	return r, nil
}

// noPlan says why nothing can be driven.
func (pl *planner) noPlan() error {
	if pl.limits.any() {
		return fault.New("no_plan", "no pass keeps all of its throw within the limits set", "allow some throw beyond the edge, shorten the keep-off distances, or use a hand spreader").Of(fault.Refused)
	}
	return tooSmall(pl.ground.areaM2, pl.evenM)
}

// Bounds on one round's trials.
const (
	bearingsTried = 6
	settleTrials  = 80
	refineSweeps  = 8
	quickBearings = 2
	quickTrials   = 6
)

func (pl *planner) rounds() []finalist {
	var pool []finalist
	if !pl.o.Quick {
		if p, err := pl.habit(); err == nil {
			pool = append(pool, pl.enter(p))
		}
	}
	bearings, trials, sweeps := bearingsTried, settleTrials, refineSweeps
	starts := pl.starts()
	if pl.o.Quick {
		bearings, trials, sweeps, starts = quickBearings, quickTrials, 1, starts[:1]
	}
	var seen []layout
	for _, s := range starts {
		if len(seen) > 0 && pl.spent() {
			break
		}
		looks := pl.look(s, bearings)
		if len(looks) == 0 {
			continue
		}
		pool = pl.enterLayout(pool, looks[0], trials, sweeps)
		seen = append(seen, looks...)
	}
	if pl.o.Quick {
		return pool
	}
	pool = pl.halfRounds(pool, seen)
	pool = pl.otherRounds(pool, seen)
	seen = byAim(seen)
	for _, c := range seen {
		if pl.spent() {
			return pool
		}
		pool = pl.enterLayout(pool, c, trials, sweeps)
	}
	return pool
}

func (pl *planner) spent() bool { return pl.tried >= pl.o.Budget }

func byAim(seen []layout) []layout {
	sorted := slices.Clone(seen)
	slices.SortStableFunc(sorted, func(a, b layout) int { return cmp.Compare(a.score.aim, b.score.aim) })
	return sorted
}

// halfRounds are the half rates that were asked for, whatever the budget, from
// the best first look.
func (pl *planner) halfRounds(pool []finalist, seen []layout) []finalist {
	if len(seen) == 0 {
		return pool
	}
	best := seen[0]
	if pl.o.WithHalfRates {
		pool = append(pool, pl.enter(pl.planOf(SideBySideName, pl.sideBySide(best))))
	}
	if pl.o.WithRightAngles {
		if along, across, ok := pl.rightAngles(best); ok {
			pool = append(pool, pl.enter(pl.planOf(RightAnglesName, along, across)))
		}
	}
	return pool
}

// otherRounds are laps all the way and the other priorities.
func (pl *planner) otherRounds(pool []finalist, seen []layout) []finalist {
	if pl.spent() {
		return pool
	}
	if laps := pl.bestLaps(); finite(laps.score.aim) && pl.o.AlongRad == nil {
		if p, err := pl.lapPlan("laps all the way", laps.insetM, laps.spacingM); err == nil {
			pool = append(pool, pl.enter(p))
			pool = pl.enterGated(pool, laps, p)
		}
	}
	if len(seen) == 0 {
		return pool
	}
	best := byAim(seen)[0]
	was := pl.o.Priority
	for _, by := range []Priority{MostEven, LeastOutside, Shortest} {
		if by != was && !pl.spent() {
			pl.o.Priority = by
			c := best
			pl.try(&c)
			pool = pl.enterLayout(pool, c, settleTrials, refineSweeps)
			pl.o.Priority = was
		}
	}
	return pool
}

// enterGated enters laps all the way with the gate closed where they are thick
// and passes added where they are thin.
func (pl *planner) enterGated(pool []finalist, laps lapLayout, p Plan) []finalist {
	if pl.allRoom() {
		return pool
	}
	h := &headland{start: start{count: len(p.Passes), flow: 1, inner: 1}, insetM: laps.insetM, laps: p.Passes}
	for _, pass := range p.Passes {
		h.lapsM += pass.LengthM
	}
	f := pl.refineLines(layout{head: h, spacingM: laps.spacingM, flow: 1}, nil, refineSweeps)
	return append(pool, pl.enter(pl.planOf("laps all the way, the gate closed where they are thick", f)))
}

// look tries the seeds of one headland along every bearing and returns the best
// of each, best first.
func (pl *planner) look(s start, most int) []layout {
	h, err := pl.newHeadland(s, pl.leastInset(s.inset*pl.evenM))
	if err != nil {
		return nil
	}
	var looks []layout
	for _, bearing := range pl.bearings(most) {
		var best layout
		for _, c := range pl.seeds(h, bearing, pl.evenM) {
			pl.try(&c)
			if finite(c.score.aim) && (best.head == nil || c.score.aim < best.score.aim) {
				best = c
			}
		}
		if best.head != nil {
			looks = append(looks, best)
		}
	}
	return byAim(looks)
}

// enterLayout settles and refines a candidate and enters its plan, unless there
// is one of its kind already and the pool holds one that is clearly better on
// the perfect line, which is all that is known here: wander and travel make both
// worse.
func (pl *planner) enterLayout(pool []finalist, c layout, trials, sweeps int) []finalist {
	f := pl.refine(pl.settle(c, trials), sweeps)
	if len(f.stretches) == 0 && f.head.count == 0 {
		return pool
	}
	name := pl.nameOf(f)
	known := slices.ContainsFunc(pool, func(g finalist) bool { return g.plan.Name == name })
	if known && f.score.aim > pl.perfectAim(pool[pl.best(pool, pl.o.Priority)])+clearly {
		return pool
	}
	return append(pool, pl.enter(pl.planOf(name, f)))
}

// clearly is how much worse on the perfect line a candidate may be, in share of
// CV, and still be looked at with wander: the wanders of two plans of one plot
// differ by less. A choice of the house.
const clearly = 0.01

// perfectAim is a finalist's aim without wander.
func (pl *planner) perfectAim(f finalist) float64 {
	f.wander = Wandering{}
	return pl.aim(f, pl.o.Priority)
}

// nameOf is what a person calls a plan.
func (pl *planner) nameOf(f finished) string {
	laps := map[int]string{1: "one lap", 2: "two laps"}[f.head.count]
	straight := "straight passes"
	switch {
	case laps == "" && pl.o.Room.Any():
		return straight + ", turning outside"
	case laps == "" && pl.o.BacksUp:
		return straight + ", backing up to turn"
	case laps == "":
		return straight
	case f.head.flow < 1:
		laps += " half open"
	case f.lighter() && f.extras > 0:
		laps += " and some short passes"
	}
	if f.lighter() {
		straight += " three quarters open"
	}
	return laps + ", then " + straight
}
