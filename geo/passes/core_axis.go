package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// axisPoint is a point of the ground's medial axis: as far from one part of
// the edge as from another, and how far that is in metres.
type axisPoint struct {
	at    orb.Point
	roomM float64
}

// axisStepRad is how finely the rays from a tip are spread, radians.
const axisStepRad = 0.05

// axisWalk goes once round every ring and gives the point of the medial axis
// that each place on it looks at. Neighbours in a walk are neighbours on the
// axis, and each branch is walked along one side and back along the other.
func (g *Ground) axisWalk(stepM float64) [][]axisPoint {
	walls, tips := wallsAndTips(g.polygon, 0, 0)
	walks := make([][]axisPoint, len(g.polygon))
	tipAt := 0
	for i := range walls {
		w := &walls[i]
		n := math.Ceil(w.length / stepM)
		for k := 0.5; k < n; k++ {
			foot := w.point(w.length*k/n, 0)
			walks[w.ring] = append(walks[w.ring], meetAxis(walls, foot, orb.Point{-w.uy, w.ux}, i, i))
		}
		if tipAt < len(tips) && tips[tipAt].before == int32(i) {
			t := &tips[tipAt]
			n := math.Ceil(t.span / axisStepRad)
			for k := 0.5; k < n; k++ {
				sin, cos := math.Sincos(t.phi - t.span*k/n)
				walks[w.ring] = append(walks[w.ring], meetAxis(walls, t.at, orb.Point{cos, sin}, i, int(t.after)))
			}
			tipAt++
		}
	}
	return walks
}

// meetAxis follows a ray from the edge to where some other wall becomes as
// near as the place it left; own walls do not count.
func meetAxis(walls []wall, foot, ray orb.Point, own, also int) axisPoint {
	height := math.Inf(1)
	for j := range walls {
		if j == own || j == also {
			continue
		}
		if h := walls[j].levelWith(foot, ray); h < height {
			height = h
		}
	}
	return axisPoint{orb.Point{foot[0] + height*ray[0], foot[1] + height*ray[1]}, height}
}

// levelWith is the height along a ray at which the wall is as near as the
// ray's foot; infinite when it never is.
func (w *wall) levelWith(foot, ray orb.Point) float64 {
	ax, ay := foot[0]-w.from[0], foot[1]-w.from[1]
	above, climb := ay*w.ux-ax*w.uy, ray[1]*w.ux-ray[0]*w.uy
	least := math.Inf(1)
	for _, h := range [2]float64{above / (1 - climb), -above / (1 + climb)} {
		along := ax*w.ux + ay*w.uy + h*(ray[0]*w.ux+ray[1]*w.uy)
		if h > 0 && h < least && along >= 0 && along <= w.length {
			least = h
		}
	}
	px, py := -ax, -ay
	if ahead := px*ray[0] + py*ray[1]; ahead > 0 {
		least = math.Min(least, (px*px+py*py)/(2*ahead))
	}
	px, py = w.to[0]-foot[0], w.to[1]-foot[1]
	if ahead := px*ray[0] + py*ray[1]; ahead > 0 {
		least = math.Min(least, (px*px+py*py)/(2*ahead))
	}
	return least
}

// nearby answers whether a point lies near any of a set of lines, passing over
// far stretches of them by their boxes.
type nearby struct {
	stretches [][]orb.Point
	boxes     []box
}

// stretchPoints is how many points share a box.
const stretchPoints = 12

func (n *nearby) add(line []orb.Point) {
	for from := 0; from+1 < len(line); from += stretchPoints {
		part := line[from:min(from+stretchPoints+1, len(line))]
		n.stretches, n.boxes = append(n.stretches, part), append(n.boxes, lineBox(part))
	}
}

// gap is the distance from a point to the nearest of the lines, or most when
// none is nearer than that.
func (n *nearby) gap(p orb.Point, most float64) float64 {
	here := box{p[0], p[1], p[0], p[1]}
	for i := range n.boxes {
		if here.apartBy(&n.boxes[i], most) {
			continue
		}
		most = math.Min(most, lineGap(n.stretches[i], p))
	}
	return most
}
