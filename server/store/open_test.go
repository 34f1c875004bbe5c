package store

import (
	"database/sql"
	"errors"
	"reflect"
	"testing"
	"testing/fstest"
	"time"

	"evenfall/server/record"
)

// The pragmas must hold on every connection of both pools, not on the first.
func TestEveryConnectionHasItsPragmas(t *testing.T) {
	db, err := Open(t.Context(), t.TempDir()+"/records.db", time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	want := map[string]string{
		"busy_timeout": "5000", "journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "trusted_schema": "0",
	}
	for range readers { // each is held while the next is asked for
		conn, err := db.read.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		for pragma, value := range want {
			var got string
			if err := conn.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != value {
				t.Errorf("reader: %s is %s, %v; want %s", pragma, got, err, value)
			}
		}
		if _, err := conn.ExecContext(t.Context(), "DELETE FROM properties"); err == nil {
			t.Error("a reader can write")
		}
	}
	for pragma, value := range want {
		var got string
		if err := db.write.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != value {
			t.Errorf("writer: %s is %s, %v; want %s", pragma, got, err, value)
		}
	}
}

func TestMigrationsAreNumberedWithoutAGap(t *testing.T) {
	if _, err := migrations(migrationFiles); err != nil {
		t.Error(err)
	}
	file := &fstest.MapFile{Data: []byte("SELECT 1;")}
	for name, files := range map[string]fstest.MapFS{
		"none":      {},
		"gap":       {"migrations/0001_a.sql": file, "migrations/0003_b.sql": file},
		"twice":     {"migrations/0001_a.sql": file, "migrations/0001_b.sql": file},
		"no number": {"migrations/first.sql": file},
	} {
		if _, err := migrations(files); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// A file of the first schema is brought to the present one with what it holds,
// and then takes what the newer program keeps.
func TestAnOldFileIsBroughtUpToDate(t *testing.T) {
	ctx, path := t.Context(), t.TempDir()+"/records.db"
	steps, err := migrations(migrationFiles)
	if err != nil {
		t.Fatal(err)
	}
	old := &DB{path: path, now: time.Now}
	if err := old.connect(); err != nil {
		t.Fatal(err)
	}
	err = old.inTransaction(ctx, func(tx *sql.Tx) error {
		if err := begin(ctx, tx); err != nil {
			return err
		}
		if err := old.step(ctx, tx, steps[:1], 0); err != nil {
			return err
		}
		const at = "'2026-03-14T09:30:00.000Z', '2026-03-14T09:30:00.000Z'"
		_, err := tx.ExecContext(ctx, `INSERT INTO properties VALUES ('a', 1, `+at+`, 'Fox Hollow', '');
			INSERT INTO plots (id, revision, created_at, updated_at, property_id, name, note) VALUES ('b', 1, `+at+`, 'a', 'Strip', '');
			INSERT INTO sheets (id, revision, created_at, updated_at, plot_id, date, note, result) VALUES ('c', 1, `+at+`, 'b', '2026-03-14', 'dry', '{}')`)
		return err
	})
	if err = errors.Join(err, old.Close()); err != nil {
		t.Fatal(err)
	}

	db, err := Open(ctx, path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	sheet, err := db.Sheets().Get(ctx, "c")
	if err != nil || sheet.Note != "dry" || sheet.Done != nil {
		t.Fatalf("got %+v, %v", sheet, err)
	}
	plot, err := db.Plots().Get(ctx, "b")
	if err != nil || plot.Name != "Strip" || plot.SpreaderID+plot.MixID != "" {
		t.Fatalf("got %+v, %v", plot, err)
	}
	machine, err := db.Spreaders().Create(ctx, record.Spreader{Name: "Small one", Document: []byte(`{}`)})
	if err != nil {
		t.Fatal(err)
	}
	plot.SpreaderID = machine.ID
	if plot, err = db.Plots().Update(ctx, record.MeasuredPlot{Plot: plot}); err != nil || plot.SpreaderID != machine.ID {
		t.Fatalf("got %+v, %v", plot, err)
	}
	sheet.Done = &record.Done{Date: "2026-03-14", Used: []record.Used{{ID: "oats", Mass: 20}}}
	if _, err := db.Sheets().Update(ctx, sheet); err != nil {
		t.Fatal(err)
	}
	page, err := db.Sheets().List(ctx, record.Query{})
	if err != nil || len(page.Items) != 1 || !reflect.DeepEqual(page.Items[0].Done, sheet.Done) {
		t.Errorf("got %+v, %v", page, err)
	}
}
