package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// cutByPoint adds where the front of the tip, r about it, lies nearer than rho
// to a point: an arc centred on the point's direction.
func (t *tip) cutByPoint(cuts []span, p orb.Point, r, rho float64) []span {
	dx, dy := p[0]-t.at[0], p[1]-t.at[1]
	q := math.Hypot(dx, dy)
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
	toward, turn := math.Atan2(b.ux, -b.uy), -1.0
	if offset < 0 {
		offset, toward, turn = -offset, math.Atan2(-b.ux, b.uy), 1
	}
	if end > 0 {
		cuts = t.cutByHalf(cuts, offset, math.Max(start, 0), end, toward, turn, r, rho)
	}
	if start < 0 {
		cuts = t.cutByHalf(cuts, offset, math.Max(-end, 0), -start, toward, -turn, r, rho)
	}
	return cuts
}

// cutByHalf handles the part of a wall between near and far along it from the
// tip's foot, which lies at an offset in the direction toward; turn is +1 when
// the part runs counter-clockwise from there. The covered arc ends where a
// disc of radius rho about the front touches the wall from one side, or at
// what one end of the part covers.
func (t *tip) cutByHalf(cuts []span, offset, near, far, toward, turn, r, rho float64) []span {
	arc := span{math.Inf(1), math.Inf(-1)}
	for _, along := range [2]float64{near, far} {
		if half, ok := halfAngle(math.Hypot(offset, along), r, rho); ok {
			mid := math.Atan2(along, offset)
			arc.widen(mid - half)
			arc.widen(mid + half)
		}
	}
	if c := (offset - rho) / r; c > -1 && c < 1 {
		if foot := r * math.Sqrt(1-c*c); foot >= near && foot <= far {
			arc.widen(math.Acos(c))
		}
	}
	if c := (offset + rho) / r; c < 1 {
		if foot := r * math.Sqrt(1-c*c); foot >= near && foot <= far {
			arc.widen(math.Acos(c))
		}
	}
	if arc.lo >= arc.hi {
		return cuts
	}
	if turn > 0 {
		return append(cuts, span{t.phi - toward - arc.hi, t.phi - toward - arc.lo})
	}
	return append(cuts, span{t.phi - toward + arc.lo, t.phi - toward + arc.hi})
}
