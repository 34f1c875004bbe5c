// Package storetest lets tests look at a database file from outside the store
// that writes it.
package storetest

import (
	"database/sql"
	"fmt"
	"net/url"
	"strings"
	"testing"

	_ "modernc.org/sqlite" // the driver, named in sql.Open
)

// Dump is every row of every table of the file as text, in a fixed order, so
// that two dumps are equal exactly when nothing changed.
func Dump(t testing.TB, path string) string {
	t.Helper()
	db := connect(t, path)
	defer db.Close()
	var out strings.Builder
	for _, table := range column(t, db, `SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name`) {
		fmt.Fprintf(&out, "%s\n", table)
		for _, row := range rows(t, db, `SELECT * FROM "`+table+`" ORDER BY 1, 2`) {
			fmt.Fprintf(&out, "\t%q\n", row)
		}
	}
	return out.String()
}

// Count is how many rows a table of the file has.
func Count(t testing.TB, path, table string) int {
	t.Helper()
	db := connect(t, path)
	defer db.Close()
	return len(rows(t, db, `SELECT * FROM "`+table+`"`))
}

// Complaints is what SQLite's own checks find wrong with the file: broken
// pages, indexes out of step, references that lead nowhere.
func Complaints(t testing.TB, path string) []string {
	t.Helper()
	db := connect(t, path)
	defer db.Close()
	found := column(t, db, `SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'`)
	found = append(found, column(t, db, `SELECT "table" FROM pragma_foreign_key_check`)...)
	return append(found, column(t, db, `SELECT rtreecheck('plot_boxes') WHERE rtreecheck('plot_boxes') <> 'ok'`)...)
}

func connect(t testing.TB, path string) *sql.DB {
	t.Helper()
	address := url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: "_pragma=busy_timeout(5000)"}
	db, err := sql.Open("sqlite", address.String())
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func column(t testing.TB, db *sql.DB, query string) (values []string) {
	t.Helper()
	for _, row := range rows(t, db, query) {
		values = append(values, row[0])
	}
	return values
}

func rows(t testing.TB, db *sql.DB, query string) (all [][]string) {
	t.Helper()
	found, err := db.QueryContext(t.Context(), query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	defer found.Close()
	names, err := found.Columns()
	if err != nil {
		t.Fatal(err)
	}
	for found.Next() {
		all = append(all, scan(t, found, len(names)))
	}
	if err := found.Err(); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return all
}

func scan(t testing.TB, row *sql.Rows, width int) []string {
	t.Helper()
	values, cells := make([]any, width), make([]any, width)
	for i := range values {
		cells[i] = &values[i]
	}
	if err := row.Scan(cells...); err != nil {
		t.Fatal(err)
	}
	text := make([]string, width)
	for i, v := range values {
		text[i] = fmt.Sprintf("%v", v)
	}
	return text
}
