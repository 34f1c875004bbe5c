package api

import (
	"context"

	"github.com/paulmach/orb"

	"evenfall/geo"
	"evenfall/geo/intake"
	"evenfall/server/record"
)

// completedSurveys is the shelf of surveys for clients: where an outline is
// sent, the area and the perimeter are measured from it, and so is the
// uncertainty unless it is stated.
type completedSurveys struct{ record.Shelf[record.Survey] }

// Create keeps a survey, measured where it has an outline.
func (c completedSurveys) Create(ctx context.Context, s record.Survey) (record.Survey, error) {
	if err := complete(&s); err != nil {
		return s, err
	}
	return c.Shelf.Create(ctx, s)
}

// Update keeps a changed survey, measured where it has an outline.
func (c completedSurveys) Update(ctx context.Context, s record.Survey) (record.Survey, error) {
	if err := complete(&s); err != nil {
		return s, err
	}
	return c.Shelf.Update(ctx, s)
}

func complete(s *record.Survey) error {
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
		s.UncertaintyM2 = plot.DrawnUncertaintyM2(intake.CornerSigmaM)
	}
	return nil
}
