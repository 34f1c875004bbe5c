package catalog

import (
	"math"
	"testing"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func TestDescribeAFertilizer(t *testing.T) {
	own, err := Describe(Description{Name: "  Starter  6-24-24 ", Class: Fertilizer, Grade: "6 - 24 – 24", Bag: 50 * units.Pound, Taken: []string{"own-starter-6-24-24"}})
	if err != nil {
		t.Fatal(err)
	}
	p := own.Products[0]
	if p.ID != "own-starter-6-24-24-2" || p.Name != "Starter 6-24-24" || p.Release != Plain || !p.Ammonium || !p.ContainsPhosphate {
		t.Errorf("got %+v", p)
	}
	if p.Grade() != (Grade{N: 0.06, P2O5: 0.24, K2O: 0.24}) || p.BagMass() != 50*units.Pound {
		t.Errorf("grade %+v, bag %v", p.Grade(), p.BagMass())
	}
	with, err := load(t).With(own)
	if err != nil || len(with.Search("starter").Products) != 1 {
		t.Errorf("it is not found: %v", err)
	}
	if potash, err := Describe(Description{Name: "Potash", Class: Fertilizer, Grade: "0-0-50"}); err != nil || potash.Products[0].Release != "" || potash.Products[0].Ammonium {
		t.Errorf("got %+v, %v", potash, err)
	}
}

func TestDescribeASeed(t *testing.T) {
	own, err := Describe(Description{Name: "Teff", Class: Seed, Bag: 25 * units.Pound, SeedsPerMass: 1.3e6 * units.PerPound, Density: 60 * units.PoundPerBushel})
	if err != nil {
		t.Fatal(err)
	}
	c := own.Crops[0]
	if c.ID != "own-teff" || c.BagMass() != 25*units.Pound || math.Abs(c.Density().PoundsPerBushel()-60) > 1e-9 || math.Abs(c.SeedsPerMass().PerPound()-1.3e6) > 1e-3 {
		t.Errorf("got %+v", c)
	}
	if f, _ := c.Figure(SeedsPerMass); f.String() != "1300000 seeds/lb" {
		t.Errorf("says %q", f.String())
	}
}

func TestDescribeRefuses(t *testing.T) {
	for _, tt := range []struct {
		field string
		d     Description
	}{
		{"name", Description{Name: "  ", Class: Seed}},
		{"class", Description{Name: "x", Class: Lime}},
		{"grade", Description{Name: "x", Class: Fertilizer}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "6-24"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "6-24-24-1"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "6-a-24"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "6-2.4.1-24"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "6-1e9-24"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "60-24-24"}},
		{"grade", Description{Name: "x", Class: Fertilizer, Grade: "0-0-0"}},
		{"bag_kg", Description{Name: "x", Class: Fertilizer, Grade: "6-24-24", Bag: -1}},
		{"seeds_per_kg", Description{Name: "x", Class: Seed, SeedsPerMass: units.CountPerMass(math.NaN())}},
		{"density_kg_per_m3", Description{Name: "x", Class: Seed, Density: 5000}},
	} {
		_, err := Describe(tt.d)
		if f, ok := fault.From(err); !ok || f.Where.Field != tt.field || f.What == "" || f.Remedy == "" {
			t.Errorf("%+v: got %v", tt.d, err)
		}
	}
}
