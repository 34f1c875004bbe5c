package record

import (
	"context"

	"github.com/paulmach/orb"
)

// Query narrows a list. Zero fields do not narrow. After is the id that the
// last page ended with.
type Query struct {
	PropertyID string     // plots
	PlotID     string     // surveys, sheets
	Box        *orb.Bound // plots whose outline's box meets it, degrees
	After      string
	Limit      int
}

// Page is one part of a list, oldest record first. Total counts all that the
// query matches; Next is the After of the next page, empty on the last.
type Page[T any] struct {
	Items []T
	Total int
	Next  string
}

// Shelf keeps the records of one kind. Every method is one transaction. An
// update or a deletion names the revision it was made from; when that has
// passed nothing changes and the fault is of kind Conflict.
type Shelf[T any] interface {
	List(ctx context.Context, q Query) (Page[T], error)
	Get(ctx context.Context, id string) (T, error)
	Create(ctx context.Context, r T) (T, error)
	Update(ctx context.Context, r T) (T, error)
	Delete(ctx context.Context, id string, revision int64) error
}

// MeasuredPlot is a plot with the survey that measured it. The survey's plot
// is filled in on creation, and it is in use.
type MeasuredPlot struct {
	Plot   Plot
	Survey *Survey // nil while the plot has no outline
}

// SurveyedPlot is a plot, its property and every survey of it, oldest first.
type SurveyedPlot struct {
	Plot     Plot
	Property Property
	Surveys  []Survey
}

// InUse is the survey in use, nil when the plot has none yet.
func (p SurveyedPlot) InUse() *Survey {
	for i := range p.Surveys {
		if p.Surveys[i].InUse {
			return &p.Surveys[i]
		}
	}
	return nil
}

// PlotShelf keeps plots. Each method changes plots and their surveys in one
// transaction: all of it is kept, or none.
type PlotShelf interface {
	List(ctx context.Context, q Query) (Page[Plot], error)
	Get(ctx context.Context, id string) (Plot, error)
	CreateAll(ctx context.Context, plots []MeasuredPlot) ([]Plot, error)
	// Update keeps the survey, when there is one, as a new survey in use.
	Update(ctx context.Context, p MeasuredPlot) (Plot, error)
	// Delete also deletes the plot's surveys; a plot with sheets is refused.
	Delete(ctx context.Context, id string, revision int64) error
	// Surveyed is the plot with all that was measured, read at one moment.
	Surveyed(ctx context.Context, id string) (SurveyedPlot, error)
}

// Store keeps everything in one place. Surveys: the first of a plot is put in
// use; putting another in use takes the former out, and gives the plot its
// outline if it has one; the one in use cannot be deleted.
type Store interface {
	Properties() Shelf[Property]
	Plots() PlotShelf
	Surveys() Shelf[Survey]
	Spreaders() Shelf[Spreader]
	Mixes() Shelf[Mix]
	Sheets() Shelf[Sheet]
}
