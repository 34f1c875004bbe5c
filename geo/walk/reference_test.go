package walk

import (
	"encoding/csv"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

// published reads one row of the check values, whose source is named there.
func published(t *testing.T, id string) (expected string) {
	t.Helper()
	file, err := os.Open("../../testdata/reference/geo.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if row[0] == id {
			return row[3]
		}
	}
	t.Fatalf("no row %s among the check values", id)
	return ""
}

// figures picks the numbers out of a published cell.
func figures(t *testing.T, cell string) []float64 {
	t.Helper()
	var out []float64
	for word := range strings.FieldsSeq(strings.NewReplacer(",", " ", "%", " ", "+/-", " ", ";", " ").Replace(cell)) {
		if v, err := strconv.ParseFloat(word, 64); err == nil {
			out = append(out, v)
		}
	}
	if len(out) == 0 {
		t.Fatalf("no figures in %q", cell)
	}
	return out
}

// newRand is a seeded generator.
func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

var homeFrame = geo.NewFrame(orb.Point{-90.2, 40.1})
