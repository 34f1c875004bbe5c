package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// Pages are of listLimit records unless a client asks for fewer or more, and
// never above listMost. Our own choice.
const (
	listLimit = 100
	listMost  = 500
)

// table keeps the records of one kind in one SQL table: the four columns of
// the stamp, then its own. cells gives a record's cells in the order of the
// columns; narrow adds what a query asks of the table.
type table[T any] struct {
	db      *DB
	name    string // of the SQL table
	kind    string // of one record, for people
	columns []string
	heavy   string // a column that lists leave out, if any
	cells   func(*T) []any
	narrow  func(record.Query, *conditions)
	ofPlots string // the column of plots that names these records, if any
}

// conditions gathers the WHERE of a query.
type conditions struct {
	terms []string
	args  []any
}

func (c *conditions) add(term string, args ...any) {
	c.terms = append(c.terms, term)
	c.args = append(c.args, args...)
}

func (c *conditions) where() string {
	if len(c.terms) == 0 {
		return ""
	}
	return " WHERE " + strings.Join(c.terms, " AND ")
}

// kept sees a *T as a record; every table is made of such a T.
func kept[T any](r *T) record.Kept { return any(r).(record.Kept) }

func (t *table[T]) allColumns() []string {
	return append([]string{"id", "revision", "created_at", "updated_at"}, t.columns...)
}

// lightColumns has NULL in the place of the heavy column.
func (t *table[T]) lightColumns() []string {
	columns := t.allColumns()
	for i, column := range columns {
		if column == t.heavy {
			columns[i] = "NULL"
		}
	}
	return columns
}

func (t *table[T]) allCells(r *T) []any {
	s := kept(r).Stamped()
	return append([]any{&s.ID, &s.Revision, instant{&s.CreatedAt}, instant{&s.UpdatedAt}}, t.cells(r)...)
}

// List is one page of the records that the query asks for, oldest first.
func (t *table[T]) List(ctx context.Context, q record.Query) (page record.Page[T], err error) {
	err = t.db.atOneMoment(ctx, func(tx *sql.Tx) error {
		page, err = t.list(ctx, tx, q)
		return err
	})
	return page, err
}

func (t *table[T]) list(ctx context.Context, tx *sql.Tx, q record.Query) (page record.Page[T], err error) {
	var asked conditions
	if t.narrow != nil {
		t.narrow(q, &asked)
	}
	count := "SELECT count(*) FROM " + t.name + asked.where()
	if err := tx.QueryRowContext(ctx, count, asked.args...).Scan(&page.Total); err != nil {
		return page, fmt.Errorf("counting %s: %w", t.name, err)
	}
	if q.After != "" {
		asked.add("id > ?", q.After)
	}
	limit := pageLimit(q.Limit)
	if page.Items, err = t.scan(ctx, tx, t.lightColumns(), asked, limit+1); err != nil {
		return page, err
	}
	if len(page.Items) > limit { // one more was read, to know whether a page follows
		page.Items = page.Items[:limit]
		page.Next = kept(&page.Items[limit-1]).Stamped().ID
	}
	return page, nil
}

// query is the records under the conditions by age; a limit below zero is none.
func (t *table[T]) query(ctx context.Context, tx *sql.Tx, asked conditions, limit int) ([]T, error) {
	return t.scan(ctx, tx, t.allColumns(), asked, limit)
}

func (t *table[T]) scan(ctx context.Context, tx *sql.Tx, columns []string, asked conditions, limit int) ([]T, error) {
	rows, err := tx.QueryContext(ctx, "SELECT "+strings.Join(columns, ", ")+" FROM "+t.name+
		asked.where()+" ORDER BY id LIMIT ?", append(asked.args, limit)...)
	if err != nil {
		return nil, fmt.Errorf("listing %s: %w", t.name, err)
	}
	defer rows.Close()
	items := []T{}
	for rows.Next() {
		var r T
		if err := rows.Scan(t.allCells(&r)...); err != nil {
			return nil, fmt.Errorf("reading %s: %w", t.name, err)
		}
		items = append(items, r)
	}
	return items, rows.Err()
}

func pageLimit(asked int) int {
	if asked <= 0 {
		return listLimit
	}
	return min(asked, listMost)
}

// Get is the record with that id.
func (t *table[T]) Get(ctx context.Context, id string) (r T, err error) {
	err = t.db.atOneMoment(ctx, func(tx *sql.Tx) error {
		r, err = t.get(ctx, tx, id)
		return err
	})
	return r, err
}

