package passes

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// limits are what no plan may break, in the frame of the ground.
type limits struct {
	ground      *Ground
	strips      []coverage.Strip
	noThrow     bool    // beyond the edge
	left, right float64 // reach of the throw
	behindM     float64
	rampM       float64
}

func newLimits(g *Ground, p coverage.Profile, o SearchOptions, axis turned) *limits {
	l := &limits{ground: g, noThrow: o.NoThrowOutside, behindM: o.BehindM, rampM: o.RampM}
	l.left, l.right = p.Reach()
	for _, k := range o.KeepOff {
		l.strips = append(l.strips, coverage.Strip{Line: axis.line(k.Line), DistanceM: k.DistanceM})
	}
	return l
}

// any tells whether there is something to check at all.
func (l *limits) any() bool { return l.noThrow || len(l.strips) > 0 }

// lands tells whether the throw may land from a place with a unit heading: all
// of it clear of every strip and, if so wished, inside the plot.
func (l *limits) lands(at, heading orb.Point) bool {
	n := orb.Point{heading[1], -heading[0]}
	// Either way round: a pass may be driven against its line.
	reach := math.Max(-l.left, l.right)
	a := orb.Point{at[0] - reach*n[0], at[1] - reach*n[1]}
	b := orb.Point{at[0] + reach*n[0], at[1] + reach*n[1]}
	for _, s := range l.strips {
		for i := range s.Line {
			if segmentGap(s.Line[max(i-1, 0)], s.Line[i], a, b) < s.DistanceM {
				return false
			}
		}
	}
	return !l.noThrow || l.staysIn(a, b)
}

// staysIn tells whether a segment lies in the plot. Touching the edge, to a
// millimetre, counts as inside.
func (l *limits) staysIn(a, b orb.Point) bool {
	const touch = 1e-3
	d := apart(a, b)
	ux, uy := (b[0]-a[0])/d*touch, (b[1]-a[1])/d*touch
	a, b = orb.Point{a[0] + ux, a[1] + uy}, orb.Point{b[0] - ux, b[1] - uy}
	for i, ring := range l.ground.polygon {
		if within(ring, a) != (i == 0) {
			return false
		}
		for k := 1; k < len(ring); k++ {
			if side(a, b, ring[k-1])*side(a, b, ring[k]) < 0 && side(ring[k-1], ring[k], a)*side(ring[k-1], ring[k], b) < 0 {
				return false
			}
		}
	}
	return true
}

// checkEveryM is how closely a line is checked against the limits; where it
// passes from allowed to not, the place is found to a centimetre.
const (
	checkEveryM = 0.25
	foundToM    = 0.01
)

// trim cuts a line of landing places to the parts from which the throw may
// land, each at least leastM long. Cut ends leave room for the gate's ramp.
func (l *limits) trim(line orb.LineString, leastM float64) []orb.LineString {
	if !l.any() {
		return []orb.LineString{line}
	}
	t := trimmer{limits: l, leastM: leastM}
	for i := 1; i < len(line); i++ {
		if line[i] != line[i-1] {
			t.edge(line[i-1], line[i])
		}
	}
	t.finish()
	return t.parts
}

// trimmer cuts one line.
type trimmer struct {
	*limits
	leastM float64
	open   orb.LineString // the part that is being followed
	parts  []orb.LineString
}

func (t *trimmer) finish() {
	if part := shorten(t.open, t.rampM/2); len(part) > 1 && lineLength(part) >= t.leastM {
		t.parts = append(t.parts, part)
	}
	t.open = nil
}

func (t *trimmer) edge(a, b orb.Point) {
	d, heading := apart(a, b), poseAlong(a, b, a).heading
	at := func(f float64) orb.Point { return orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])} }
	was := t.lands(a, heading)
	if !was {
		t.finish()
	} else if t.open == nil {
		t.open = orb.LineString{a}
	}
	steps := math.Ceil(d / checkEveryM)
	for k := 1.0; k <= steps; k++ {
		is := t.lands(at(k/steps), heading)
		switch {
		case was && !is:
			t.open = append(t.open, at(t.turnover(at, heading, (k-1)/steps, k/steps, d)))
			t.finish()
		case is && !was:
			t.open = orb.LineString{at(t.turnover(at, heading, (k-1)/steps, k/steps, d))}
		}
		was = is
	}
	if was {
		t.open = append(t.open, b)
	}
}

// turnover finds where between two fractions of an edge the throw may start to
// land, or must stop; it returns the allowed side.
func (l *limits) turnover(at func(float64) orb.Point, heading orb.Point, from, to, lengthM float64) float64 {
	good, bad := from, to
	if !l.lands(at(from), heading) {
		good, bad = to, from
	}
	for math.Abs(good-bad)*lengthM > foundToM {
		mid := (good + bad) / 2
		if l.lands(at(mid), heading) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good
}

// shorten takes so much off both ends of a line; nothing is left of a line
// that is no longer than that.
func shorten(line orb.LineString, byM float64) orb.LineString {
	if byM <= 0 || len(line) < 2 {
		return line
	}
	length := lineLength(line)
	if length <= 2*byM {
		return nil
	}
	return stretchOf(line, byM, length-byM)
}

// stretchOf is the part of a line between two distances along it.
func stretchOf(line orb.LineString, fromM, toM float64) orb.LineString {
	var out orb.LineString
	run := 0.0
	for i := 1; i < len(line); i++ {
		if run >= toM {
			break
		}
		d := apart(line[i-1], line[i])
		at := func(m float64) orb.Point {
			f := (m - run) / d
			return orb.Point{line[i-1][0] + f*(line[i][0]-line[i-1][0]), line[i-1][1] + f*(line[i][1]-line[i-1][1])}
		}
		if d > 0 && run+d > fromM && run < toM {
			if len(out) == 0 {
				out = append(out, at(math.Max(fromM, run)))
			}
			out = append(out, at(math.Min(toM, run+d)))
		}
		run += d
	}
	return out
}
