package api

import (
	"context"
	"reflect"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

// measuredPlots is the shelf of plots for clients: what they send is checked
// and measured, and every outline is kept with its survey.
type measuredPlots struct {
	record.PlotShelf
	today func() string
}

// Create keeps a plot and, when it has an outline, the survey of it.
func (m measuredPlots) Create(ctx context.Context, p record.Plot) (record.Plot, error) {
	measured, err := m.measure(p)
	if err != nil {
		return p, err
	}
	made, err := m.CreateAll(ctx, []record.MeasuredPlot{measured})
	if err != nil {
		return p, err
	}
	return made[0], nil
}

// Update keeps a changed plot; a new outline adds a survey, which is then the
// one in use. A plot does not lose its outline again.
func (m measuredPlots) Update(ctx context.Context, p record.Plot) (record.Plot, error) {
	measured, err := m.measure(p)
	if err != nil {
		return p, err
	}
	before, err := m.Get(ctx, p.ID)
	if err != nil {
		return p, err
	}
	if len(p.Outline) == 0 && len(before.Outline) > 0 {
		return p, fault.New("outline_missing", "the plot has an outline and the change would drop it",
			"send the outline along").In("outline")
	}
	if reflect.DeepEqual(measured.Plot.Outline, before.Outline) {
		measured.Survey = nil
	}
	return m.PlotShelf.Update(ctx, measured)
}

// measure checks a plot and brings its outline into the form that is kept.
func (m measuredPlots) measure(p record.Plot) (record.MeasuredPlot, error) {
	if err := checkOptions(p.Driver); err != nil {
		return record.MeasuredPlot{}, err
	}
	if len(p.Outline) == 0 {
		return record.MeasuredPlot{Plot: p}, nil
	}
	plot, err := geo.NewPlot(p.Name, orb.Polygon(p.Outline))
	if err != nil {
		return record.MeasuredPlot{}, inOutline(err)
	}
	return outlined(p, plot, plot.Survey(geo.Drawn, m.today(), geo.CornerSigmaM)), nil
}

// outlined is the plot with that outline and that survey of it.
func outlined(p record.Plot, plot geo.Plot, survey geo.Survey) record.MeasuredPlot {
	p.Outline = record.Outline(plot.Polygon)
	return record.MeasuredPlot{Plot: p, Survey: &record.Survey{Survey: survey, Outline: p.Outline}}
}

func inOutline(err error) error {
	if found, ok := fault.From(err); ok && found.Where.Field == "" {
		found.Where.Field = "outline"
	}
	return err
}

// plotToPrepare is the plot as agronomy takes it. A plot without an outline
// cannot be driven.
func plotToPrepare(found record.SurveyedPlot) (agronomy.Plot, error) {
	used := found.InUse()
	if len(found.Plot.Outline) == 0 || used == nil {
		return agronomy.Plot{}, fault.New("no_outline", "the plot has no outline yet",
			"draw, walk or upload one").Of(fault.Refused)
	}
	plot := agronomy.Plot{
		Plot:     geo.Plot{Name: found.Plot.Name, Polygon: orb.Polygon(found.Plot.Outline)},
		Property: found.Property.Name,
		Survey:   used.Survey,
		KeepOff:  found.Plot.KeepOff,
	}
	for _, s := range found.Surveys {
		plot.Surveys = append(plot.Surveys, s.Survey)
	}
	return plot, nil
}
