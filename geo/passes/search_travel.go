package passes

import (
	"github.com/paulmach/orb"
)

// addWays fills in the travel of a plan and totals it. Rides are the ways that
// are known already, by pass; a nil one is looked for. A short pass that cannot
// be driven to without straying is left out.
func (pl *planner) addWays(p *Plan, start *orb.Point, rides ...orb.LineString) {
	all := p.Passes
	p.Passes, p.Travel = nil, nil
	for k, pass := range all {
		p.Passes, p.Travel = append(p.Passes, pass), append(p.Travel, nil)
		i, to := len(p.Passes)-1, startPose(pass.Line)
		switch {
		case i > 0 && k < len(rides) && rides[k] != nil && endsAt(p.Passes[i-1].Line, rides[k][0]):
			p.Travel[i] = rides[k]
		case i > 0:
			pl.count(wayTrials)
			p.Travel[i] = pl.way(endPose(p.Passes[i-1].Line), to)
			if pl.o.Quick || pl.fits(p.Travel[i]) {
				continue
			}
			pl.count(roomTrials)
			if pl.makeRoom(p, i); p.Name != HabitName && !pl.fits(p.Travel[i]) && pass.LengthM < leaveOut*pl.evenM {
				p.Passes, p.Travel = p.Passes[:i], p.Travel[:i]
			}
		case start != nil && apart(*start, to.at) > repeatM:
			p.Travel[i] = pl.way(poseAlong(*start, to.at, *start), to)
		}
	}
	p.Total(pl.ground.areaM2)
}

// wayTrials and roomTrials are how many whole candidates a way and making room
// for one count for where there is not room all round: about what they cost.
const (
	wayTrials  = 6
	roomTrials = 24
)

func (pl *planner) count(trials int) {
	if !pl.allRoom() {
		pl.tried += trials
	}
}

// leaveOut is how many half throws long a pass may be that is left out because
// there is no way to it: the others throw over part of its ground.
const leaveOut = 2.0

func endsAt(line orb.LineString, p orb.Point) bool { return apart(line[len(line)-1], p) < repeatM }

// roomSteps is how many half turning radii a pass may be cut short for the sake
// of a turn.
const roomSteps = 6

// makeRoom cuts the end of one straight pass, the start of the next or both
// short, as little as it takes for the way between them not to stray: first for
// a single turn, then for a ride along a track.
func (pl *planner) makeRoom(p *Plan, i int) {
	f := pl.finder(pl.o.Room.Any())
	for step := 1; step <= roomSteps; step++ {
		for _, which := range [3][2]float64{{1, 0}, {0, 1}, {1, 1}} {
			if pl.fitsCut(p, i, float64(step)*which[0], float64(step)*which[1], f.turn) {
				return
			}
		}
	}
	for step := 2; step <= roomSteps; step += 2 {
		if pl.fitsCut(p, i, float64(step), float64(step), f.way) {
			return
		}
	}
}

// fitsCut cuts two passes short by so many half turning radii and keeps them
// so when the way between them does not stray.
func (pl *planner) fitsCut(p *Plan, i int, end, start float64, way func(from, to pose) orb.LineString) bool {
	half := pl.o.TurnRadiusM / 2
	first, okFirst := pl.cutShort(p.Passes[i-1], 0, end*half)
	second, okSecond := pl.cutShort(p.Passes[i], start*half, 0)
	if !okFirst || !okSecond {
		return false
	}
	line := way(endPose(first.Line), startPose(second.Line))
	if line == nil || !pl.fits(line) {
		return false
	}
	p.Passes[i-1], p.Passes[i], p.Travel[i] = first, second, line
	return true
}

// cutShort takes so much off the start and the end of a straight pass.
func (pl *planner) cutShort(pass Pass, startM, endM float64) (Pass, bool) {
	if startM == 0 && endM == 0 {
		return pass, true
	}
	if pass.Closed || pass.LengthM-startM-endM < pl.evenM/2 {
		return pass, false
	}
	cut := newPass(pass.Kind, stretchOf(pass.Line, startM, pass.LengthM-endM))
	cut.Flow = pass.Flow
	return cut, true
}

// way is the travel between two poses: outside the plot where there is room on
// some side and that does not stray, else on the plot.
func (pl *planner) way(from, to pose) orb.LineString {
	if pl.o.Quick {
		return pl.finder(pl.o.Room.Any()).quick(from, to)
	}
	if pl.o.BacksUp {
		if line := pl.backing(from, to); line != nil {
			return line
		}
	}
	line := pl.finder(pl.o.Room.Any()).way(from, to)
	if pl.o.Room.Any() && !pl.allRoom() && !pl.fits(line) {
		if inside := pl.finder(false).way(from, to); pl.fits(inside) {
			return inside
		}
	}
	return line
}

// quick is the shortest turn, clear or not, for a plan that is only looked at.
func (w *wayfinder) quick(from, to pose) orb.LineString {
	if line := w.turn(from, to); line != nil {
		return line
	}
	return turnWords(from, to, w.options.TurnRadiusM)[0].trace(from, to, w.options.TurnRadiusM)
}

// finder keeps one wayfinder for travel that may leave the plot and one for
// travel that may not, because the rings that they ride are dear.
func (pl *planner) finder(outside bool) *wayfinder {
	which := &pl.inside
	if outside {
		which = &pl.outside
	}
	if *which == nil {
		o := pl.lapOptions(pl.o.ClearanceM, pl.evenM)
		*which = &wayfinder{ground: pl.ground, options: o, outside: outside}
	}
	return *which
}

// strayM is how far outside the machine may come between two drawn points
// without its counting, metres: the edge is not surveyed better.
const strayM = 0.05

// strayed is how many metres of a way the machine spends where it may not be:
// off the plot beyond an edge without room, or too near a hole.
func (pl *planner) strayed(line orb.LineString) float64 {
	stray := 0.0
	pl.eachStray(line, func(lengthM float64) bool {
		stray += lengthM
		return true
	})
	return stray
}

// fits tells whether a way does not stray at all.
func (pl *planner) fits(line orb.LineString) bool {
	good := true
	pl.eachStray(line, func(float64) bool {
		good = false
		return false
	})
	return good
}

// eachStray hands over the length of every piece of a way that strays, until
// it is told to stop.
func (pl *planner) eachStray(line orb.LineString, more func(lengthM float64) bool) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		d := apart(a, b)
		steps := max(1, int(d/pl.o.TurnRadiusM))
		for k := 1; k <= steps && !pl.allRoom(); k++ {
			f := float64(k) / float64(steps)
			if !pl.mayBe(orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])}) && !more(d/float64(steps)) {
				return
			}
		}
		for _, hole := range pl.ground.polygon[1:] {
			if ringGap(hole, a, b) < pl.o.ClearanceM-strayM && !more(d) {
				return
			}
		}
	}
}

// mayBe tells whether the machine may be at a place: on the plot, or outside
// it where the nearest edge has room beyond it.
func (pl *planner) mayBe(at orb.Point) bool {
	ring := pl.ground.polygon[0]
	if pl.allRoom() || within(ring, at) {
		return true
	}
	edge, foot := nearestOn(ring, at)
	return pl.rooms[edge] || apart(foot, at) <= strayM
}
