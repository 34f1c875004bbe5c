package store_test

import (
	"testing"

	"evenfall/server/record"
)

// BenchmarkCreatePlot is one plot and its survey, safe on disk.
func BenchmarkCreatePlot(b *testing.B) {
	db, _ := open(b)
	one := manyPlots(property(b, db).ID, 1)
	for b.Loop() {
		must[[]record.Plot](b)(db.Plots().CreateAll(b.Context(), one))
	}
}

// BenchmarkGetPlot is one plot by its id.
func BenchmarkGetPlot(b *testing.B) {
	db, _ := open(b)
	id := plotWithSurvey(b, db).ID
	for b.Loop() {
		must[record.Plot](b)(db.Plots().Get(b.Context(), id))
	}
}

// BenchmarkListPlots is a page of a hundred out of a thousand.
func BenchmarkListPlots(b *testing.B) {
	db, _ := open(b)
	must[[]record.Plot](b)(db.Plots().CreateAll(b.Context(), manyPlots(property(b, db).ID, 1000)))
	for b.Loop() {
		must[record.Page[record.Plot]](b)(db.Plots().List(b.Context(), record.Query{}))
	}
}
