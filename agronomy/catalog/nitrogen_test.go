package catalog

import (
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// UREA prints days on warm soil; days on cool soil; rain. SPLIT prints days.
func TestNitrogenUREAandSPLIT(t *testing.T) {
	split, mark := SecondNitrogen()
	got := map[string][]float64{
		"UREA":  {UreaWarmDaysLow, UreaWarmDaysHigh, UreaCoolDays, UreaRainInches},
		"SPLIT": {float64(split.From), float64(split.To)},
	}
	checked := 0
	for _, row := range table(t, "agronomy.csv") {
		values, ok := got[row["id"]]
		if !ok {
			continue
		}
		checked++
		var want []float64
		for _, text := range numbers.FindAllString(row["expected"], -1) {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			want = append(want, v)
		}
		if !reflect.DeepEqual(values, want) {
			t.Errorf("%s: %v, the table prints %v", row["id"], values, want)
		}
		if cite := UreaMark().Cite + mark.Cite; !strings.Contains(cite, row["source"]) {
			t.Errorf("%s is cited as %q", row["id"], cite)
		}
	}
	if checked != len(got) {
		t.Errorf("%d rows were found", checked)
	}
}
