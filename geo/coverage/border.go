package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

// corner is a point to the micrometre, so that equal points have equal keys.
type corner struct{ x, y int64 }

const perMetre = 1e6

func cornerOf(n node) corner {
	return corner{int64(math.Round(n.x * perMetre)), int64(math.Round(n.y * perMetre))}
}

func (c corner) point() orb.Point {
	return orb.Point{float64(c.x) / perMetre, float64(c.y) / perMetre}
}

// border gathers the directed edges of pieces that lie side by side, ground on
// the left; an edge and its reverse cancel.
type border struct {
	edges [][2]corner // in the order they came; cancelled ones are marked
	dead  []bool
	at    map[[2]corner][]int
}

func newBorder() *border { return &border{at: map[[2]corner][]int{}} }

func (b *border) add(piece []node) {
	if len(piece) < 3 {
		return
	}
	for i := range piece {
		from, to := cornerOf(piece[i]), cornerOf(piece[(i+1)%len(piece)])
		if from == to {
			continue
		}
		back := b.at[[2]corner{to, from}]
		if n := len(back); n > 0 {
			b.dead[back[n-1]] = true
			b.at[[2]corner{to, from}] = back[:n-1]
			continue
		}
		key := [2]corner{from, to}
		b.at[key] = append(b.at[key], len(b.edges))
		b.edges, b.dead = append(b.edges, key), append(b.dead, false)
	}
}

// polygons follows the edges round into rings and puts each hole into the
// smallest ring around it.
func (b *border) polygons() orb.MultiPolygon {
	from := map[corner][]int{}
	for i, e := range b.edges {
		if !b.dead[i] {
			from[e[0]] = append(from[e[0]], i)
		}
	}
	var outer, holes []orb.Ring
	for i := range b.edges {
		if b.dead[i] {
			continue
		}
		ring := b.follow(i, from)
		switch area := ringArea(ring); {
		case area > 0:
			outer = append(outer, ring)
		case area < 0:
			holes = append(holes, ring)
		}
	}
	return nested(outer, holes)
}

// follow takes the sharpest left turn at every corner where rings touch, so
// that no ring touches itself.
func (b *border) follow(i int, from map[corner][]int) orb.Ring {
	start := b.edges[i][0]
	ring := orb.Ring{start.point()}
	for {
		b.dead[i] = true
		e := b.edges[i]
		if e[1] == start {
			return straightened(append(ring, start.point()))
		}
		ring = append(ring, e[1].point())
		next, best := -1, math.Inf(-1)
		for _, k := range from[e[1]] {
			if turn := turnOf(e, b.edges[k]); !b.dead[k] && turn > best {
				next, best = k, turn
			}
		}
		if next < 0 {
			return nil // the edges of closed pieces always go on
		}
		i = next
	}
}

func turnOf(e, f [2]corner) float64 {
	ax, ay := float64(e[1].x-e[0].x), float64(e[1].y-e[0].y)
	bx, by := float64(f[1].x-f[0].x), float64(f[1].y-f[0].y)
	return math.Atan2(ax*by-ay*bx, ax*bx+ay*by)
}

// straightened drops corners that lie on the line between their neighbours, to
// a few micrometres.
func straightened(ring orb.Ring) orb.Ring {
	n := len(ring) - 1
	out := make(orb.Ring, 0, len(ring))
	for i := range n {
		before, here, after := ring[(i+n-1)%n], ring[i], ring[i+1]
		if len(out) > 0 {
			before = out[len(out)-1]
		}
		cross := (here[0]-before[0])*(after[1]-here[1]) - (here[1]-before[1])*(after[0]-here[0])
		if math.Abs(cross) > 3e-6*math.Hypot(after[0]-before[0], after[1]-before[1]) {
			out = append(out, here)
		}
	}
	if len(out) < 3 {
		return nil
	}
	return append(out, out[0])
}

func ringArea(ring orb.Ring) float64 {
	twice := 0.0
	for i := 1; i+1 < len(ring); i++ {
		twice += (ring[i][0]-ring[0][0])*(ring[i+1][1]-ring[0][1]) - (ring[i][1]-ring[0][1])*(ring[i+1][0]-ring[0][0])
	}
	return twice / 2
}

func areaOf(polygons orb.MultiPolygon) float64 {
	sum := 0.0
	for _, p := range polygons {
		for _, ring := range p {
			sum += ringArea(ring)
		}
	}
	return sum
}

// nested puts each hole into the smallest outer ring that holds one of its
// edges' middles.
func nested(outer, holes []orb.Ring) orb.MultiPolygon {
	polygons := make(orb.MultiPolygon, len(outer))
	for i, ring := range outer {
		polygons[i] = orb.Polygon{ring}
	}
	for _, hole := range holes {
		at := orb.Point{(hole[0][0] + hole[1][0]) / 2, (hole[0][1] + hole[1][1]) / 2}
		best, least := -1, math.Inf(1)
		for i, ring := range outer {
			if area := ringArea(ring); area < least && inRing(ring, at) {
				best, least = i, area
			}
		}
		if best >= 0 {
			polygons[best] = append(polygons[best], hole)
		}
	}
	return polygons
}

func inRing(ring orb.Ring, at orb.Point) bool {
	odd := false
	for _, x := range crossRing(nil, ring, at[1]) {
		if x > at[0] {
			odd = !odd
		}
	}
	return odd
}
