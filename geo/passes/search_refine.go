package passes

import (
	"slices"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// finished is a candidate with its passes moved one by one: the laps as tracks
// with a gate, and the straight passes with those that were added.
type finished struct {
	layout
	stretches []Stretch
	tracks    []gatedTrack
	extras    int // straight passes that were added
}

// refine moves the ends of every pass of a candidate, where the gate opens and
// closes, and drops passes that do more harm than good.
func (pl *planner) refine(c layout, sweeps int) finished {
	pl.layLines(&c)
	return pl.refineLines(c, slices.Clone(pl.lines.Stretches), sweeps)
}

// refineLines refines laps and straight passes that are laid already. Where
// there is no room outside it also works the gate on the laps, adds passes and
// moves them sideways: the turns leave thin and thick places there.
func (pl *planner) refineLines(c layout, stretches []Stretch, sweeps int) finished {
	f := pl.started(c, stretches)
	step := 0.25 * pl.evenM
	polished := sweeps > 1 && !pl.allRoom()
	for sweep := range sweeps {
		if polished && sweep > 0 {
			pl.polish(&f)
		}
		before := f.score.aim
		for i := 0; i < len(f.stretches); i++ {
			pl.moveEnd(&f, i, true, step)
			pl.moveEnd(&f, i, false, step)
			if polished {
				pl.moveAside(&f, i, step)
			}
			if pl.drop(&f, i) {
				i--
			}
		}
		if f.score.aim > before-1e-4 && (sweep > 1 || !polished) {
			step /= 2
		}
		if step < 0.05*pl.evenM {
			break
		}
	}
	return f
}

// started puts laps and straight passes on the tally.
func (pl *planner) started(c layout, stretches []Stretch) finished {
	f := finished{layout: c, stretches: stretches}
	if pl.o.Quick { // no gate is worked on the laps
		f.tracks = pl.wholeLaps(c.head)
	} else {
		f.tracks = pl.gatedLaps(c.head)
	}
	path := c.head.lapsM
	for _, s := range f.stretches {
		pl.layStretch(s, c.flow)
		path += s.LengthM()
	}
	f.score = pl.judgeTally(path)
	return f
}

// gatedLaps puts the laps of a headland on the tally piece by piece.
func (pl *planner) gatedLaps(h *headland) []gatedTrack {
	tracks := make([]gatedTrack, len(h.laps))
	pl.tally.Clear()
	pl.heaped = 0
	for k, pass := range h.laps {
		t := pl.newGatedTrack(pass, pl.evenM/piecesPerHalfThrow)
		for i, line := range t.pieces {
			pl.heaped += t.heaps[i]
			pl.tally.Lay(coverage.Stroke{Line: line, Flow: pass.Flow})
		}
		tracks[k] = t
	}
	return tracks
}

// wholeLaps puts them on it as they lay when the headland was made.
func (pl *planner) wholeLaps(h *headland) []gatedTrack {
	tracks := make([]gatedTrack, len(h.laps))
	for k, pass := range h.laps {
		tracks[k] = gatedTrack{pass: pass, open: []bool{true}}
	}
	pl.tally.Take(h.density, h.laidM)
	pl.heaped = h.heaps
	return tracks
}

func (pl *planner) layStretch(s Stretch, flow float64) {
	from, to := pl.facing(s)
	pl.tally.Lay(pl.twoPoint(from, to, flow))
}

func (pl *planner) liftStretch(s Stretch, flow float64) {
	from, to := pl.facing(s)
	pl.tally.Lift(pl.twoPoint(from, to, flow))
}

// moveEnd tries an end further out and further in, and goes on while it helps.
func (pl *planner) moveEnd(f *finished, i int, last bool, step float64) {
	for _, by := range [2]float64{step, -step} {
		for moved := 0; moved < 8 && pl.moveBy(f, i, last, by); moved++ {
		}
	}
}

func (pl *planner) moveBy(f *finished, i int, last bool, by float64) bool {
	s := f.stretches[i]
	length := s.LengthM()
	if length+by < pl.evenM/4 {
		return false
	}
	h := orb.Point{(s.To[0] - s.From[0]) / length, (s.To[1] - s.From[1]) / length}
	next, old, now := s, &s.To, &s.To
	if last {
		now = &next.To
	} else {
		h, old, now = orb.Point{-h[0], -h[1]}, &s.From, &next.From
	}
	*now = orb.Point{old[0] + by*h[0], old[1] + by*h[1]}
	if by > 0 && !pl.mayReach(*old, *now, h) {
		return false
	}
	// The piece runs the way of its pass, so that a lopsided throw lies right.
	piece := Stretch{Row: s.Row, From: *old, To: *now}
	if last != (by > 0) {
		piece.From, piece.To = piece.To, piece.From
	}
	put, takeBack := pl.layStretch, pl.liftStretch
	if by < 0 {
		put, takeBack = takeBack, put
	}
	put(piece, f.flowOf(s))
	score := pl.judgeTally(f.score.pathM + by)
	if score.aim < f.score.aim-1e-7 {
		f.stretches[i], f.score = next, score
		return true
	}
	takeBack(piece, f.flowOf(s))
	return false
}

// mayReach tells whether a pass may be run on to a place: no further than half
// a throw past the edge, clear of holes and other limits, with room to turn.
func (pl *planner) mayReach(from, to, heading orb.Point) bool {
	if lineGap(pl.ground.polygon[0], to) > pl.evenM && !within(pl.ground.polygon[0], to) {
		return false
	}
	if !pl.o.Room.Any() && (!within(pl.ground.polygon[0], to) || lineGap(pl.ground.polygon[0], to) < pl.o.ClearanceM-strayM) {
		return false
	}
	for _, hole := range pl.ground.polygon[1:] {
		if within(hole, to) || ringGap(hole, from, to) < pl.o.ClearanceM {
			return false
		}
	}
	if pl.limits.any() && len(pl.limits.trim(orb.LineString{from, to}, apart(from, to)*(1-1e-9))) != 1 {
		return false
	}
	return pl.canTurn(to, heading)
}

// drop lifts a pass for good when the plan is better without it.
func (pl *planner) drop(f *finished, i int) bool {
	s := f.stretches[i]
	pl.liftStretch(s, f.flowOf(s))
	score := pl.judgeTally(f.score.pathM - s.LengthM())
	if score.aim < f.score.aim {
		f.stretches = slices.Delete(f.stretches, i, i+1)
		f.score = score
		return true
	}
	pl.layStretch(s, f.flowOf(s))
	return false
}

// moveAside tries a pass further left and further right, and then, where any
// bearing will do, either end of it alone, its gate unchanged.
func (pl *planner) moveAside(f *finished, i int, step float64) {
	moves := [][2]float64{{1, 1}, {-1, -1}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}}
	if pl.o.AlongRad != nil {
		moves = moves[:2]
	}
	for _, move := range moves {
		pl.moveSideways(f, i, move[0]*step, move[1]*step)
	}
}

