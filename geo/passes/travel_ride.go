package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// layTracks makes the rings to ride: the laps nearest to the edge and to the
// holes. A machine that may leave the ground rides round holes only.
func (w *wayfinder) layTracks() {
	w.tracks = []orb.LineString{}
	rings, err := w.ground.ridden(w.options, w.outside)
	if err != nil {
		return // no rings to ride: the caller falls back on a turn
	}
	for _, ring := range rings {
		back := ring.Clone()
		back.Reverse()
		w.tracks = append(w.tracks, orb.LineString(ring), orb.LineString(back))
	}
}

func (g *Ground) ridden(o LapOptions, outside bool) ([]orb.Ring, error) {
	if outside {
		return g.holeRings(o.holeInset())
	}
	parts, err := g.front(o).reach(o.FirstInsetM+o.TurnRadiusM, o.TurnRadiusM)
	var rings []orb.Ring
	for _, part := range parts {
		rings = append(rings, part...)
	}
	return rings, err
}

// holeRings are the lines at a distance round the holes, as if there were no
// edge.
func (g *Ground) holeRings(distanceM float64) ([]orb.Ring, error) {
	if len(g.polygon) == 1 {
		return nil, nil
	}
	parts, err := newFront(walledIn(g.polygon, 3*distanceM), 0, 0).reach(distanceM, 0)
	var rings []orb.Ring
	for _, part := range parts {
		rings = append(rings, part[1:]...)
	}
	return rings, err
}

// walledIn puts the holes of a plot into a box far enough off to be of no
// account.
func walledIn(ground orb.Polygon, marginM float64) orb.Polygon {
	b := ground[0].Bound().Pad(marginM)
	walls := orb.Ring{b.Min, {b.Max[0], b.Min[1]}, b.Max, {b.Min[0], b.Max[1]}, b.Min}
	return append(orb.Polygon{walls}, ground[1:]...)
}

// stop is a place on a track where a ride may begin or end, with the turn to or
// from it: first a lower bound of its length, then the turn itself.
type stop struct {
	pose
	alongM float64
	turnM  float64
	turn   orb.LineString
	known  bool
}

// mostStops bounds how many places of a track are tried.
const mostStops = 64

// stops spreads places over a track, half a turning radius apart on a short
// one. On a drawn arc they lie in the middle of a chord, where it touches.
func stops(track orb.LineString, radiusM, length float64, turnM func(pose) float64) []stop {
	step := math.Max(radiusM/2, length/mostStops)
	chord := 1.01 * radiusM * arcStep(radiusM)
	var out []stop
	run, next := 0.0, 0.0
	for i := 1; i < len(track); i++ {
		d := apart(track[i-1], track[i])
		for ; next < run+d; next += step {
			p, ahead := poseAlong(track[i-1], track[i], track[i-1]), next-run
			if d < chord {
				ahead = d / 2
			}
			p.at = orb.Point{p.at[0] + ahead*p.heading[0], p.at[1] + ahead*p.heading[1]}
			out = append(out, stop{pose: p, alongM: run + ahead, turnM: turnM(p)})
		}
		run += d
	}
	return out
}

// ride is the shortest way that joins a track, follows it and leaves it, all
// clear; nil when there is none shorter than least. The most promising pair of
// stops is tried first, so that few turns have to be drawn.
func (w *wayfinder) ride(from, to pose, track orb.LineString, least float64) orb.LineString {
	r, length := w.options.TurnRadiusM, lineLength(track)
	on := stops(track, r, length, func(p pose) float64 { return turnWords(from, p, r)[0].length() * r })
	off := stops(track, r, length, func(p pose) float64 { return turnWords(p, to, r)[0].length() * r })
	pairs := pairUp(on, off, length)
	for {
		a, b, total := pairs.best()
		switch {
		case total >= least:
			return nil
		case !on[a].known:
			on[a].draw(w.turn(from, on[a].pose))
			pairs.drawnOn(a)
		case !off[b].known:
			off[b].draw(w.turn(off[b].pose, to))
			pairs.drawnOff(b)
		default:
			return joined(on[a], off[b], track, length)
		}
	}
}

func (s *stop) draw(turn orb.LineString) {
	s.turn, s.known, s.turnM = turn, true, math.Inf(1)
	if turn != nil {
		s.turnM = lineLength(turn)
	}
}

// pairs keeps the best stop to leave a track at for every stop to join it at,
// so that a turn that is drawn costs one look along the stops and not one at
// every pair.
type pairs struct {
	on, off []stop
	length  float64
	leave   []int
	total   []float64
}

func pairUp(on, off []stop, length float64) *pairs {
	p := &pairs{on: on, off: off, length: length, leave: make([]int, len(on)), total: make([]float64, len(on))}
	for i := range on {
		p.drawnOn(i)
	}
	return p
}

func (p *pairs) sum(i, k int) float64 {
	return p.on[i].turnM + p.off[k].turnM + rideM(&p.on[i], &p.off[k], p.length)
}

// drawnOn looks for the best stop to leave at again.
func (p *pairs) drawnOn(i int) {
	p.leave[i], p.total[i] = 0, math.Inf(1)
	for k := range p.off {
		if sum := p.sum(i, k); sum < p.total[i] {
			p.leave[i], p.total[i] = k, sum
		}
	}
}

// drawnOff does so for the stops whose best it may change.
func (p *pairs) drawnOff(k int) {
	for i := range p.on {
		if p.leave[i] == k || p.sum(i, k) <= p.total[i] {
			p.drawnOn(i)
		}
	}
}

// best is the pair with the shortest way; of equal ones the first.
func (p *pairs) best() (a, b int, total float64) {
	total = math.Inf(1)
	for i, t := range p.total {
		if t < total {
			a, b, total = i, p.leave[i], t
		}
	}
	return a, b, total
}

// rideM is how far the track is followed, forward, from one stop to another.
func rideM(on, off *stop, length float64) float64 {
	if d := off.alongM - on.alongM; d >= 0 {
		return d
	}
	return off.alongM - on.alongM + length
}

// joined strings the turn on, the stretch of track and the turn off together.
func joined(on, off stop, track orb.LineString, length float64) orb.LineString {
	line := on.turn.Clone()
	end := on.alongM + rideM(&on, &off, length)
	run := 0.0
	for lap := 0; lap < 2; lap++ {
		for i := 1; i < len(track); i++ {
			if run > on.alongM && run < end {
				line = append(line, track[i-1])
			}
			run += apart(track[i-1], track[i])
		}
	}
	return dropRepeats(append(line, off.turn...))
}
