package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// cutByPoint adds where the front of the tip, r about it, lies nearer than rho
// to a point: an arc centred on the point's direction.
func (t *tip) cutByPoint(cuts []span, p orb.Point, r, rho float64) []span {
	dx, dy := p[0]-t.at[0], p[1]-t.at[1]
	q := math.Sqrt(dx*dx + dy*dy)
	if q >= r+rho {
		return cuts
	}
	half, ok := halfAngle(q, r, rho)
	if !ok {
		return cuts
	}
	mid := math.Atan2(dy, dx)
	return append(cuts, span{t.phi - mid - half, t.phi - mid + half})
}

// halfAngle is half the angle, seen from the centre, of the part of a circle
// of radius r that a disc of radius rho at distance q covers.
func halfAngle(q, r, rho float64) (half float64, ok bool) {
	over := r*r + q*q - rho*rho
	switch {
	case over >= 2*r*q:
		return 0, false
	case over <= -2*r*q:
		return math.Pi, true
	}
	return math.Acos(over / (2 * r * q)), true
}

// cutByWall adds where the front of the tip, r about it, lies nearer than rho
// to a wall. Each half of the wall, from the foot of the tip outward, covers
// one arc.
func (t *tip) cutByWall(cuts []span, b *wall, r, rho float64) []span {
	dx, dy := b.from[0]-t.at[0], b.from[1]-t.at[1]
	start := dx*b.ux + dy*b.uy // of the wall, measured from the tip's foot
	end := start + b.length
	offset := dy*b.ux - dx*b.uy // positive when the wall lies left of the tip, seen along it
	reach := r + rho
	if math.Abs(offset) >= reach || start >= reach || end <= -reach {
		return cuts
	}
	toward, turn := b.normal, -1.0
	if offset < 0 {
		offset, toward, turn = -offset, b.normal+math.Pi, 1
	}
	if end > 0 {
		cuts = t.cutByHalf(cuts, half{offset, math.Max(start, 0), end}, toward, turn, r, rho)
	}
	if start < 0 {
		cuts = t.cutByHalf(cuts, half{offset, math.Max(-end, 0), -start}, toward, -turn, r, rho)
	}
	return cuts
}

// half is the part of a wall on one side of a tip's foot on its line: the
// distance to that line, and from where to where along it.
type half struct{ offset, near, far float64 }

// cutByHalf adds the arc that one half of a wall covers. Toward is the
// direction of the foot; turn is +1 when the half runs counter-clockwise from
// there.
func (t *tip) cutByHalf(cuts []span, h half, toward, turn, r, rho float64) []span {
	arc := span{math.Inf(1), math.Inf(-1)}
	if rho >= r {
		h.cover(&arc, r, rho)
	} else {
		h.coverLess(&arc, r, rho)
	}
	if arc.lo >= arc.hi {
		return cuts
	}
	if turn > 0 {
		return append(cuts, span{t.phi - toward - arc.hi, t.phi - toward - arc.lo})
	}
	return append(cuts, span{t.phi - toward + arc.lo, t.phi - toward + arc.hi})
}

// cover is the arc, as angles from the foot, when the wall keeps at least the
// tip's distance. Then the near end decides where it begins; it ends where a
// disc of radius rho about the front touches the half, or at what the end
// nearest to that covers.
func (h half) cover(arc *span, r, rho float64) {
	if h.near > 0 {
		if !h.coverEnd(arc, h.near, r, rho) {
			return
		}
	} else {
		*arc = span{0, math.Pi}
	}
	c := (h.offset - rho) / r
	if c <= -1 {
		return
	}
	switch foot := r * math.Sqrt(1-c*c); {
	case foot > h.far:
		arc.hi = math.Inf(-1)
		h.coverEnd(arc, h.far, r, rho)
	case foot >= h.near:
		arc.hi = math.Acos(c)
	}
}

// coverLess is the same when the wall keeps less: a near part of the half may
// then cover nothing, so that every bound is tried.
func (h half) coverLess(arc *span, r, rho float64) {
	h.coverEnd(arc, h.near, r, rho)
	h.coverEnd(arc, h.far, r, rho)
	for _, touch := range [2]float64{h.offset - rho, h.offset + rho} {
		if c := touch / r; c > -1 && c < 1 {
			if foot := r * math.Sqrt(1-c*c); foot >= h.near && foot <= h.far {
				arc.widen(math.Acos(c))
			}
		}
	}
}

// coverEnd widens the arc by what the point so far along the half covers.
func (h half) coverEnd(arc *span, along, r, rho float64) bool {
	angle, ok := halfAngle(math.Sqrt(h.offset*h.offset+along*along), r, rho)
	if ok {
		mid := math.Atan2(along, h.offset)
		arc.widen(mid - angle)
		arc.widen(mid + angle)
	}
	return ok
}
