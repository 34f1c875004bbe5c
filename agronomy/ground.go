package agronomy

import (
	"evenfall/geo/passes"
)

// ground describes the plot as it was measured and lays it flat.
func ground(p Plot) Ground {
	frame := p.Frame()
	g := Ground{
		Outline: p.Polygon, Origin: frame.Origin(), Local: frame.LocalPolygon(p.Polygon),
		AreaM2: p.Survey.AreaM2, SpreadM2: p.Survey.AreaM2, PerimeterM: p.PerimeterM(), UncertaintyM2: p.Survey.UncertaintyM2,
		Method: p.Survey.Method, MeasuredOn: p.Survey.Date,
	}
	for _, k := range p.KeepOff {
		g.KeepOff = append(g.KeepOff, passes.KeepOff{
			Name: k.Name, Line: frame.LocalLine(k.Line), DistanceM: float64(k.Distance),
		})
	}
	return g
}
