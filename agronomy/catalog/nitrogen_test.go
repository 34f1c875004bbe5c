package catalog

import (
	"testing"

	"evenfall/agronomy/catalog/printed"
)

// UREA prints days on warm soil; days on cool soil; rain. SPLIT prints days.
func TestNitrogenUREAandSPLIT(t *testing.T) {
	printed.Check(t, reference("agronomy.csv"), "UREA", 0, UreaWarmDaysLow, UreaWarmDaysHigh, UreaCoolDays, UreaRainInches)
	split, mark := SecondNitrogen()
	printed.Check(t, reference("agronomy.csv"), "SPLIT", 0, float64(split.From), float64(split.To))
	for id, cite := range map[string]string{"UREA": UreaMark().Cite, "SPLIT": mark.Cite} {
		if want := printed.Row(t, reference("agronomy.csv"), id)["source"]; cite != want {
			t.Errorf("%s is cited as %q, the table names %q", id, cite, want)
		}
	}
}
