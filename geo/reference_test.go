package geo_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// referenceRow reads one row of the published check values by its id.
func referenceRow(t testing.TB, id string) map[string]string {
	t.Helper()
	file, err := os.Open("../testdata/reference/geo.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if row[0] == id {
			named := map[string]string{}
			for i, column := range rows[0] {
				named[column] = row[i]
			}
			return named
		}
	}
	t.Fatalf("no reference row %s", id)
	return nil
}

// number parses a figure of a reference row.
func number(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
