package door

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo"
)

// plane turns metres of a plot's frame into degrees for drawing. A frame does
// it point by point on the ellipsoid, which for the thousands of points of a
// set of passes takes longer than finding the passes; over ground of a few
// kilometres a second-order surface through six of the frame's own points is
// as good (within a centimetre at 5 km, a micrometre over a plot), and beyond
// that the frame itself is asked.
type plane struct {
	frame geo.Frame
	exact bool
	// Coefficients of 1, x, y, x^2, x y, y^2 for longitude and latitude.
	lon, lat [6]float64
}

// planeMostM is how far from the origin the surface serves.
const planeMostM = 5000.0

func newPlane(frame geo.Frame, ground orb.Bound) plane {
	h := 100.0 // metres; room for turns outside a small plot
	for _, v := range []float64{ground.Min[0], ground.Min[1], ground.Max[0], ground.Max[1]} {
		h = math.Max(h, math.Abs(v))
	}
	p := plane{frame: frame, exact: h > planeMostM}
	if p.exact {
		return p
	}
	zero, corner := frame.ToLonLat(orb.Point{}), frame.ToLonLat(orb.Point{h, h})
	east, west := frame.ToLonLat(orb.Point{h, 0}), frame.ToLonLat(orb.Point{-h, 0})
	north, south := frame.ToLonLat(orb.Point{0, h}), frame.ToLonLat(orb.Point{0, -h})
	for axis, c := range []*[6]float64{&p.lon, &p.lat} {
		c[0] = zero[axis]
		c[1], c[3] = (east[axis]-west[axis])/(2*h), (east[axis]+west[axis]-2*zero[axis])/(2*h*h)
		c[2], c[5] = (north[axis]-south[axis])/(2*h), (north[axis]+south[axis]-2*zero[axis])/(2*h*h)
		c[4] = (corner[axis] - c[0] - (c[1]+c[2])*h - (c[3]+c[5])*h*h) / (h * h)
	}
	return p
}

func (p plane) toLonLat(at orb.Point) orb.Point {
	if p.exact {
		return p.frame.ToLonLat(at)
	}
	x, y := at[0], at[1]
	value := func(c *[6]float64) float64 { return c[0] + x*(c[1]+c[3]*x+c[4]*y) + y*(c[2]+c[5]*y) }
	return orb.Point{value(&p.lon), value(&p.lat)}
}

// degrees lays a line of metres out in one row of longitudes and latitudes.
func (p plane) degrees(line orb.LineString) []float64 {
	row := make([]float64, 0, 2*len(line))
	for _, at := range line {
		d := p.toLonLat(at)
		row = append(row, d[0], d[1])
	}
	return row
}
