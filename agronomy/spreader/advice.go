package spreader

import (
	_ "embed"
	"encoding/csv"
	"strings"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

//go:embed advice.csv
var adviceCSV string

// Advice is one sentence of care for whoever drives, with where it comes from.
type Advice struct {
	ID   string      `json:"id"`
	Says string      `json:"says"`
	Mark source.Mark `json:"mark"`
}

// Advices is everything that the sources say about wind, water, slope and half
// rates, in a fixed order. Local law, the label and the maker decide.
func Advices(system units.System) ([]Advice, error) {
	rows, err := csv.NewReader(strings.NewReader(adviceCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	says := 1
	if system == units.Metric {
		says = 2
	}
	advices := make([]Advice, 0, len(rows)-1)
	for _, row := range rows[1:] {
		advices = append(advices, Advice{row[0], row[says], source.Mark{Kind: source.Kind(row[3]), Cite: row[4]}})
	}
	return advices, nil
}
