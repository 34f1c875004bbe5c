package main

import (
	"math"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
)

func TestPutReadsWhatPeopleSay(t *testing.T) {
	tests := []struct {
		words string
		want  mix.Rate
	}{
		{"oats=80 lb/ac", mix.Rate{Mass: 80 * units.PoundPerAcre}},
		{"oats=64 lb/ac PLS drilled", mix.Rate{Mass: 64 * units.PoundPerAcre, Of: catalog.OfPLS, Drilled: true}},
		{"46-0-0=40 lb/ac N", mix.Rate{N: 40 * units.PoundPerAcre}},
		{"0-46-0 = 30 lb/ac P2O5", mix.Rate{P2O5: 30 * units.PoundPerAcre}},
		{"corn=28,000 seeds/ac", mix.Rate{Seeds: 28000 * units.PerAcre}},
		{"sunflower=20,000 plants/ac", mix.Rate{Plants: 20000 * units.PerAcre}},
		{"oats=75 %", mix.Rate{Share: 0.75}},
		{"13-13-13=1 1/2 bags", mix.Rate{Bags: 1.5}},
		{"13-13-13=1 bag", mix.Rate{Bags: 1}},
		{"corn=2 1/2 qt", mix.Rate{PlotVolume: 2.5 * units.DryQuart}},
		{"corn=20 lb", mix.Rate{PlotMass: 20 * units.Pound}},
		{"oats=2 bu/ac", mix.Rate{Volume: 2 * units.BushelPerAcre}},
		{"oats=90 kg/ha", mix.Rate{Mass: 90 * units.KilogramPerHa}},
	}
	for _, tt := range tests {
		item, err := parsePut(tt.words)
		if err != nil {
			t.Errorf("%s: %v", tt.words, err)
			continue
		}
		if got := item.Rate; !alike(got, tt.want) {
			t.Errorf("%s: got %+v, want %+v", tt.words, got, tt.want)
		}
	}
	for _, words := range []string{"oats", "=80 lb/ac", "oats=", "oats=many", "oats=80 furlongs", "oats=x %"} {
		if item, err := parsePut(words); err == nil {
			t.Errorf("%q is taken as %+v", words, item)
		}
	}
}

// alike compares rates to the last digits that parsing may differ in.
func alike(a, b mix.Rate) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-12*math.Max(1, math.Abs(y)) }
	return near(float64(a.Mass), float64(b.Mass)) && near(float64(a.N), float64(b.N)) && near(float64(a.P2O5), float64(b.P2O5)) &&
		near(float64(a.Seeds), float64(b.Seeds)) && near(float64(a.Plants), float64(b.Plants)) && near(a.Share, b.Share) &&
		near(a.Bags, b.Bags) && near(float64(a.PlotVolume), float64(b.PlotVolume)) && near(float64(a.PlotMass), float64(b.PlotMass)) &&
		near(float64(a.Volume), float64(b.Volume)) && a.Of == b.Of && a.Drilled == b.Drilled
}
