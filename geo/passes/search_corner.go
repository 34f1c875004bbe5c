package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// plotCorner is a corner of the plot that pokes out: where it is, which way is
// in, and half of its opening.
type plotCorner struct {
	at, in      orb.Point
	halfOpening float64
}

// leastCorner is the change of heading, radians, from which on a corner of the
// plot is worth a pass of its own: a lap rounds it too far off.
const leastCorner = 50 * math.Pi / 180

// sharpCorners are the corners of the edge that poke out sharply.
func (pl *planner) sharpCorners() []plotCorner {
	var out []plotCorner
	ring := pl.ground.polygon[0]
	n, winding := len(ring)-1, signedArea(ring)
	for i := range n {
		a, b, c := ring[(i+n-1)%n], ring[i], ring[i+1]
		turn, _ := turnAt(a, b, c)
		if turn < leastCorner || side(a, b, c)*winding < 0 {
			continue
		}
		u, v := poseAlong(b, a, b).heading, poseAlong(b, c, b).heading
		if d := math.Hypot(u[0]+v[0], u[1]+v[1]); d > 1e-6 {
			out = append(out, plotCorner{b, orb.Point{(u[0] + v[0]) / d, (u[1] + v[1]) / d}, (math.Pi - turn) / 2})
		}
	}
	return out
}

// cutCorners lays a pass straight across each sharp corner of the plot, out
// beyond the laps, and closes the gate on the laps where that then helps, if the
// whole is worth the price.
func (pl *planner) cutCorners(f *finished, price float64) {
	for _, across := range pl.acrossCorners() {
		was, gates := f.score, f.gates()
		best, bestScore, bestGates := Stretch{}, was, gates
		bestScore.aim -= price
		for _, s := range across {
			pl.layStretch(s, f.flowOf(s))
			f.score = pl.judgeTally(was.pathM + s.LengthM())
			for i := range f.tracks {
				pl.closeMost(f, &f.tracks[i], closingsPerCorner, price)
			}
			if f.score.aim < bestScore.aim {
				best, bestScore, bestGates = s, f.score, f.gates()
			}
			pl.setGates(f, gates)
			pl.liftStretch(s, f.flowOf(s))
		}
		if f.score = was; best != (Stretch{}) {
			pl.layStretch(best, f.flowOf(best))
			pl.setGates(f, bestGates)
			f.add(best, bestScore)
		}
	}
}

// closingsPerCorner is how often the gate is closed on a lap for the sake of one
// corner.
const closingsPerCorner = 2

// gates is where the gate is open on every track.
func (f *finished) gates() [][]bool {
	var all [][]bool
	for i := range f.tracks {
		all = append(all, slices.Clone(f.tracks[i].open))
	}
	return all
}

func (pl *planner) setGates(f *finished, open [][]bool) {
	for i := range f.tracks {
		for k, is := range open[i] {
			if f.tracks[i].open[k] != is {
				pl.setGate(&f.tracks[i], k, is)
			}
		}
	}
}

// acrossCorners are for each sharp corner the stretches across it that can be
// driven, the nearest to it first. They depend on the plot alone.
func (pl *planner) acrossCorners() [][]Stretch {
	if pl.across == nil {
		pl.across = [][]Stretch{}
		for _, c := range pl.sharpCorners() {
			var across []Stretch
			for _, out := range [5]float64{0.625, 0.75, 0.875, 1, 1.125} {
				if s, ok := pl.acrossCorner(c, out*pl.evenM); ok {
					across = append(across, s)
				}
			}
			pl.across = append(pl.across, across)
		}
	}
	return pl.across
}

// acrossCorner is the longest stretch across a corner, so far from it, that can
// be driven.
func (pl *planner) acrossCorner(c plotCorner, fromM float64) (Stretch, bool) {
	middle := pose{at: c.at, heading: c.in}.moved(fromM).at
	along := pose{middle, orb.Point{-c.in[1], c.in[0]}}
	half := fromM * math.Tan(c.halfOpening)
	for ; half > pl.evenM/4; half -= drawBackM / 2 {
		if s := (Stretch{Row: lastRow, From: along.moved(-half).at, To: along.moved(half).at}); pl.mayLie(s) {
			return s, true
		}
	}
	return Stretch{}, false
}
