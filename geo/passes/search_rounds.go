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

// start is a headland that the search looks at; the first inset is in half
// throws.
type start struct {
	laps   int
	inset  float64
	square bool
	flow   float64 // of the laps against the full rate
}

// starts lists them, the most promising first.
func (pl *planner) starts() []start {
	if pl.allRoom() {
		return []start{{0, 0, false, 1}, {1, 0.3, false, 1}, {1, 0.5, false, 1}, {2, 0.4, false, 1}}
	}
	d := pl.cappedInset()
	if pl.o.BacksUp {
		return pl.distinct([]start{{0, 0, false, 1}, {1, d, true, 1}, {1, 0.4, true, 0.5}, {1, 0.7 * d, true, 1}, {1, 0.2, false, 0.5}})
	}
	return pl.distinct([]start{
		{1, d, false, 1}, {0, 0, false, 1}, {1, 0.8 * d, false, 1}, {1, 0.4, false, 1}, {1, 0, false, 1},
		{1, 0.8 * d, true, 1}, {2, 0.25, false, 1}, {1, d, true, 1},
	})
}

// sameInset is how near two first insets are, in half throws, that are not both
// worth a look: settling would hardly tell them apart.
const sameInset = 0.06

// distinct leaves out what repeats an earlier start.
func (pl *planner) distinct(all []start) []start {
	var kept []start
	inset := func(s start) float64 { return pl.leastInset(s.inset*pl.evenM) / pl.evenM }
	for _, s := range all {
		if !slices.ContainsFunc(kept, func(k start) bool {
			return k.laps == s.laps && k.square == s.square && k.flow == s.flow && math.Abs(inset(k)-inset(s)) < sameInset
		}) {
			kept = append(kept, s)
		}
	}
	return kept
}

// cappedInset is the inset, in half throws, at which a lap all round loses as
// much as may be lost; a lopsided throw is taken with its wider side out.
func (pl *planner) cappedInset() float64 {
	may := pl.o.OutsideMost * LeastM(pl.ground.areaM2, pl.evenM) / lineLength(pl.ground.polygon[0])
	return math.Max(insetLosing(pl.profile, may), insetLosing(pl.profile.Mirrored(), may)) / pl.evenM
}

// insetLosing is how far from an edge on its right a profile drives when so
// much of it falls beyond, metres.
func insetLosing(p coverage.Profile, share float64) float64 {
	k, beyond := len(p.Share), 0.0
	for k > 0 && beyond+p.Share[k-1] < share {
		k--
		beyond += p.Share[k]
	}
	return math.Max(0, p.StartM+float64(k)*p.StepM)
}

// Bounds on one round's trials.
const (
	bearingsTried = 6
	settleTrials  = 80
	refineSweeps  = 5
	quickBearings = 2
	quickTrials   = 12
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
	if laps := pl.bestLaps(); finite(laps.score.aim) {
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
	h := &headland{count: len(p.Passes), insetM: laps.insetM, laps: p.Passes}
	for _, pass := range p.Passes {
		h.lapsM += pass.LengthM
	}
	f := pl.refineLines(layout{head: h, spacingM: laps.spacingM, flow: 1}, nil, refineSweeps)
	return append(pool, pl.enter(pl.planOf("laps all the way, the gate closed where they are thick", f)))
}

// look tries the seeds of one headland along every bearing and returns the best
// of each, best first.
func (pl *planner) look(s start, most int) []layout {
	h, err := pl.newHeadland(s.laps, pl.leastInset(s.inset*pl.evenM), s.flow, s.square)
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

func (pl *planner) nameOf(f finished) string {
	switch f.head.count {
	case 0:
		if pl.o.Room.Any() {
			return "straight passes, turning outside"
		}
		if pl.o.BacksUp {
			return "straight passes, backing up to turn"
		}
		return "straight passes"
	case 1:
		if f.head.laps[0].Flow < 1 {
			return "one lap half open, then straight passes"
		}
		return "one lap, then straight passes"
	}
	return "two laps, then straight passes"
}