func (pl *planner) moveSideways(f *finished, i int, startM, endM float64) {
	s := f.stretches[i]
	length := s.LengthM()
	right := orb.Point{(s.To[1] - s.From[1]) / length, (s.From[0] - s.To[0]) / length}
	next := s
	next.From = orb.Point{s.From[0] + startM*right[0], s.From[1] + startM*right[1]}
	next.To = orb.Point{s.To[0] + endM*right[0], s.To[1] + endM*right[1]}
	if !pl.mayLie(next) {
		return
	}
	pl.liftStretch(s, f.flowOf(s))
	pl.layStretch(next, f.flowOf(s))
	if score := pl.judgeTally(f.score.pathM + next.LengthM() - length); score.aim < f.score.aim-1e-7 {
		f.stretches[i], f.score = next, score
		return
	}
	pl.liftStretch(next, f.flowOf(s))
	pl.layStretch(s, f.flowOf(s))
}

// mayLie tells whether a pass may be driven as a whole.
func (pl *planner) mayLie(s Stretch) bool {
	h := startPose(orb.LineString{s.From, s.To}).heading
	if !pl.mayReach(s.From, s.To, h) || !pl.mayReach(s.To, s.From, orb.Point{-h[0], -h[1]}) {
		return false
	}
	return pl.o.Room.Any() || ringGap(pl.ground.polygon[0], s.From, s.To) >= pl.o.ClearanceM-strayM
}
