package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// Stretch is one gate-open straight line. Row counts the parallel lines from
// the left as one looks along the bearing; a row cut by a hole or a bay has
// several stretches, in order along the bearing.
type Stretch struct {
	Row      int
	From, To orb.Point
}

// LengthM is the stretch's length in metres.
func (s Stretch) LengthM() float64 { return apart(s.From, s.To) }

// Lines is a set of stretches and the scratch space to make the next set
// without allocating. The zero value is ready.
type Lines struct {
	Stretches []Stretch

	crossings []crossing
	sorted    []crossing
	starts    []int32
}

// crossing is where a ring crosses a row, metres along the bearing.
type crossing struct {
	along float64
	row   int32
	hole  bool
}

// rows are parallel lines over a plane: unit vectors along them and to their
// right, the rightward place of the first and the spacing, metres.
type rows struct {
	along, right   orb.Point
	first, spacing float64
	count          int
}

func (r rows) point(along float64, row int32) orb.Point {
	v := r.first + float64(row)*r.spacing
	return orb.Point{along*r.along[0] + v*r.right[0], along*r.along[1] + v*r.right[1]}
}

// layRows fits rows over rings: the first lies phaseM right of the rings'
// leftmost point, as seen along the bearing.
func layRows(rings []orb.Ring, spacingM, bearingRad, phaseM float64) rows {
	sin, cos := math.Sincos(bearingRad)
	r := rows{along: orb.Point{sin, cos}, right: orb.Point{cos, -sin}, spacing: spacingM}
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		for _, p := range ring {
			v := p[0]*r.right[0] + p[1]*r.right[1]
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	r.first = low + phaseM
	if high >= r.first {
		r.count = int((high-r.first)/spacingM) + 1
	}
	return r
}

// room is where straight passes go: inside rings, out of holes. About a hole
// the rings of turns, laid a turning radius further out, say where the middle
// of a turning circle may lie.
type room struct {
	rings   []orb.Ring
	holes   []bool
	turns   []orb.Ring
	radiusM float64
}

// clip fills the set with the rows' stretches inside a room. Each end is drawn
// back by stopM, or run on when it is negative; at a hole it is never run on,
// and drawn back to where the machine can still turn off to one side.
// Stretches shorter than leastM are dropped.
func (l *Lines) clip(r rows, in *room, stopM, leastM float64) {
	l.Stretches = l.Stretches[:0]
	l.cross(r, in.rings, in.holes)
	l.sortCrossings(r.count)
	for row := 0; row < r.count; row++ {
		cut := l.sorted[l.starts[row]:l.starts[row+1]]
		for i := 0; i+1 < len(cut); i += 2 {
			from, to := cut[i].along+stopM, cut[i+1].along-stopM
			if cut[i].hole {
				from = math.Max(cut[i].along+math.Max(stopM, 0), in.turnOff(r, cut[i], 1))
			}
			if cut[i+1].hole {
				to = math.Min(cut[i+1].along-math.Max(stopM, 0), in.turnOff(r, cut[i+1], -1))
			}
			if to-from >= leastM {
				l.Stretches = append(l.Stretches, Stretch{row, r.point(from, int32(row)), r.point(to, int32(row))})
			}
		}
	}
}

// turnOff is how far along a row the machine must keep from a hole, which it
// meets at a crossing, to turn off on the better side. Ahead is +1 when the
// hole lies behind the place and -1 when it lies ahead. The middle of the
// turning circle moves along a line a radius to the side; where that runs
// through a ring of turns about the crossing, it is too near.
func (in *room) turnOff(r rows, at crossing, ahead float64) float64 {
	best := math.Inf(1)
	for _, aside := range [2]float64{-in.radiusM, in.radiusM} {
		v := r.first + float64(at.row)*r.spacing + aside
		past := 0.0
		for _, ring := range in.turns {
			if beyond := leave(r, ring, v, at.along, ahead); beyond > past {
				past = beyond
			}
		}
		best = math.Min(best, past)
	}
	if math.IsInf(best, 1) {
		best = 0
	}
	return at.along + ahead*best
}

// leave is how far one goes along the line at v from a place inside a ring
// until one leaves it; zero when the place is outside.
func leave(r rows, ring orb.Ring, v, along, ahead float64) float64 {
	nearest, crossings := math.Inf(1), 0
	for i := 1; i < len(ring); i++ {
		v1 := ring[i-1][0]*r.right[0] + ring[i-1][1]*r.right[1]
		v2 := ring[i][0]*r.right[0] + ring[i][1]*r.right[1]
		if (v1 <= v) == (v2 <= v) {
			continue
		}
		u1 := ring[i-1][0]*r.along[0] + ring[i-1][1]*r.along[1]
		u2 := ring[i][0]*r.along[0] + ring[i][1]*r.along[1]
		if d := ahead * (u1 + (u2-u1)*(v-v1)/(v2-v1) - along); d > 0 {
			nearest, crossings = math.Min(nearest, d), crossings+1
		}
	}
	if crossings%2 == 0 {
		return 0
	}
	return nearest
}

func (l *Lines) cross(r rows, rings []orb.Ring, holes []bool) {
	l.crossings = l.crossings[:0]
	inverse := 1 / r.spacing
	for k, ring := range rings {
		if len(ring) == 0 {
			continue
		}
		p := ring[0]
		u1, v1 := p[0]*r.along[0]+p[1]*r.along[1], (p[0]*r.right[0]+p[1]*r.right[1]-r.first)*inverse
		for _, p := range ring[1:] {
			u2, v2 := p[0]*r.along[0]+p[1]*r.along[1], (p[0]*r.right[0]+p[1]*r.right[1]-r.first)*inverse
			l.crossEdge(u1, v1, u2, v2, r.count, holes[k])
			u1, v1 = u2, v2
		}
	}
}

// crossEdge adds the crossings of one edge; v is in rows. An edge owns its
// lower end and not its upper one, so that a corner on a row counts once.
func (l *Lines) crossEdge(u1, v1, u2, v2 float64, count int, hole bool) {
	low, high := v1, v2
	if low > high {
		low, high = high, low
	}
	from, to := math.Ceil(low), math.Ceil(high)-1
	if from < 0 {
		from = 0
	}
	if to > float64(count-1) {
		to = float64(count - 1)
	}
	for row := from; row <= to; row++ {
		l.crossings = append(l.crossings, crossing{u1 + (u2-u1)*(row-v1)/(v2-v1), int32(row), hole})
	}
}

// sortCrossings orders the crossings by row and along it: a counting sort by
// row, then insertion within the row's few.
func (l *Lines) sortCrossings(count int) {
	l.starts = append(l.starts[:0], make([]int32, count+1)...)
	for _, c := range l.crossings {
		l.starts[c.row+1]++
	}
	for i := 1; i <= count; i++ {
		l.starts[i] += l.starts[i-1]
	}
	if cap(l.sorted) < len(l.crossings) {
		l.sorted = make([]crossing, len(l.crossings), 2*len(l.crossings))
	}
	l.sorted = l.sorted[:len(l.crossings)]
	for _, c := range l.crossings {
		l.sorted[l.starts[c.row]] = c
		l.starts[c.row]++
	}
	copy(l.starts[1:], l.starts[:count])
	l.starts[0] = 0
	for row := 0; row < count; row++ {
		insertByAlong(l.sorted[l.starts[row]:l.starts[row+1]])
	}
}

func insertByAlong(cut []crossing) {
	for i := 1; i < len(cut); i++ {
		for j := i; j > 0 && cut[j].along < cut[j-1].along; j-- {
			cut[j], cut[j-1] = cut[j-1], cut[j]
		}
	}
}
