package passes

import (
	"math"
	"slices"

	"evenfall/geo/coverage"
)

// start is a headland that the search looks at. Flows are against the full
// rate.
type start struct {
	count  int     // of laps
	inset  float64 // of the first, in half throws
	bend   float64 // radius that its bends are widened to, in turning radii
	square bool    // the gate is closed in its sharp bends, and its sides run on
	flow   float64 // of the laps
	inner  float64 // of the passes inside them
}

// noLaps is straight passes alone.
var noLaps = start{flow: 1, inner: 1}

// lapAt is one lap at an inset in half throws.
func lapAt(inset float64) start { return start{count: 1, inset: inset, bend: 1, flow: 1, inner: 1} }

func (s start) half() start   { s.flow = 0.5; return s }
func (s start) cut() start    { s.square = true; return s }
func (s start) second() start { s.count = 2; return s }

// wide has bends that the throw does not heap up inside of, see planner.heaps:
// with a usual machine they are as wide as half the throw.
func (s start) wide() start { s.bend = 1.6; return s }

// lighter has the gate three quarters open inside the lap. Along an edge that
// little may be thrown over the lap is alone, so that it leaves the edge thin;
// with less inside it counts for more.
func (s start) lighter() start { s.inner = 0.75; return s }

// starts lists what the search looks at, the most promising first.
func (pl *planner) starts() []start {
	if pl.allRoom() {
		return []start{noLaps, lapAt(0.3), lapAt(0.5), lapAt(0.4).second()}
	}
	d := pl.cappedInset()
	if pl.o.BacksUp {
		return pl.distinct([]start{
			noLaps, lapAt(d).cut(), lapAt(0.9 * d).wide().cut().lighter(), lapAt(0.4).cut().half(),
			lapAt(0.7 * d).cut(), lapAt(0.2).half(), lapAt(0.9 * d).wide().lighter(),
		})
	}
	return pl.distinct([]start{
		lapAt(0.9 * d).wide().lighter(), lapAt(0.9 * d).wide().cut(), noLaps,
		lapAt(0.5 * d).wide().lighter(), lapAt(0.9 * d).wide().cut().lighter(), lapAt(0.9 * d).wide(),
		lapAt(0.7 * d).wide().lighter().second(),
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
			near := math.Abs(inset(k)-inset(s)) < sameInset
			k.inset = s.inset
			return near && k == s
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
