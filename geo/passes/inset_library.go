package passes

import (
	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
)

// quarterArcs is how finely the library draws a quarter of a circle.
const quarterArcs = 16

// libraryInset erodes ground by one distance at its outer edge and another
// at its holes, with the general geometry library. It is the judge of, and the
// refuge from, the fast way.
func libraryInset(ground orb.Polygon, outerM, holeM float64) (orb.MultiPolygon, error) {
	left, err := geom.Buffer(libraryPolygon(ground[:1]), -outerM, geom.BufferQuadSegments(quarterArcs))
	if err != nil {
		return nil, err
	}
	for _, hole := range ground[1:] {
		grown, err := geom.Buffer(libraryPolygon(orb.Polygon{hole}), holeM, geom.BufferQuadSegments(quarterArcs))
		if err != nil {
			return nil, err
		}
		if left, err = geom.Difference(left, grown); err != nil {
			return nil, err
		}
	}
	return fromLibrary(left), nil
}

// libraryGrow dilates each polygon by a distance.
func libraryGrow(polygons orb.MultiPolygon, byM float64) (orb.MultiPolygon, error) {
	var grown orb.MultiPolygon
	for _, p := range polygons {
		big, err := geom.Buffer(libraryPolygon(p), byM, geom.BufferQuadSegments(quarterArcs))
		if err != nil {
			return nil, err
		}
		grown = append(grown, fromLibrary(big)...)
	}
	return grown, nil
}

func libraryPolygon(p orb.Polygon) geom.Geometry {
	rings := make([]geom.LineString, len(p))
	for i, ring := range p {
		flat := make([]float64, 0, 2*len(ring))
		for _, at := range ring {
			flat = append(flat, at[0], at[1])
		}
		rings[i] = geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	return geom.NewPolygon(rings).AsGeometry()
}

// fromLibrary keeps the polygons of a result, wound as the house wants them.
func fromLibrary(g geom.Geometry) orb.MultiPolygon {
	var out orb.MultiPolygon
	for _, part := range g.Dump() {
		if p, ok := part.AsPolygon(); ok && !p.IsEmpty() {
			out = append(out, polygonFromLibrary(p))
		}
	}
	return out
}

func polygonFromLibrary(p geom.Polygon) orb.Polygon {
	rings := p.ForceCCW().DumpRings()
	out := make(orb.Polygon, len(rings))
	for i, ring := range rings {
		seq := ring.Coordinates()
		for k := 0; k < seq.Length(); k++ {
			xy := seq.GetXY(k)
			out[i] = append(out[i], orb.Point{xy.X, xy.Y})
		}
	}
	return out
}
