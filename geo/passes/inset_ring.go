package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// link finds for each piece the one that starts where it ends. Mostly that is
// the next in the list; where fronts have met it is sought. It reports false
// when an end meets no start.
func (f *front) link() bool {
	n := len(f.next)
	f.links, f.taken = f.links[:0], f.taken[:0]
	for range n {
		f.links, f.taken = append(f.links, -1), append(f.taken, false)
	}
	for i := 0; i+1 < n; i++ {
		if meet(f.next[i].to, f.next[i+1].from) <= joinM*joinM {
			f.links[i], f.taken[i+1] = int32(i+1), true
		}
	}
	for i := range f.next {
		if f.links[i] < 0 && !f.seek(i) {
			return false
		}
	}
	return true
}

// seek links a piece to the nearest start that is free.
func (f *front) seek(i int) bool {
	best, least := -1, joinM*joinM
	for k := range f.next {
		if gap := meet(f.next[i].to, f.next[k].from); gap <= least && !f.taken[k] {
			best, least = k, gap
		}
	}
	if best >= 0 {
		f.links[i], f.taken[best] = int32(best), true
	}
	return best >= 0
}

// meet is the square of the distance between two ends.
func meet(a, b orb.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	return dx*dx + dy*dy
}

// measure follows the links into rings, leaves out those of no size, and sums
// area and length of the rest, arcs exact.
func (f *front) measure(depth float64) (area, edge float64) {
	f.rings, f.order = f.rings[:0], f.order[:0]
	for i := range f.taken {
		f.taken[i] = false
	}
	for i := range f.next {
		if f.taken[i] {
			continue
		}
		first := int32(len(f.order))
		for k := int32(i); !f.taken[k]; k = f.links[k] {
			f.taken[k] = true
			f.order = append(f.order, k)
		}
		ringArea, ringEdge := f.measureRing(f.order[first:], depth)
		if math.Abs(ringArea) < leastRingM2 {
			f.order = f.order[:first]
			continue
		}
		f.rings = append(f.rings, chain{first, int32(len(f.order)), ringArea})
		area, edge = area+ringArea, edge+ringEdge
	}
	return area, edge
}

func (f *front) measureRing(order []int32, depth float64) (area, edge float64) {
	base := f.next[order[0]].from
	for _, k := range order {
		p := &f.next[k]
		area += ((p.from[0]-base[0])*(p.to[1]-base[1]) - (p.from[1]-base[1])*(p.to[0]-base[0])) / 2
		turn := p.span.hi - p.span.lo
		if p.part >= 0 {
			edge += turn
			continue
		}
		r := depth + f.tips[^p.part].extraM
		area -= r * r * (turn - math.Sin(turn)) / 2
		edge += r * turn
	}
	return area, edge
}

// polygons draws the front as it stands. With a radius it draws the track of
// a machine instead: a radius outside the front, so that where two pieces meet
// at a corner the track rounds it with just that radius.
func (f *front) polygons(radiusM float64) orb.MultiPolygon {
	if len(f.rings) == 0 {
		return nil
	}
	points := make([]orb.Point, 0, f.pointCount(radiusM))
	drawn := make([]orb.Ring, 0, len(f.rings))
	for _, c := range f.rings {
		first := len(points)
		points = f.drawRing(points, f.order[c.from:c.to], radiusM)
		points = append(points, points[first])
		drawn = append(drawn, orb.Ring(points[first:len(points):len(points)]))
	}
	return f.assemble(drawn)
}

// pointCount is about how many points the rings take.
func (f *front) pointCount(radiusM float64) int {
	n := 0
	for _, k := range f.order {
		n += 2
		if p := &f.pieces[k]; p.part < 0 {
			n += int((p.span.hi-p.span.lo)/arcStep(f.radius(p.part)-radiusM)) + 1
		}
	}
	if radiusM > 0 {
		n += int(2*math.Pi/arcStep(radiusM))*len(f.rings) + 2*len(f.order)
	}
	return n + 2*len(f.rings)
}

// radius is how far the front of a part has moved.
func (f *front) radius(part int32) float64 { return f.depth + f.extra(part) }

