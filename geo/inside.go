package geo

import (
	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
)

// Inside is a point of degrees well within the plot, and in none of its holes,
// where its name may stand: the middle of the widest stretch about halfway up.
func (p Plot) Inside() orb.Point {
	lines := make([]geom.LineString, len(p.Polygon))
	for i, ring := range p.Polygon {
		lines[i] = lineOf(ring)
	}
	at, _ := geom.NewPolygon(lines).PointOnSurface().XY()
	return orb.Point{at.X, at.Y}
}

// lineOf is a closed ring as the geometry library has it.
func lineOf(ring orb.Ring) geom.LineString {
	flat := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		flat = append(flat, p[0], p[1])
	}
	return geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
}
