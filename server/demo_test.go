package main

import (
	"path/filepath"
	"testing"
	"time"

	"evenfall/fixtures"
	"evenfall/server/record"
	"evenfall/server/store"
)

// Every plot of the demo says what it is worked with, and the demo is put into
// an empty store only.
func TestTheDemoSaysWhatEachPlotIsWorkedWith(t *testing.T) {
	ctx := t.Context()
	db, err := store.Open(ctx, filepath.Join(t.TempDir(), "demo.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for range 2 {
		if err := fillDemo(ctx, db, fixtures.Files); err != nil {
			t.Fatal(err)
		}
	}
	page, err := db.Plots().List(ctx, record.Query{})
	if err != nil || len(page.Items) != 4 {
		t.Fatalf("%d plots, %v", len(page.Items), err)
	}
	for _, plot := range page.Items {
		if _, err := db.Spreaders().Get(ctx, plot.SpreaderID); err != nil {
			t.Errorf("%s: %v", plot.Name, err)
		}
		if _, err := db.Mixes().Get(ctx, plot.MixID); err != nil {
			t.Errorf("%s: %v", plot.Name, err)
		}
	}
}
