package print

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
)

// view lays ground metres on the paper: turned by turn radians, scaled, moved.
type view struct {
	turn           float64 // counter-clockwise, radians
	scale          float64 // millimetres of paper per metre of ground
	middle         orb.Point
	paperX, paperY float64
}

// A turned drawing costs the reader a look at the north arrow, so north stays
// up unless turning enlarges the drawing by this factor.
const worthTurning = 1.25

// fit finds the view that shows the ring largest inside the box.
func fit(ring orb.Ring, box rect) view {
	best := fitTurned(ring, box, 0)
	upright := best.scale
	for deg := -90; deg < 90; deg += 5 { // so that north never points down
		v := fitTurned(ring, box, float64(deg)*math.Pi/180)
		if v.scale > best.scale && v.scale > worthTurning*upright {
			best = v
		}
	}
	return best
}

func fitTurned(ring orb.Ring, box rect, turn float64) view {
	sin, cos := math.Sincos(turn)
	turned := make(orb.Ring, len(ring))
	for i, p := range ring {
		turned[i] = orb.Point{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos}
	}
	b := turned.Bound()
	w, h := max(b.Right()-b.Left(), 0.1), max(b.Top()-b.Bottom(), 0.1)
	return view{
		turn: turn, scale: min(box.w/w, box.h/h), middle: b.Center(),
		paperX: box.x + box.w/2, paperY: box.y + box.h/2,
	}
}

func (v view) at(p orb.Point) point {
	sin, cos := math.Sincos(v.turn)
	x, y := p[0]*cos-p[1]*sin, p[0]*sin+p[1]*cos
	return point{v.paperX + (x-v.middle[0])*v.scale, v.paperY - (y-v.middle[1])*v.scale}
}

func (v view) line(l []orb.Point) []point {
	out := make([]point, len(l))
	for i, p := range l {
		out[i] = v.at(p)
	}
	return out
}

func (v view) polygon(p orb.Polygon) [][]point {
	out := make([][]point, len(p))
	for i, ring := range p {
		out[i] = v.line(ring)
	}
	return out
}

// meets tells whether a ring touches a box of the paper.
func (v view) meets(ring orb.Ring, r rect) bool {
	onPaper := orb.Ring(paperLine(v.line(ring)))
	bound := orb.Bound{Min: orb.Point{r.x, r.y}, Max: orb.Point{r.x + r.w, r.y + r.h}}
	return len(clip.Ring(bound, onPaper)) > 0
}

// north is the unit vector of north on the paper.
func (v view) north() point { sin, cos := math.Sincos(v.turn); return point{-sin, -cos} }
