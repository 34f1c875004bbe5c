// Package store keeps the records in one SQLite file. One connection writes
// and a pool of connections reads; every exported method is one transaction.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/google/uuid"
	_ "modernc.org/sqlite" // the driver, named in sql.Open

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// applicationID marks a file as ours in SQLite's header ("EvFa"), so that some
// other program's database is never migrated by mistake.
const applicationID = 0x45764661

// busyMilliseconds is how long a connection waits for another process's lock;
// longer than any transaction here takes. Our own choice.
const busyMilliseconds = 5000

// readers is how many reads run side by side: enough for a household, and each
// holds a page cache of about 2 MB. Our own choice.
const readers = 4

// DB is an open store. It is safe for use by many goroutines.
type DB struct {
	path  string
	write *sql.DB // one connection
	read  *sql.DB
	now   func() time.Time

	properties table[record.Property]
	plots      plots
	surveys    surveys
	spreaders  table[record.Spreader]
	mixes      table[record.Mix]
	sheets     table[record.Sheet]
}

var _ record.Store = (*DB)(nil)

// Open opens or makes the database file at path, and brings it to the present
// schema. Its folder is made if need be. The clock stamps the records.
func Open(ctx context.Context, path string, clock func() time.Time) (*DB, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("finding the database: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(full), 0o700); err != nil {
		return nil, fmt.Errorf("making the data folder: %w", err)
	}
	db := &DB{path: full, now: clock}
	if err := db.connect(); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	if err := db.migrate(ctx); err != nil {
		return nil, errors.Join(unreadable(err, path), db.Close())
	}
	db.shelve()
	return db, nil
}

func (db *DB) connect() (err error) {
	if db.write, err = sql.Open("sqlite", address(db.path, "")); err != nil {
		return fmt.Errorf("opening the database to write: %w", err)
	}
	db.write.SetMaxOpenConns(1)
	if db.read, err = sql.Open("sqlite", address(db.path, "query_only(ON)")); err != nil {
		return fmt.Errorf("opening the database to read: %w", err)
	}
	db.read.SetMaxOpenConns(readers)
	db.read.SetMaxIdleConns(readers)
	return nil
}

// address is the file's URI with the pragmas that every connection of a pool
// needs. The busy timeout comes first, since the next pragma may have to wait.
// synchronous=FULL makes a commit outlast a power cut.
func address(path, last string) string {
	pragmas := []string{
		fmt.Sprintf("busy_timeout(%d)", busyMilliseconds),
		"journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)", "trusted_schema(OFF)",
	}
	if last != "" {
		pragmas = append(pragmas, last)
	}
	query := url.Values{"_pragma": pragmas, "_txlock": {"immediate"}}
	if last != "" {
		query.Set("_txlock", "deferred") // a reader must not ask for the writer's lock
	}
	return (&url.URL{Scheme: "file", Opaque: escape(path), RawQuery: query.Encode()}).String()
}

// escape makes a file path fit for a URI, whatever signs it holds.
func escape(path string) string {
	return (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath()
}

// Close lets go of the file.
func (db *DB) Close() error {
	var errs []error
	for _, pool := range []*sql.DB{db.read, db.write} {
		if pool != nil {
			errs = append(errs, pool.Close())
		}
	}
	return errors.Join(errs...)
}

// inTransaction runs one write. A failure, a panic or a cancelled context
// leaves nothing behind.
func (db *DB) inTransaction(ctx context.Context, do func(tx *sql.Tx) error) error {
	return within(ctx, db.write, do)
}

// atOneMoment runs reads that must see the same state.
func (db *DB) atOneMoment(ctx context.Context, do func(tx *sql.Tx) error) error {
	return within(ctx, db.read, do)
}

func within(ctx context.Context, pool *sql.DB, do func(tx *sql.Tx) error) error {
	tx, err := pool.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("beginning: %w", err)
	}
	defer tx.Rollback() //nolint:errcheck // after Commit it does nothing
	if err := do(tx); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("committing: %w", err)
	}
	return nil
}

// stamp gives a new record its id, unless it came with one, its first revision
// and its times.
func (db *DB) stamp(s *record.Stamp) error {
	id := s.ID
	if id == "" {
		made, err := uuid.NewV7()
		if err != nil {
			return fmt.Errorf("making an id: %w", err)
		}
		id = made.String()
	} else if err := record.CheckID(id); err != nil {
		return err
	}
	now := db.instant()
	*s = record.Stamp{ID: id, Revision: 1, CreatedAt: now, UpdatedAt: now}
	return nil
}

// instant is now in the precision that is kept, so that a record reads back
// as it was returned.
func (db *DB) instant() time.Time { return db.now().UTC().Truncate(time.Millisecond) }

// Properties keeps the properties.
func (db *DB) Properties() record.Shelf[record.Property] { return &db.properties }

// Plots keeps the plots.
func (db *DB) Plots() record.PlotShelf { return &db.plots }

// Surveys keeps the surveys.
func (db *DB) Surveys() record.Shelf[record.Survey] { return &db.surveys }

// Spreaders keeps the spreaders.
func (db *DB) Spreaders() record.Shelf[record.Spreader] { return &db.spreaders }

// Mixes keeps the mixes.
func (db *DB) Mixes() record.Shelf[record.Mix] { return &db.mixes }

// Sheets keeps the saved sheets.
func (db *DB) Sheets() record.Shelf[record.Sheet] { return &db.sheets }

// unreadable words what a person can put right.
func unreadable(err error, path string) error {
	switch {
	case isNotADatabase(err):
		return fault.New("not_a_database", path+" is not a database", "name another file with --data").Of(fault.Unread)
	case cannotOpen(err):
		return fault.New("cannot_open", path+" cannot be opened as a database",
			"check that it is a file, and that you may write there").Of(fault.Refused)
	}
	return err
}
