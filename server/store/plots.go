package store

import (
	"context"
	"database/sql"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// plots keeps the plots and, with them, the surveys that gave their outlines.
type plots struct {
	table[record.Plot]
	surveys *surveys
}

func plotTable(db *DB) table[record.Plot] {
	return table[record.Plot]{
		db: db, name: "plots", kind: "plot",
		columns: []string{"property_id", "spreader_id", "mix_id", "name", "note", "outline", "keep_off", "driver",
			"west_deg", "south_deg", "east_deg", "north_deg"},
		cells: func(p *record.Plot) []any {
			edges := edgesOf(p.Outline)
			return []any{&p.PropertyID, optional{&p.SpreaderID}, optional{&p.MixID}, &p.Name, &p.Note, list(&p.Outline), list(&p.KeepOff), list(&p.Driver),
				&edges[0], &edges[1], &edges[2], &edges[3]}
		},
		narrow: func(q record.Query, c *conditions) {
			if q.PropertyID != "" {
				c.add("property_id = ?", q.PropertyID)
			}
			if q.Box != nil {
				meets(*q.Box, c)
			}
		},
	}
}

// edgesOf is the outline's box as west, south, east, north; NULL without one.
func edgesOf(o record.Outline) (edges [4]sql.NullFloat64) {
	if len(o) == 0 {
		return edges
	}
	box := o.Bound()
	for i, v := range []float64{box.Min[0], box.Min[1], box.Max[0], box.Max[1]} {
		edges[i] = sql.NullFloat64{Float64: v, Valid: true}
	}
	return edges
}

// meets narrows to plots whose box meets the asked one. The tree of boxes has
// 32-bit figures rounded outwards; the plot's own columns settle it. A box
// whose west is beyond its east crosses the antimeridian (RFC 7946).
func meets(box orb.Bound, c *conditions) {
	if box.Min[0] > box.Max[0] {
		box.Max[0] += 360
	}
	c.add(`num IN (SELECT abs(num) FROM plot_boxes WHERE
		(west_deg <= ? AND east_deg >= ? OR west_deg <= ? AND east_deg >= ?) AND south_deg <= ? AND north_deg >= ?)`,
		box.Max[0], box.Min[0], box.Max[0]-360, box.Min[0]-360, box.Max[1], box.Min[1])
	c.add(`(west_deg <= ? AND east_deg >= ? OR west_deg <= ? AND east_deg >= ? OR west_deg <= ? AND east_deg >= ?)
		AND south_deg <= ? AND north_deg >= ?`,
		box.Max[0], box.Min[0], box.Max[0]-360, box.Min[0]-360, box.Max[0]+360, box.Min[0]+360, box.Max[1], box.Min[1])
}

// CreateAll keeps the plots and their surveys, all or none.
func (p *plots) CreateAll(ctx context.Context, measured []record.MeasuredPlot) ([]record.Plot, error) {
	made := make([]record.Plot, len(measured))
	err := p.db.inTransaction(ctx, func(tx *sql.Tx) error {
		for i, m := range measured {
			made[i] = m.Plot
			if err := p.createMeasured(ctx, tx, &made[i], m.Survey); err != nil {
				return placed(err, i, len(measured))
			}
		}
		return nil
	})
	return made, err
}

// placed says which plot of several is at fault.
func placed(err error, i, of int) error {
	if found, ok := fault.From(err); ok && of > 1 && found.Where.Feature == 0 {
		found.Where.Feature = i + 1
	}
	return err
}

func (p *plots) createMeasured(ctx context.Context, tx *sql.Tx, plot *record.Plot, survey *record.Survey) error {
	if err := p.named(ctx, tx, plot); err != nil {
		return err
	}
	if err := p.create(ctx, tx, plot); err != nil {
		return err
	}
	return p.addSurvey(ctx, tx, plot, survey)
}

// named says which record that the plot names is not there.
func (p *plots) named(ctx context.Context, tx *sql.Tx, plot *record.Plot) error {
	for _, name := range []struct{ field, table, id string }{
		{"property_id", "properties", plot.PropertyID},
		{"spreader_id", "spreaders", plot.SpreaderID},
		{"mix_id", "mixes", plot.MixID},
	} {
		var there bool
		err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM "+name.table+" WHERE id = ?)", name.id).Scan(&there)
		if err != nil {
			return p.explain(err, "looking up what is named")
		}
		if name.id != "" && !there {
			return fault.New("reference", "the plot names a record that is not there", "choose one that is kept").In(name.field)
		}
	}
	return nil
}

// addSurvey keeps the survey of a plot's present outline and puts it in use.
func (p *plots) addSurvey(ctx context.Context, tx *sql.Tx, plot *record.Plot, survey *record.Survey) error {
	if survey == nil {
		return nil
	}
	added := *survey
	added.PlotID, added.InUse = plot.ID, true
	if err := p.surveys.takeOut(ctx, tx, plot.ID); err != nil {
		return err
	}
	return p.surveys.create(ctx, tx, &added)
}

// Update keeps a changed plot and, when its outline was measured anew, that
// survey as the one in use.
func (p *plots) Update(ctx context.Context, m record.MeasuredPlot) (record.Plot, error) {
	plot := m.Plot
	err := p.db.inTransaction(ctx, func(tx *sql.Tx) error {
		if _, err := p.current(ctx, tx, plot.ID, plot.Revision); err != nil {
			return err
		}
		if err := p.named(ctx, tx, &plot); err != nil {
			return err
		}
		if err := p.update(ctx, tx, &plot); err != nil {
			return err
		}
		return p.addSurvey(ctx, tx, &plot, m.Survey)
	})
	return plot, err
}

// Surveyed is the plot with its property and every survey of it.
func (p *plots) Surveyed(ctx context.Context, id string) (found record.SurveyedPlot, err error) {
	err = p.db.atOneMoment(ctx, func(tx *sql.Tx) error {
		if found.Plot, err = p.get(ctx, tx, id); err != nil {
			return err
		}
		if found.Property, err = p.db.properties.get(ctx, tx, found.Plot.PropertyID); err != nil {
			return err
		}
		var ofThis conditions
		ofThis.add("plot_id = ?", id)
		found.Surveys, err = p.surveys.query(ctx, tx, ofThis, -1)
		return err
	})
	return found, err
}

// setOutline gives the plot the outline of the survey that is now in use.
func (p *plots) setOutline(ctx context.Context, tx *sql.Tx, id string, outline record.Outline) error {
	plot, err := p.get(ctx, tx, id)
	if err != nil {
		return err
	}
	plot.Outline = outline
	return p.update(ctx, tx, &plot)
}