func (f *front) drawRing(points []orb.Point, order []int32, radiusM float64) []orb.Point {
	n := len(order)
	for i, k := range order {
		p := &f.pieces[k]
		switch {
		case p.part < 0:
			points = f.drawArc(points, p, f.widened(order, i, radiusM), radiusM)
		case radiusM == 0:
			points = append(points, p.from)
		default:
			w, r := &f.walls[p.part], f.radius(p.part)-radiusM
			points = append(points, w.point(p.span.lo+f.widened(order, (i+n-1)%n, radiusM), r))
			points = append(points, w.point(p.span.hi-f.widened(order, (i+1)%n, radiusM), r))
		}
		if radiusM > 0 {
			points = f.drawCorner(points, p, &f.pieces[order[(i+1)%n]], radiusM)
		}
	}
	return points
}

// widened is how far before and after a tip's arc that is tighter than the
// turning radius a bend of that radius has to begin and end. It is zero where
// the arc is wide enough, and where the walls beside it are too short.
func (f *front) widened(order []int32, i int, radiusM float64) float64 {
	n := len(order)
	p := &f.pieces[order[i]]
	if p.part >= 0 || f.radius(p.part) >= 2*radiusM || p.span.lo > 0 || p.span.hi < f.tips[^p.part].span {
		return 0
	}
	trim := (2*radiusM - f.radius(p.part)) * math.Tan(p.span.hi/2)
	for _, k := range [2]int32{order[(i+n-1)%n], order[(i+1)%n]} {
		if q := &f.pieces[k]; q.part < 0 || q.span.hi-q.span.lo < 2*trim {
			return 0
		}
	}
	return trim
}

// drawArc draws a tip's piece, its end left to the piece that follows unless a
// corner comes between. A widened one has the turning radius, about a point so
// far behind the tip that it still touches the fronts of both walls.
func (f *front) drawArc(points []orb.Point, p *piece, widened, radiusM float64) []orb.Point {
	t := &f.tips[^p.part]
	centre, r := t.at, f.radius(p.part)-radiusM
	angle := p.span.hi - p.span.lo
	if widened > 0 {
		sin, cos := math.Sincos(t.phi - angle/2)
		back := (radiusM - r) / math.Cos(angle/2)
		centre, r = orb.Point{centre[0] - back*cos, centre[1] - back*sin}, radiusM
	}
	n := int(math.Ceil(angle / arcStep(r)))
	y, x := math.Sincos(t.phi - p.span.lo)
	sin, cos := math.Sincos(-angle / float64(n))
	for range n {
		points = append(points, orb.Point{centre[0] + r*x, centre[1] + r*y})
		x, y = x*cos-y*sin, x*sin+y*cos
	}
	if radiusM > 0 {
		points = append(points, orb.Point{centre[0] + r*x, centre[1] + r*y})
	}
	return points
}

// drawCorner rounds the corner between two pieces about their meeting point.
func (f *front) drawCorner(points []orb.Point, p, q *piece, radiusM float64) []orb.Point {
	px, py := f.outward(p.part, p.span.hi)
	qx, qy := f.outward(q.part, q.span.lo)
	turn := math.Atan2(px*qy-py*qx, px*qx+py*qy)
	n := int(math.Ceil(turn / arcStep(radiusM)))
	sin, cos := math.Sincos(turn / float64(n))
	for k := 1; k < n; k++ {
		px, py = px*cos-py*sin, px*sin+py*cos
		points = append(points, orb.Point{p.to[0] + radiusM*px, p.to[1] + radiusM*py})
	}
	return points
}

// outward is the unit vector from a part's front back to what it left.
func (f *front) outward(part int32, along float64) (x, y float64) {
	if part >= 0 {
		return f.walls[part].uy, -f.walls[part].ux
	}
	sin, cos := math.Sincos(f.tips[^part].phi - along)
	return -cos, -sin
}

// assemble puts rings that run clockwise into the smallest ring around them.
func (f *front) assemble(drawn []orb.Ring) orb.MultiPolygon {
	var out orb.MultiPolygon
	var sizes []float64
	for i, c := range f.rings {
		if c.area > 0 {
			out, sizes = append(out, orb.Polygon{drawn[i]}), append(sizes, c.area)
		}
	}
	for i, c := range f.rings {
		if c.area > 0 {
			continue
		}
		if home := f.homeOf(c, out, sizes); home >= 0 {
			out[home] = append(out[home], drawn[i])
		}
	}
	return out
}

func (f *front) homeOf(hole chain, outers orb.MultiPolygon, sizes []float64) int {
	home, least, at := -1, math.Inf(1), f.pieces[f.order[hole.from]].from
	for k := range outers {
		if sizes[k] < least && sizes[k] > -hole.area && (len(outers) == 1 || within(outers[k][0], at)) {
			home, least = k, sizes[k]
		}
	}
	return home
}
