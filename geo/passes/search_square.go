package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// allSides are the sides of every lap.
func (pl *planner) allSides(laps []Pass) []Pass {
	var sides []Pass
	for _, lap := range laps {
		sides = append(sides, pl.sides(lap)...)
	}
	return sides
}

// sides cuts a closed lap at its tight bends into passes that run straight on
// past where the bend begins, as far as the machine can still turn. On a tight
// bend the inner half of the throw lands in one heap.
func (pl *planner) sides(lap Pass) []Pass {
	line := lap.Line
	n := len(line) - 1
	if !lap.Closed || n < 4 {
		return []Pass{lap}
	}
	tight := pl.tightPoints(line)
	first := 0
	for first < n && !(tight[first] && !tight[(first+1)%n]) {
		first++
	}
	if first == n {
		return []Pass{lap}
	}
	var out []Pass
	side := orb.LineString{line[first]}
	for k := 1; k <= n; k++ {
		i := (first + k) % n
		if side = append(side, line[i]); !tight[i] {
			continue
		}
		if lineLength(side) > pl.evenM/4 {
			p := newPass(Lap, pl.runOn(side))
			p.Flow = lap.Flow
			out = append(out, p)
		}
		side = orb.LineString{line[i]}
	}
	return out
}

// leastBend is the change of heading, radians, below which a bend is driven
// through with the gate open.
const leastBend = 40 * math.Pi / 180

// tightPoints marks the points of a closed line that lie on a bend at the
// turning radius which turns by more than leastBend.
func (pl *planner) tightPoints(line orb.LineString) []bool {
	n := len(line) - 1
	turns, tight := turnsOf(line), make([]bool, n)
	for i := range n {
		a, b, c := line[(i+n-1)%n], line[i], line[i+1]
		tight[i] = math.Abs(turns[i])*1.3*pl.o.TurnRadiusM >= math.Min(apart(a, b), apart(b, c))
	}
	start := 0
	for start < n && tight[start] {
		start++
	}
	for k := 0; k < n; {
		i := (start + k) % n
		if !tight[i] {
			k++
			continue
		}
		sum, m := 0.0, 0
		for m < n && tight[(i+m)%n] {
			sum += turns[(i+m)%n]
			m++
		}
		if math.Abs(sum) < leastBend {
			for j := range m {
				tight[(i+j)%n] = false
			}
		}
		k += m
	}
	return tight
}

// runOn lengthens a line at both ends, straight on, as far as the machine can
// still turn, up to a throw.
func (pl *planner) runOn(side orb.LineString) orb.LineString {
	end := pl.farthest(endPose(side))
	back := startPose(side)
	back.heading = orb.Point{-back.heading[0], -back.heading[1]}
	start := pl.farthest(back)
	out := orb.LineString{}
	if apart(start, side[0]) > repeatM {
		out = append(out, start)
	}
	out = append(out, side...)
	if apart(end, side[len(side)-1]) > repeatM {
		out = append(out, end)
	}
	return out
}

func (pl *planner) farthest(p pose) orb.Point {
	best := p.at
	for m := drawBackM; m <= 2*pl.evenM; m += drawBackM {
		q := p.moved(m)
		if !pl.mayReach(p.at, q.at, q.heading) {
			if m > pl.o.TurnRadiusM {
				break
			}
			continue
		}
		best = q.at
	}
	return best
}
