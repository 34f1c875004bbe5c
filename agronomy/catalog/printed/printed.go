// Package printed reads the tables of published check values, for tests. A
// test keeps the inputs of a row and takes what is expected from the table.
package printed

import (
	"encoding/csv"
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"testing"
)

// Table is one table: the tests hand in the folder that it lies in, because
// nothing in this tree opens files.
type Table struct {
	Folder fs.FS
	File   string
}

// Rows are the rows of a table by column name.
func Rows(t testing.TB, table Table) []map[string]string {
	t.Helper()
	f, err := table.Folder.Open(table.File)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, cells := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = cells[i]
		}
		rows = append(rows, row)
	}
	return rows
}

var (
	number = regexp.MustCompile(`\d+(?:\.\d+)?`)
	aside  = regexp.MustCompile(`\([^)]*\)`)
)

// Numbers are the numbers of a text, in order.
func Numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var out []float64
	for _, digits := range number.FindAllString(text, -1) {
		v, err := strconv.ParseFloat(digits, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// Row is one row of a table by its id.
func Row(t testing.TB, table Table, id string) map[string]string {
	t.Helper()
	for _, row := range Rows(t, table) {
		if row["id"] == id {
			return row
		}
	}
	t.Fatalf("%s has no row %s", table.File, id)
	return nil
}

// Expected are the numbers expected of a row, what stands in brackets left out.
func Expected(t testing.TB, table Table, id string) []float64 {
	t.Helper()
	return Numbers(t, aside.ReplaceAllString(Row(t, table, id)["expected"], ""))
}

// Check compares values with what a row expects, within an absolute tolerance.
func Check(t testing.TB, table Table, id string, tolerance float64, got ...float64) {
	t.Helper()
	check(t, table, id, func(float64) float64 { return tolerance }, got)
}

// CheckRelative is Check with a tolerance that is a share of each value.
func CheckRelative(t testing.TB, table Table, id string, tolerance float64, got ...float64) {
	t.Helper()
	check(t, table, id, func(want float64) float64 { return tolerance * want }, got)
}

func check(t testing.TB, table Table, id string, tolerance func(want float64) float64, got []float64) {
	t.Helper()
	want := Expected(t, table, id)
	if len(got) != len(want) || len(want) == 0 {
		t.Fatalf("%s: %d values, the table prints %v", id, len(got), want)
	}
	for i, w := range want {
		if !(math.Abs(got[i]-w) <= tolerance(w)) {
			t.Errorf("%s: value %d is %v, the table prints %v", id, i+1, got[i], w)
		}
	}
}
