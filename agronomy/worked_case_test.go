package agronomy_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// figures reads testdata/worked-case.csv: id to value. It is common practice,
// no source.
func figures(t *testing.T) map[string]float64 {
	t.Helper()
	f, err := os.Open("../testdata/worked-case.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]float64{}
	for _, row := range rows[1:] {
		if all[row[0]], err = strconv.ParseFloat(row[2], 64); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// caseMix is the worked case's mix with a nitrogen product.
func caseMix(of map[string]float64, nitrogen string) mix.Mix {
	return mix.Mix{Name: "worked case", Items: []mix.Item{
		{Material: "19-19-19", Group: 1, Rate: mix.Rate{Bags: 1}},
		{Material: nitrogen, Group: 2, Rate: mix.Rate{Bags: 1}},
		{Material: "corn", Group: 2, SeedsPerMass: units.CountPerMass(of["kernels_per_pound"]) * units.PerPound,
			Rate: mix.Rate{PlotVolume: units.Volume(of["corn_quarts"]) * units.DryQuart}},
	}}
}

// The whole sheet of the worked case: amounts, one hopper of each group, the
// habit's spacing, disc depth, and a second dressing with plain urea only.
func TestWorkedCaseSheet(t *testing.T) {
	of := figures(t)
	atv := spreader.Spreader{
		Name:       "ATV spreader",
		Patterns:   spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 24 * units.Foot}},
		HopperMass: 100 * units.Pound, SpeedMin: units.Speed(of["speed_low"]) * units.MPH, SpeedMax: units.Speed(of["speed_high"]) * units.MPH,
	}
	options := agronomy.Options{Speed: units.Speed(of["flow_speed"]) * units.MPH, DiscDepth: units.Length(of["disc_depth_most"]) * units.Inch, Habit: true}
	sheet := prepare(t, acres(t, of["area"]), atv, caseMix(of, "44-0-0"), options)

	near(t, "N lb/ac", sheet.Nutrients.N.PoundsPerAcre(), of["nitrogen_rate"], 0.05)
	near(t, "P2O5 lb/ac", sheet.Nutrients.P2O5.PoundsPerAcre(), of["phosphate_rate"], 0.05)
	near(t, "K2O lb/ac", sheet.Nutrients.K2O.PoundsPerAcre(), of["potash_rate"], 0.05)
	near(t, "spacing over throw", float64(sheet.Spreader.Spacing/sheet.Spreader.Throw), of["spacing_over_throw"], 1e-9)
	near(t, "disc depth in", sheet.Afterwards.DiscDepthMax.Inches(), of["disc_depth_most"], 1e-9)
	if len(sheet.Loads) != 2 {
		t.Errorf("%d loads, want one hopper for each of the two groups", len(sheet.Loads))
	}
	if len(sheet.Stand) != 1 {
		t.Fatalf("%d species, want the corn", len(sheet.Stand))
	}
	near(t, "kernels per sq ft", sheet.Stand[0].SeedsPerArea.PerSquareFoot(), of["kernels_per_square_foot"], 0.005)
	near(t, "flow lb/min", units.FlowFor(units.MassPerArea(of["flow_rate"])*units.PoundPerAcre,
		units.Length(of["flow_spacing"])*units.Foot, sheet.Spreader.Speed).PoundsPerMinute(), of["flow"], 0.1)
	if sheet.Afterwards.TopDressing != nil {
		t.Error("slow-release nitrogen needs no second dressing")
	}

	urea := prepare(t, acres(t, of["area"]), atv, caseMix(of, "46-0-0"), options)
	second := urea.Afterwards.TopDressing
	if second == nil {
		t.Fatal("plain urea needs a second dressing")
	}
	if second.From != "2026-09-26" || second.To != "2026-10-10" { // 4 and 6 weeks after 29 August
		t.Errorf("second nitrogen from %s to %s", second.From, second.To)
	}
}
