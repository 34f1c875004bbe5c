package passes

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"
)

// TestFieldCVGivesTheCrossRow reads the derived figures for half rates of a
// triangle at one and a half times half its throw.
func TestFieldCVGivesTheCrossRow(t *testing.T) {
	f, err := os.Open("../../testdata/reference/spread.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if row[0] != "CROSS" {
			continue
		}
		var want []float64
		for _, text := range regexp.MustCompile(`[0-9.]+`).FindAllString(row[3], -1) {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			want = append(want, v)
		}
		_, parallel, crossed := FieldCV(triangular(1), 1.5)
		if len(want) != 2 || math.Abs(100*crossed-want[0]) > 0.02 || math.Abs(100*parallel-want[1]) > 0.02 {
			t.Errorf("right angles %.3f %%, side by side %.3f %%, want %v", 100*crossed, 100*parallel, want)
		}
		return
	}
	t.Fatal("no row CROSS")
}
