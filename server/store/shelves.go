package store

import "evenfall/server/record"

// shelve describes every table once: its columns and the cells that fill them.
func (db *DB) shelve() {
	db.properties = table[record.Property]{
		db: db, name: "properties", kind: "property",
		columns: []string{"name", "note"},
		cells:   func(p *record.Property) []any { return []any{&p.Name, &p.Note} },
	}
	db.spreaders = table[record.Spreader]{
		db: db, name: "spreaders", kind: "spreader",
		columns: []string{"name", "document"}, ofPlots: "spreader_id",
		cells: func(s *record.Spreader) []any { return []any{&s.Name, list(&s.Document)} },
	}
	db.mixes = table[record.Mix]{
		db: db, name: "mixes", kind: "mix",
		columns: []string{"name", "document"}, ofPlots: "mix_id",
		cells: func(m *record.Mix) []any { return []any{&m.Name, list(&m.Document)} },
	}
	db.sheets = table[record.Sheet]{
		db: db, name: "sheets", kind: "sheet",
		columns: []string{"plot_id", "spreader_id", "mix_id", "date", "note", "done", "options", "result"},
		heavy:   "result",
		cells: func(s *record.Sheet) []any {
			return []any{&s.PlotID, optional{&s.SpreaderID}, optional{&s.MixID}, &s.Date, &s.Note,
				maybe(&s.Done), list(&s.Options), list(&s.Result)}
		},
		narrow: ofPlot,
	}
	db.surveys.table = surveyTable(db)
	db.plots = plots{table: plotTable(db), surveys: &db.surveys}
	db.surveys.plots = &db.plots
}

func ofPlot(q record.Query, c *conditions) {
	if q.PlotID != "" {
		c.add("plot_id = ?", q.PlotID)
	}
}
