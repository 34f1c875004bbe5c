package geo

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/tidwall/geodesic"
)

// Frame lays the neighbourhood of an origin flat: metres east and north by the
// azimuthal equidistant projection of the WGS84 ellipsoid. Distances from the
// origin are exact; distances across are too long by (r/R)^2/6, which is
// 0.1 mm per km at 5 km. The zero value has its origin at longitude 0
// latitude 0.
type Frame struct {
	origin orb.Point
}

// NewFrame is the frame around an origin in degrees.
func NewFrame(origin orb.Point) Frame { return Frame{origin} }

// frameStep rounds the origin of a plot's frame, so that the frame stays where
// it is while a corner is moved by a little. Degrees; about 11 m.
const frameStep = 1e-4

// Frame is the plot's own frame: around the middle of its bounds, rounded to
// 0.0001 degrees.
func (p Plot) Frame() Frame {
	if len(p.Polygon) == 0 {
		return Frame{}
	}
	middle := p.Polygon[0].Bound().Center()
	return NewFrame(orb.Point{
		math.Round(middle[0]/frameStep) * frameStep,
		math.Round(middle[1]/frameStep) * frameStep,
	})
}

// Origin is the point at east 0 north 0, in degrees.
func (f Frame) Origin() orb.Point { return f.origin }

// ToLocal turns degrees into metres east and north of the origin.
func (f Frame) ToLocal(p orb.Point) orb.Point {
	var distance, azimuth float64
	geodesic.WGS84.Inverse(f.origin.Lat(), f.origin.Lon(), p.Lat(), p.Lon(), &distance, &azimuth, nil)
	sin, cos := math.Sincos(azimuth * math.Pi / 180)
	return orb.Point{distance * sin, distance * cos}
}

// ToLonLat turns metres east and north into degrees. The longitude is near
// that of the origin, past 180 if need be.
func (f Frame) ToLonLat(p orb.Point) orb.Point {
	var lat, lon float64
	azimuth := math.Atan2(p[0], p[1]) * 180 / math.Pi
	geodesic.WGS84.GenDirect(f.origin.Lat(), f.origin.Lon(), azimuth, geodesic.LongUnroll,
		math.Hypot(p[0], p[1]), &lat, &lon, nil, nil, nil, nil, nil, nil)
	return orb.Point{lon, lat}
}

// LocalLine turns a line of degrees into metres.
func (f Frame) LocalLine(line orb.LineString) orb.LineString { return mapped(line, f.ToLocal) }

// LonLatLine turns a line of metres into degrees.
func (f Frame) LonLatLine(line orb.LineString) orb.LineString { return mapped(line, f.ToLonLat) }

// LocalRing turns a ring of degrees into metres.
func (f Frame) LocalRing(ring orb.Ring) orb.Ring { return mapped(ring, f.ToLocal) }

// LonLatRing turns a ring of metres into degrees.
func (f Frame) LonLatRing(ring orb.Ring) orb.Ring { return mapped(ring, f.ToLonLat) }

// LocalPolygon turns a polygon of degrees into metres.
func (f Frame) LocalPolygon(polygon orb.Polygon) orb.Polygon {
	local := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		local[i] = f.LocalRing(ring)
	}
	return local
}

// LonLatPolygon turns a polygon of metres into degrees.
func (f Frame) LonLatPolygon(polygon orb.Polygon) orb.Polygon {
	degrees := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		degrees[i] = f.LonLatRing(ring)
	}
	return degrees
}

func mapped[P ~[]orb.Point](points P, turn func(orb.Point) orb.Point) P {
	out := make(P, len(points))
	for i, p := range points {
		out[i] = turn(p)
	}
	return out
}