func (t *table[T]) get(ctx context.Context, tx *sql.Tx, id string) (r T, err error) {
	var byID conditions
	byID.add("id = ?", id)
	found, err := t.query(ctx, tx, byID, 1)
	if err != nil {
		return r, err
	}
	if len(found) == 0 {
		return r, record.Missing(t.kind, id)
	}
	return found[0], nil
}

// Create keeps a new record and returns it stamped.
func (t *table[T]) Create(ctx context.Context, r T) (T, error) {
	err := t.db.inTransaction(ctx, func(tx *sql.Tx) error { return t.create(ctx, tx, &r) })
	return r, err
}

func (t *table[T]) create(ctx context.Context, tx *sql.Tx, r *T) error {
	if err := kept(r).Check(); err != nil {
		return err
	}
	if err := t.db.stamp(kept(r).Stamped()); err != nil {
		return err
	}
	columns := t.allColumns()
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ")
	_, err := tx.ExecContext(ctx, "INSERT INTO "+t.name+" ("+strings.Join(columns, ", ")+") VALUES ("+marks+")",
		t.allCells(r)...)
	return t.explain(err, "creating")
}

// Update keeps a changed record, provided that its revision is the present
// one, and returns it with its new revision.
func (t *table[T]) Update(ctx context.Context, r T) (T, error) {
	err := t.db.inTransaction(ctx, func(tx *sql.Tx) error {
		if _, err := t.current(ctx, tx, kept(&r).Stamped().ID, kept(&r).Stamped().Revision); err != nil {
			return err
		}
		return t.update(ctx, tx, &r)
	})
	return r, err
}

// current is the record as kept, if the revision is still its revision.
func (t *table[T]) current(ctx context.Context, tx *sql.Tx, id string, revision int64) (T, error) {
	found, err := t.get(ctx, tx, id)
	if err == nil && kept(&found).Stamped().Revision != revision {
		err = record.Stale(t.kind)
	}
	return found, err
}

func (t *table[T]) update(ctx context.Context, tx *sql.Tx, r *T) error {
	if err := kept(r).Check(); err != nil {
		return err
	}
	s, now := kept(r).Stamped(), t.db.instant()
	args := append([]any{instant{&now}}, t.cells(r)...)
	row := tx.QueryRowContext(ctx, "UPDATE "+t.name+" SET revision = revision + 1, updated_at = ?, "+
		strings.Join(t.columns, " = ?, ")+" = ? WHERE id = ? RETURNING revision, created_at, updated_at",
		append(args, s.ID)...)
	return t.explain(row.Scan(&s.Revision, instant{&s.CreatedAt}, instant{&s.UpdatedAt}), "updating")
}

// Delete removes the record, provided that the revision is the present one.
func (t *table[T]) Delete(ctx context.Context, id string, revision int64) error {
	return t.db.inTransaction(ctx, func(tx *sql.Tx) error {
		if _, err := t.current(ctx, tx, id, revision); err != nil {
			return err
		}
		return t.delete(ctx, tx, id)
	})
}

func (t *table[T]) delete(ctx context.Context, tx *sql.Tx, id string) error {
	if err := t.leavePlots(ctx, tx, id); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, "DELETE FROM "+t.name+" WHERE id = ?", id)
	if isForeignKey(err) {
		return fault.New("in_use", "other records belong to this "+t.kind, "delete those first").Of(fault.Refused)
	}
	return t.explain(err, "deleting")
}

// leavePlots empties what plots say of a record that goes. That is a change of
// theirs: whoever read them before has to read them again.
func (t *table[T]) leavePlots(ctx context.Context, tx *sql.Tx, id string) error {
	if t.ofPlots == "" {
		return nil
	}
	now := t.db.instant()
	_, err := tx.ExecContext(ctx, "UPDATE plots SET revision = revision + 1, updated_at = ?, "+
		t.ofPlots+" = NULL WHERE "+t.ofPlots+" = ?", instant{&now}, id)
	return t.explain(err, "leaving plots")
}

// explain turns what SQLite says about a write into a fault where the client
// can act on it.
func (t *table[T]) explain(err error, doing string) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, sql.ErrNoRows):
		return record.Stale(t.kind)
	case isTaken(err):
		return record.Taken(t.kind)
	case isForeignKey(err):
		return fault.New("reference", "the "+t.kind+" names a record that is not there",
			"check the ids it refers to")
	}
	return fmt.Errorf("%s in %s: %w", doing, t.name, err)
}
