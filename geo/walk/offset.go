package walk

import (
	"fmt"
	"math"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/peterstace/simplefeatures/geom"
)

// mitreLimit lets the offset line run out to the tip of corners down to about
// 30 degrees, the way a driver who keeps his distance leaves them; sharper
// ones are cut.
const mitreLimit = 4.0

// offset moves the outline out (positive) or in by a distance. Moving in can
// leave several pieces, of which the largest stays; moving out can close a
// bay, which becomes a hole.
func offset(outline orb.Ring, distanceM float64) (orb.Polygon, error) {
	if distanceM == 0 {
		return orb.Polygon{outline}, nil
	}
	flat := make([]float64, 0, 2*len(outline))
	for _, p := range outline {
		flat = append(flat, p[0], p[1])
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	moved, err := geom.Buffer(geom.NewPolygon([]geom.LineString{line}).AsGeometry(), distanceM,
		geom.BufferJoinStyleMitre(mitreLimit))
	if err != nil {
		return nil, fmt.Errorf("moving the walked line by %g m: %w", distanceM, err)
	}
	var largest orb.Polygon
	for _, part := range moved.Dump() {
		if p, ok := part.AsPolygon(); ok {
			if candidate := fromGeom(p); planar.Area(candidate) > planar.Area(largest) {
				largest = candidate
			}
		}
	}
	if largest == nil {
		return nil, fault.New("offset_too_large",
			fmt.Sprintf("nothing is left of the plot %.1f m inside the walked line", math.Abs(distanceM)),
			"give a smaller distance").In("offset_m")
	}
	return largest, nil
}

func fromGeom(p geom.Polygon) orb.Polygon {
	var out orb.Polygon
	for _, line := range p.DumpRings() {
		sequence := line.Coordinates()
		ring := make(orb.Ring, sequence.Length())
		for i := range ring {
			xy := sequence.GetXY(i)
			ring[i] = orb.Point{xy.X, xy.Y}
		}
		out = append(out, ring)
	}
	return out
}
