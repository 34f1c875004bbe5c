package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// lapBend is one bend of a closed line: its points from first to last, the corner
// where the ways in and out would meet, and its change of heading.
type lapBend struct {
	first, last int
	turn        float64   // left positive
	in, out     orb.Point // unit headings
	corner      orb.Point
	tangentM    float64 // from the corner to where the bend begins or ends, the less
	square      bool    // it has a corner: the ways in and out meet ahead
}

// mostWidened is the change of heading, radians, beyond which a bend is not
// widened: it turns right back.
const mostWidened = 150 * math.Pi / 180

// leastBetweenM is how much straight is left between two bends that are widened,
// metres: the wheels are set straight before they are turned the other way.
const leastBetweenM = 0.5

// widenedLaps takes the bends of closed laps wider, up to so many turning radii
// and gentle ones wider still: within the throw of a tight bend it heaps up.
func (pl *planner) widenedLaps(laps []Pass, bend float64) []Pass {
	out := make([]Pass, len(laps))
	for i, lap := range laps {
		if out[i] = lap; lap.Closed {
			out[i] = newPass(Lap, pl.widened(lap.Line, bend*pl.o.TurnRadiusM))
		}
	}
	return out
}

// widened is a closed line with its bends widened where there is room to on the
// line's own straights.
func (pl *planner) widened(line orb.LineString, radiusM float64) orb.LineString {
	bends := pl.bendsOf(line)
	n := len(bends)
	if n < 2 {
		return line
	}
	wishes := make([]float64, n)
	for k := range bends {
		wishes[k] = bends[k].wish(radiusM)
	}
	// given is what bend k gets of the straight that follows bend i.
	given := func(k, i int) float64 {
		straight := math.Max(0, apart(line[bends[i].last], line[bends[(i+1)%n].first])-leastBetweenM)
		return wishes[k] * math.Min(1, straight/math.Max(wishes[i]+wishes[(i+1)%n], 1e-9))
	}
	var out orb.LineString
	for k := range bends {
		more := math.Min(given(k, (k+n-1)%n), given(k, k))
		out = append(out, pl.widerArc(line, &bends[k], more)...)
	}
	return append(dropRepeats(out), out[0])
}

// wish is how much of the straights on either side a bend would take to be of a
// radius, or so wide that it strays from its corner by gentleM more.
func (b *lapBend) wish(radiusM float64) float64 {
	if !b.square {
		return 0
	}
	turn := math.Abs(b.turn)
	radiusM = math.Max(radiusM, gentleM/(1/math.Cos(turn/2)-1))
	return math.Max(0, radiusM*math.Tan(turn/2)-b.tangentM)
}

// widerArc draws a bend that begins and ends so much further from its corner; as
// it is where that cannot be driven or makes no difference.
func (pl *planner) widerArc(line orb.LineString, b *lapBend, moreM float64) orb.LineString {
	if moreM > repeatM {
		t, turn := b.tangentM+moreM, math.Abs(b.turn)
		from := pose{b.corner, b.in}.moved(-t)
		arc := appendTurn(orb.LineString{from.at}, from.at, math.Atan2(b.in[1], b.in[0]), math.Copysign(1, b.turn), turn, t/math.Tan(turn/2))
		if pl.keepsClear(arc) {
			return arc
		}
	}
	var same orb.LineString
	for i := b.first; i != b.last; i = (i + 1) % (len(line) - 1) {
		same = append(same, line[i])
	}
	return append(same, line[b.last])
}

// keepsClear tells whether a line on the plot keeps the clearance from its edge
// and its holes.
func (pl *planner) keepsClear(line orb.LineString) bool {
	for i := 1; i < len(line); i++ {
		for k, ring := range pl.ground.polygon {
			if within(ring, line[i]) != (k == 0) || ringGap(ring, line[i-1], line[i]) < pl.o.ClearanceM-strayM {
				return false
			}
		}
	}
	return true
}

// bendsOf finds the bends of a closed line: points that turn the same way with
// no straight between them. It is empty for a line that is all one bend.
func (pl *planner) bendsOf(line orb.LineString) []lapBend {
	n := len(line) - 1
	turns := turnsOf(line)
	joins := func(i int) bool { // point i and the next are of one bend
		j := (i + 1) % n
		return turns[i]*turns[j] > 0 && apart(line[i], line[j]) < pl.o.TurnRadiusM/4
	}
	first := 0
	for first < n && joins((first+n-1)%n) {
		first++
	}
	var bends []lapBend
	for k := 0; k < n && first < n; k++ {
		i := (first + k) % n
		b := lapBend{first: i, last: i, turn: turns[i]}
		for ; k+1 < n && joins(b.last); k++ {
			next := (b.last + 1) % n
			b.turn, b.last = b.turn+turns[next], next
		}
		b.in = poseAlong(line[(b.first+n-1)%n], line[b.first], line[b.first]).heading
		b.out = poseAlong(line[b.last], line[b.last+1], line[b.last]).heading
		b.meet(line[b.first], line[b.last])
		bends = append(bends, b)
	}
	return bends
}

// turnsOf is the change of heading at every point of a closed line, radians,
// left positive.
func turnsOf(line orb.LineString) []float64 {
	n := len(line) - 1
	turns := make([]float64, n)
	for i := range n {
		a, b, c := line[(i+n-1)%n], line[i], line[i+1]
		ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], c[0]-b[0], c[1]-b[1]
		turns[i] = math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
	}
	return turns
}

// meet finds the corner of a bend that begins and ends at two points.
func (b *lapBend) meet(from, to orb.Point) {
	cross := b.in[0]*b.out[1] - b.in[1]*b.out[0]
	if math.Abs(cross) < 1e-6 || math.Abs(b.turn) > mostWidened {
		return
	}
	dx, dy := to[0]-from[0], to[1]-from[1]
	ahead, behind := (dx*b.out[1]-dy*b.out[0])/cross, (dy*b.in[0]-dx*b.in[1])/cross
	b.corner = pose{from, b.in}.moved(ahead).at
	b.tangentM, b.square = math.Min(ahead, behind), ahead >= 0 && behind >= 0
}
