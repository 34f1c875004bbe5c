package mix_test

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/units"
)

// rowsOf reads a check file by the id in its first column.
func rowsOf(t testing.TB, path string) map[string]map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]map[string]string{}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = cells[i]
		}
		rows[cells[0]] = row
	}
	return rows
}

// published is one row of the published agronomy checks.
type published struct {
	t   testing.TB
	row map[string]string
}

func reference(t testing.TB, id string) published {
	t.Helper()
	row, ok := rowsOf(t, "../../testdata/reference/agronomy.csv")[id]
	if !ok {
		t.Fatalf("no row %s in the reference", id)
	}
	return published{t, row}
}

var (
	numeral    = regexp.MustCompile(`\d+(?:\.\d+)?(?:[eE]-?\d+)?`)
	parenthese = regexp.MustCompile(`\([^)]*\)`)
)

func numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var all []float64
	for _, s := range numeral.FindAllString(text, -1) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	return all
}

func (p published) inputs() []float64 { p.t.Helper(); return numbers(p.t, p.row["inputs"]) }

// expected leaves out what stands in brackets: the figure as it was printed.
func (p published) expected() []float64 {
	p.t.Helper()
	return numbers(p.t, parenthese.ReplaceAllString(p.row["expected"], ""))
}

// check holds got to the row's expected figures within its tolerance.
func (p published) check(got ...float64) {
	p.t.Helper()
	want := p.expected()
	if len(got) != len(want) {
		p.t.Fatalf("%s expects %v, got %v", p.row["id"], want, got)
	}
	for i := range got {
		near(p.t, p.row["id"], got[i], want[i], p.tolerance(want[i]))
	}
}

func (p published) tolerance(want float64) float64 {
	p.t.Helper()
	text := p.row["tolerance"]
	if text == "exact" {
		return 1e-9 * math.Max(1, math.Abs(want))
	}
	percent := strings.HasSuffix(text, "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
	if err != nil {
		p.t.Fatalf("%s: tolerance %q", p.row["id"], text)
	}
	if percent {
		return v / 100 * want
	}
	return v
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

func theCatalog(t testing.TB) *catalog.Catalog {
	t.Helper()
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func lbPerAcre(v float64) units.MassPerArea { return units.MassPerArea(v) * units.PoundPerAcre }
