package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// wall is one straight edge of the ground, interior on its left. ExtraM is
// added to the depth of an inset to give how far the front of this wall has
// moved: holes may ask for more room than the edge.
type wall struct {
	from, to orb.Point
	ux, uy   float64 // unit vector from -> to; the inward normal is (-uy, ux)
	length   float64
	normal   float64 // the direction of the inward normal, radians
	extraM   float64
	box      box
	ring     int32
}

// tip is a corner that pokes into the ground (a reflex corner of the edge, a
// convex one of a hole). Its front is an arc about it: from the normal of the
// wall before, clockwise through span, to the normal of the wall after.
type tip struct {
	at            orb.Point
	phi, span     float64 // radians
	extraM        float64
	wallM         float64 // the extra of its two walls
	before, after int32
}

// slack is how far the arc of a tip that keeps more room than its walls runs
// on past their normals before it meets their fronts.
func (t *tip) slack(depth float64) float64 {
	if t.extraM <= t.wallM {
		return 0
	}
	return math.Acos((depth + t.wallM) / (depth + t.extraM))
}

type box struct{ west, south, east, north float64 }

// apartBy says whether two boxes are further apart than r along an axis.
func (b *box) apartBy(c *box, r float64) bool {
	return b.west > c.east+r || c.west > b.east+r || b.south > c.north+r || c.south > b.north+r
}

func (b *box) add(c box) {
	b.west, b.south = math.Min(b.west, c.west), math.Min(b.south, c.south)
	b.east, b.north = math.Max(b.east, c.east), math.Max(b.north, c.north)
}

func boxOf(p, q orb.Point) box {
	b := box{p[0], p[1], q[0], q[1]}
	if b.west > b.east {
		b.west, b.east = b.east, b.west
	}
	if b.south > b.north {
		b.south, b.north = b.north, b.south
	}
	return b
}

// leastTipRad is the change of heading below which a corner needs no arc: at
// 50 m it is worth 5 micrometres.
const leastTipRad = 1e-7

// wallsAndTips takes the rings apart. HoleM is the extra room of holes, tipM
// that of the edge's tips.
func wallsAndTips(rings orb.Polygon, holeM, tipM float64) ([]wall, []tip) {
	n := corners(rings)
	walls, tips := make([]wall, 0, n), make([]tip, 0, n)
	extra, tipExtra := 0.0, tipM
	for r, ring := range rings {
		first := len(walls)
		for i := 1; i < len(ring); i++ {
			walls = append(walls, newWall(ring[i-1], ring[i], extra, r))
		}
		for i := first; i < len(walls); i++ {
			next := i + 1
			if next == len(walls) {
				next = first
			}
			if t := tipBetween(walls, i, next, tipExtra); t.span > leastTipRad {
				tips = append(tips, t)
			}
		}
		extra, tipExtra = holeM, holeM
	}
	return walls, tips
}

func newWall(from, to orb.Point, extraM float64, ring int) wall {
	length := apart(from, to)
	return wall{
		from: from, to: to, length: length, extraM: extraM, ring: int32(ring),
		ux: (to[0] - from[0]) / length, uy: (to[1] - from[1]) / length,
		normal: math.Atan2(to[0]-from[0], from[1]-to[1]), box: boxOf(from, to),
	}
}

// tipBetween is the tip between two walls; its span is negative when the
// corner does not poke into the ground.
func tipBetween(walls []wall, before, after int, extraM float64) tip {
	a, b := &walls[before], &walls[after]
	return tip{
		at: a.to, phi: a.normal, span: -math.Atan2(a.ux*b.uy-a.uy*b.ux, a.ux*b.ux+a.uy*b.uy),
		extraM: extraM, wallM: a.extraM, before: int32(before), after: int32(after),
	}
}

// span is a stretch of a front's parameter: metres along a wall, radians
// clockwise about a tip.
type span struct{ lo, hi float64 }

// cutByWall is where the front of wall w, moved in by r, lies nearer than rho
// to wall b. The points near a wall form a stadium, which is convex, so that a
// line meets it in one stretch at most: between the outermost of its crossings
// with the two end discs and the two long sides.
func (w *wall) cutByWall(b *wall, r, rho float64) (cut span, ok bool) {
	ax, ay := b.from[0]-w.from[0], b.from[1]-w.from[1]
	x1, h1 := ax*w.ux+ay*w.uy, ay*w.ux-ax*w.uy-r
	cx, cy := b.ux*w.ux+b.uy*w.uy, b.uy*w.ux-b.ux*w.uy
	x2, h2 := x1+b.length*cx, h1+b.length*cy
	if (h1 >= rho && h2 >= rho) || (h1 <= -rho && h2 <= -rho) {
		return cut, false
	}
	cut = span{math.Inf(1), math.Inf(-1)}
	if q := rho*rho - h1*h1; q > 0 {
		s := math.Sqrt(q)
		cut = span{x1 - s, x1 + s}
	}
	if q := rho*rho - h2*h2; q > 0 {
		s := math.Sqrt(q)
		cut.widen(x2 - s)
		cut.widen(x2 + s)
	}
	if math.Abs(cy) > parallelSin {
		cut.widenAtSide(x1, h1, cx, cy, b.length, rho)
		cut.widenAtSide(x1, h1, cx, cy, b.length, -rho)
	}
	return cut, cut.lo < cut.hi
}

// parallelSin is the sine of the angle below which two walls count as
// parallel: the long sides of a stadium then never decide where a cut ends.
const parallelSin = 1e-9

// widenAtSide adds the crossing with the long side of the stadium that lies
// rho to the left of a wall through (x1, h1) along (cx, cy).
func (c *span) widenAtSide(x1, h1, cx, cy, length, rho float64) {
	dx := -(cx*h1 + rho) / cy
	if foot := dx*cx - h1*cy; foot >= 0 && foot <= length {
		c.widen(x1 + dx)
	}
}

func (c *span) widen(x float64) {
	if x < c.lo {
		c.lo = x
	}
	if x > c.hi {
		c.hi = x
	}
}

// cutByDisc is where the front of wall w, moved in by r, lies nearer than rho
// to a point.
func (w *wall) cutByDisc(p orb.Point, r, rho float64) (cut span, ok bool) {
	ax, ay := p[0]-w.from[0], p[1]-w.from[1]
	x, h := ax*w.ux+ay*w.uy, ay*w.ux-ax*w.uy-r
	q := rho*rho - h*h
	if q <= 0 {
		return cut, false
	}
	s := math.Sqrt(q)
	return span{x - s, x + s}, true
}
