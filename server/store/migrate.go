package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"evenfall/geo/fault"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migration is one numbered step of the schema.
type migration struct {
	version int
	sql     string
}

// migrate brings the file to the newest schema, in one transaction: it is
// either there or still where it was. A file that a newer program wrote, or
// that is not ours, is refused untouched.
func (db *DB) migrate(ctx context.Context) error {
	steps, err := migrations(migrationFiles)
	if err != nil {
		return err
	}
	return db.inTransaction(ctx, func(tx *sql.Tx) error {
		version, err := schemaVersion(ctx, tx)
		if err != nil {
			return err
		}
		if newest := steps[len(steps)-1].version; version > newest {
			return fault.New("newer_database",
				fmt.Sprintf("the database is of schema %d and this program knows up to %d", version, newest),
				"use the newer program").Of(fault.Refused)
		}
		return db.step(ctx, tx, steps, version)
	})
}

func (db *DB) step(ctx context.Context, tx *sql.Tx, steps []migration, from int) error {
	for _, m := range steps {
		if m.version <= from {
			continue
		}
		if _, err := tx.ExecContext(ctx, m.sql); err != nil {
			return fmt.Errorf("migration %d: %w", m.version, err)
		}
		at := db.instant()
		if _, err := tx.ExecContext(ctx, `INSERT INTO schema_version (version, applied_at) VALUES (?, ?)`,
			m.version, instant{&at}); err != nil {
			return fmt.Errorf("noting migration %d: %w", m.version, err)
		}
	}
	return nil
}

// schemaVersion is the version of the file, zero for a new one.
func schemaVersion(ctx context.Context, tx *sql.Tx) (version int, err error) {
	var id, tables int
	if err := tx.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT count(*) FROM sqlite_schema)`).Scan(&id, &tables); err != nil {
		return 0, fmt.Errorf("reading the header: %w", err)
	}
	if tables > 0 && id != applicationID {
		return 0, fault.New("foreign_database", "the file is another program's database",
			"name another file with --data").Of(fault.Refused)
	}
	if tables == 0 {
		return 0, begin(ctx, tx)
	}
	err = tx.QueryRowContext(ctx, `SELECT coalesce(max(version), 0) FROM schema_version`).Scan(&version)
	return version, err
}

func begin(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, fmt.Sprintf(`PRAGMA application_id = %d;
		CREATE TABLE schema_version (version INTEGER PRIMARY KEY, applied_at TEXT NOT NULL) STRICT;`, applicationID))
	return err
}

// migrations reads the numbered steps; their numbers run 1, 2, 3 with no gap.
func migrations(files fs.FS) ([]migration, error) {
	names, err := fs.Glob(files, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	steps := make([]migration, 0, len(names))
	for i, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		number, _, _ := strings.Cut(strings.TrimPrefix(name, "migrations/"), "_")
		version, err := strconv.Atoi(number)
		if err != nil || version != i+1 {
			return nil, fmt.Errorf("migration %s should have number %d", name, i+1)
		}
		steps = append(steps, migration{version, string(text)})
	}
	if len(steps) == 0 {
		return nil, fmt.Errorf("no migrations")
	}
	return steps, nil
}
