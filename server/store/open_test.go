package store

import (
	"testing"
	"testing/fstest"
	"time"
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
