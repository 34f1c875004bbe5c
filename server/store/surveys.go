package store

import (
	"context"
	"database/sql"

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// surveys keeps every measurement of a plot, one of them in use.
type surveys struct {
	table[record.Survey]
	plots *plots
}

func surveyTable(db *DB) table[record.Survey] {
	return table[record.Survey]{
		db: db, name: "surveys", kind: "survey",
		columns: []string{"plot_id", "method", "date", "area_m2", "perimeter_m", "uncertainty_m2", "note",
			"outline", "dimensions", "in_use"},
		cells: func(s *record.Survey) []any {
			return []any{&s.PlotID, (*string)(&s.Method), &s.Date, &s.AreaM2, &s.PerimeterM, &s.UncertaintyM2, &s.Note,
				list(&s.Outline), maybe(&s.Dimensions), &s.InUse}
		},
		narrow: ofPlot,
	}
}

// Create keeps a survey. The first of a plot is in use whatever it says.
func (s *surveys) Create(ctx context.Context, survey record.Survey) (record.Survey, error) {
	err := s.db.inTransaction(ctx, func(tx *sql.Tx) error {
		before, err := s.used(ctx, tx, survey.PlotID)
		if err != nil {
			return err
		}
		survey.InUse = survey.InUse || before == nil
		if survey.InUse {
			if err := s.takeOut(ctx, tx, survey.PlotID); err != nil {
				return err
			}
		}
		if err := s.create(ctx, tx, &survey); err != nil {
			return err
		}
		return s.giveOutline(ctx, tx, survey)
	})
	return survey, err
}

// Update keeps a changed survey, and puts it in use if it says so.
func (s *surveys) Update(ctx context.Context, survey record.Survey) (record.Survey, error) {
	err := s.db.inTransaction(ctx, func(tx *sql.Tx) error {
		before, err := s.current(ctx, tx, survey.ID, survey.Revision)
		if err != nil {
			return err
		}
		if err := mayBecome(before, survey); err != nil {
			return err
		}
		if survey.InUse && !before.InUse {
			if err := s.takeOut(ctx, tx, survey.PlotID); err != nil {
				return err
			}
		}
		if err := s.update(ctx, tx, &survey); err != nil {
			return err
		}
		return s.giveOutline(ctx, tx, survey)
	})
	return survey, err
}

// mayBecome keeps a survey with its plot, and a plot with a survey in use.
func mayBecome(before, after record.Survey) error {
	if before.PlotID != after.PlotID {
		return fault.New("plot_changed", "a survey stays with its plot", "create a survey of the other plot").
			Of(fault.Refused).In("plot_id")
	}
	if before.InUse && !after.InUse {
		return oneInUse().In("in_use")
	}
	return nil
}

func oneInUse() *fault.Error {
	return fault.New("survey_in_use", "this survey is the one in use", "put another survey in use first").
		Of(fault.Refused)
}

// Delete removes a survey that is not in use.
func (s *surveys) Delete(ctx context.Context, id string, revision int64) error {
	return s.db.inTransaction(ctx, func(tx *sql.Tx) error {
		survey, err := s.current(ctx, tx, id, revision)
		if err != nil {
			return err
		}
		if survey.InUse {
			return oneInUse()
		}
		return s.delete(ctx, tx, id)
	})
}

// takeOut takes the plot's survey in use, if any, out of use.
func (s *surveys) takeOut(ctx context.Context, tx *sql.Tx, plotID string) error {
	survey, err := s.used(ctx, tx, plotID)
	if err != nil || survey == nil {
		return err
	}
	survey.InUse = false
	return s.update(ctx, tx, survey)
}

// giveOutline hands the outline of the survey in use to its plot.
func (s *surveys) giveOutline(ctx context.Context, tx *sql.Tx, survey record.Survey) error {
	if !survey.InUse || len(survey.Outline) == 0 {
		return nil
	}
	return s.plots.setOutline(ctx, tx, survey.PlotID, survey.Outline)
}

// used is the plot's survey in use; nil when it has none.
func (s *surveys) used(ctx context.Context, tx *sql.Tx, plotID string) (*record.Survey, error) {
	var of conditions
	of.add("plot_id = ? AND in_use = 1", plotID)
	found, err := s.query(ctx, tx, of, 1)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}
