package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// turned is a rotation about a point: it lays a plot along its own axis, so
// that turning the plot on the map turns the plan with it and the cells of the
// raster always lie the same way to the plot.
type turned struct {
	sin, cos float64
	about    orb.Point
}

// ownAxis lays the long side of the narrowest strip that holds the plot along
// x. Of the two ways round it takes the one with the centroid to the west of the
// middle of the bounds.
func ownAxis(polygon orb.Polygon) turned {
	bearing, _ := axisOf(polygon[0])
	sin, cos := math.Sincos(bearing)
	t := turned{sin: cos, cos: sin} // the axis points along (sin, cos)
	bounds := t.bounds(polygon[0])
	if t.exactly(centroid(polygon[0]))[0] > bounds.Center()[0] {
		t.sin, t.cos = -t.sin, -t.cos
		bounds = t.bounds(polygon[0])
	}
	t.about = t.back(bounds.Center())
	return t
}

// bearing is one of the map in the plot's own frame.
func (t turned) bearing(rad float64) float64 { return rad + math.Atan2(t.sin, t.cos) }

// bounds are the bounds of a ring, turned.
func (t turned) bounds(ring orb.Ring) orb.Bound {
	first := t.exactly(ring[0])
	b := orb.Bound{Min: first, Max: first}
	for _, p := range ring {
		b = b.Extend(t.exactly(p))
	}
	return b
}

func centroid(ring orb.Ring) orb.Point {
	var x, y, twice float64
	for i := 1; i+1 < len(ring); i++ {
		a := orb.Point{ring[i][0] - ring[0][0], ring[i][1] - ring[0][1]}
		b := orb.Point{ring[i+1][0] - ring[0][0], ring[i+1][1] - ring[0][1]}
		cross := a[0]*b[1] - a[1]*b[0]
		x, y, twice = x+cross*(a[0]+b[0]), y+cross*(a[1]+b[1]), twice+cross
	}
	return orb.Point{ring[0][0] + x/(3*twice), ring[0][1] + y/(3*twice)}
}

// ownStep is the grid of the plot's own frame, metres. A micrometre is far
// below any survey and far above roundoff, so that a turned plot has the very
// same corners there and the search takes the very same way.
const ownStep = 1e-6

// to takes a point of the map to the plot's own frame, back the other way.
func (t turned) to(p orb.Point) orb.Point {
	q := t.exactly(p)
	return orb.Point{math.Round(q[0]/ownStep) * ownStep, math.Round(q[1]/ownStep) * ownStep}
}

func (t turned) exactly(p orb.Point) orb.Point {
	x, y := p[0]-t.about[0], p[1]-t.about[1]
	return orb.Point{x*t.cos + y*t.sin, y*t.cos - x*t.sin}
}

func (t turned) back(p orb.Point) orb.Point {
	return orb.Point{p[0]*t.cos - p[1]*t.sin + t.about[0], p[0]*t.sin + p[1]*t.cos + t.about[1]}
}

func (t turned) all(polygon orb.Polygon) orb.Polygon {
	out := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		out[i] = orb.Ring(t.line(orb.LineString(ring)))
	}
	return out
}

func (t turned) line(line orb.LineString) orb.LineString {
	out := make(orb.LineString, len(line))
	for i, p := range line {
		out[i] = t.to(p)
	}
	return out
}

func (t turned) lineBack(line orb.LineString) orb.LineString {
	if line == nil {
		return nil
	}
	out := make(orb.LineString, len(line))
	for i, p := range line {
		out[i] = t.back(p)
	}
	return out
}

// planBack turns a plan made in the plot's own frame to the map.
func (t turned) planBack(p Plan) Plan {
	passes, travel := make([]Pass, len(p.Passes)), make([]orb.LineString, len(p.Travel))
	for i, pass := range p.Passes {
		pass.Line = t.lineBack(pass.Line)
		if !pass.Closed {
			pass.Direction = CompassWord(pass.Line[0], pass.Line[len(pass.Line)-1])
		}
		passes[i] = pass
	}
	for i, line := range p.Travel {
		travel[i] = t.lineBack(line)
	}
	p.Passes, p.Travel = passes, travel
	return p
}
