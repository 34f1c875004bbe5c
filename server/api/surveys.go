package api

import (
	"github.com/paulmach/orb"

	"evenfall/geo"
	"evenfall/server/record"
)

// measureSurvey takes area and perimeter from the outline where one is sent,
// and the uncertainty too unless it is stated.
func measureSurvey(s *record.Survey) error {
	if len(s.Outline) == 0 {
		return nil
	}
	plot, err := geo.NewPlot("", orb.Polygon(s.Outline))
	if err != nil {
		return inOutline(err)
	}
	s.Outline = record.Outline(plot.Polygon)
	s.AreaM2, s.PerimeterM = plot.AreaM2(), plot.PerimeterM()
	if s.UncertaintyM2 == 0 {
		s.UncertaintyM2 = plot.DrawnUncertaintyM2(geo.CornerSigmaM)
	}
	return nil
}
