package geo

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/tidwall/geodesic"
)

// AreaM2 is the area on the WGS84 ellipsoid in square metres, holes
// subtracted, every edge taken as a geodesic. Source of the method: Karney,
// Algorithms for geodesics, J. Geodesy 87 (2013).
func (p Plot) AreaM2() float64 {
	area := 0.0
	for i, ring := range p.Polygon {
		ringArea, _ := ringMeasure(ring)
		if i == 0 {
			area = math.Abs(ringArea)
		} else {
			area -= math.Abs(ringArea)
		}
	}
	return area
}

// PerimeterM is the length of the outer ring on the WGS84 ellipsoid in
// metres. The edges of holes are not part of it.
func (p Plot) PerimeterM() float64 {
	if len(p.Polygon) == 0 {
		return 0
	}
	_, perimeter := ringMeasure(p.Polygon[0])
	return perimeter
}

// ringMeasure is the signed area in square metres, positive counter-clockwise,
// and the length in metres of a closed ring.
func ringMeasure(ring orb.Ring) (areaM2, lengthM float64) {
	if len(ring) == 0 {
		return 0, 0
	}
	walk := geodesic.WGS84.PolygonInit(false)
	for _, p := range ring[:len(ring)-1] {
		walk.AddPoint(p.Lat(), p.Lon())
	}
	walk.Compute(false, true, &areaM2, &lengthM)
	return areaM2, lengthM
}

// DistanceM is the length of the geodesic between two points in metres.
func DistanceM(a, b orb.Point) float64 {
	var s float64
	geodesic.WGS84.Inverse(a.Lat(), a.Lon(), b.Lat(), b.Lon(), &s, nil, nil)
	return s
}
