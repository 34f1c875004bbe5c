package seed

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/catalog/printed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

var table = printed.Table{Folder: os.DirFS("../../testdata/reference"), File: "agronomy.csv"}

// TestReference checks rows whose inputs are written here, by id, against the
// values printed by the sources that the table names.
func TestReference(t *testing.T) {
	const acre, pound = units.PerAcre, units.PerPound
	perSquareFoot := func(rate units.MassPerArea, perLb float64) float64 {
		return sow(t, Lot{PerMass: units.CountPerMass(perLb) * pound}, Rate{Of: catalog.OfProduct, Mass: rate}).Seeds.PerSquareFoot()
	}
	poundsFor := func(l Lot, r Rate) float64 { return sow(t, l, r).Bulk.PoundsPerAcre() }
	pls := func(purity, germination float64) float64 {
		return Tag{Purity: purity, Germination: germination}.Bulk(units.Pound).Pounds()
	}
	corn := Lot{PerMass: 2750 * pound}
	tests := []struct {
		id        string
		got       []float64
		tolerance float64 // absolute, unless rel
		rel       bool
	}{
		{"P1", []float64{Tag{Purity: 0.9, Germination: 0.9}.PLS()}, 1e-9, false},
		{"P3", []float64{Tag{Purity: 0.9875, Germination: 0.88, Hard: 0.05}.PLS()}, 1e-9, false},
		{"P4", []float64{Tag{Purity: 0.98, Germination: 0.92, Hard: 0.05}.Bulk(3 * units.Pound).Pounds()}, 0.0005, false},
		{"P7", []float64{pls(0.8, 0.8), pls(0.9, 0.85), pls(0.5, 0.5)}, 0.0005, false},
		{"S1", []float64{perSquareFoot(units.PoundPerAcre, 200000), perSquareFoot(units.PoundPerAcre, 275000), perSquareFoot(units.PoundPerAcre, 700000),
			perSquareFoot(units.PoundPerAcre, 1230000), perSquareFoot(units.PoundPerAcre, 227000)}, 0.001, false},
		{"S2", wheat(poundsFor), 0.01, false},
		{"S3", []float64{perPoundFrom(0.272, 1), perPoundFrom(0.712, 3.92), perPoundFrom(0.237, 1.04), perPoundFrom(0.085, 0.44)}, 0.01, true},
		{"R1", []float64{float64(200000*acre) * float64(15*units.Inch) * float64(units.Foot)}, 0.0001, false},
		{"R3", []float64{poundsFor(corn, Rate{Of: catalog.OfSeeds, Count: 150000 * acre}),
			math.Ceil(sow(t, corn, Rate{Of: catalog.OfSeeds, Count: 150000 * acre}).Bulk.On(50*units.Acre).Pounds() / 50)}, 0.001, false},
		{"R4", []float64{(2200 * pound).Count(60 * units.Pound), (3000 * pound).Count(60 * units.Pound)}, 1e-6, false},
		{"R5", []float64{poundsFor(Lot{PerMass: 12500 * pound, Tag: Tag{Purity: 1, Germination: 0.95}, Emergence: 0.85},
			Rate{Of: catalog.OfPlants, Count: 1.1e6 * acre})}, 0.01, false},
		{"QT", quarts(t), 0.01, false},
		{"INOC", []float64{PlantInoculatedWithin, ReinoculateAfter}, 0, false},
	}
	for _, tt := range tests {
		t.Run(tt.id, func(t *testing.T) {
			if tt.rel {
				printed.CheckRelative(t, table, tt.id, tt.tolerance, tt.got...)
				return
			}
			printed.Check(t, table, tt.id, tt.tolerance, tt.got...)
		})
	}
}

func sow(t *testing.T, l Lot, r Rate) Sown {
	t.Helper()
	s, err := l.Sow(r)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func wheat(pounds func(Lot, Rate) float64) []float64 {
	var out []float64
	for _, perLb := range []units.CountPerMass{12000, 14000, 16000, 18000, 20000} {
		out = append(out, pounds(Lot{PerMass: perLb * units.PerPound}, Rate{Of: catalog.OfSeeds, Count: 35 * units.PerSquareFoot}))
	}
	return out
}

// perPoundFrom counts seeds per pound as a sample of one square foot does.
func perPoundFrom(plsPerAcre, seedsPerSquareFoot float64) float64 {
	mass := (units.MassPerArea(plsPerAcre) * units.PoundPerAcre).On(units.SquareFoot)
	const many = 1000 // a count is whole: count a thousand square feet
	perMass, err := Counted(int(math.Round(many*seedsPerSquareFoot)), many*mass)
	if err != nil {
		return math.NaN()
	}
	return perMass.PerPound()
}

// quarts works the row QT with the catalog's bushel weights.
func quarts(t *testing.T) []float64 {
	t.Helper()
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, crop := range []struct {
		id    string
		rate  units.MassPerArea
		acres units.Area
	}{{"winter-wheat", 120, 0.25}, {"oats", 96, 0.25}, {"cereal-rye", 120, 0.25}, {"soybean", 60, 0.25}, {"buckwheat", 48, 0.25}} {
		entry, err := c.Crop(crop.id)
		if err != nil {
			t.Fatal(err)
		}
		mass := (crop.rate * units.PoundPerAcre).On(crop.acres * units.Acre)
		out = append(out, mass.Filling(entry.Density()).DryQuarts())
	}
	return out
}

// The row BROAD prints 1.25 and, in brackets, its range.
func TestBroadcastFactorBROAD(t *testing.T) {
	if got := printed.Expected(t, table, "BROAD"); len(got) != 1 || got[0] != BroadcastFactor {
		t.Errorf("the table prints %v", got)
	}
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		id        string
		preferred catalog.Name
		name      catalog.Name
		factor    float64
	}{
		{"oats", "", catalog.Drilled, BroadcastFactor},
		{"winter-wheat", "", catalog.Broadcast, 1},
		{"winter-wheat", catalog.Drilled, catalog.Drilled, BroadcastFactor},
		{"white-ladino-clover", "", catalog.Alone, 1},
		{"white-ladino-clover", catalog.Mixed, catalog.Mixed, 1},
		{"buckwheat", "", catalog.AnyRate, 1},
	}
	for _, tt := range tests {
		crop, err := c.Crop(tt.id)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ForBroadcast(crop, tt.preferred)
		if err != nil || got.Figure.Name != tt.name || got.Factor != tt.factor || got.Says == "" {
			t.Errorf("%s: %+v, %v", tt.id, got, err)
		}
		if rate, plain := got.Rate(), FromFigure(got.Figure); math.Abs(float64(rate.Mass)-tt.factor*float64(plain.Mass)) > 1e-15 {
			t.Errorf("%s: rate %v, printed %v", tt.id, rate.Mass, plain.Mass)
		}
	}
	if _, err := ForBroadcast(catalog.Crop{ID: "x", Name: "x"}, ""); err == nil {
		t.Error("a crop without a rate gets one")
	}
}

// Whatever a rate is given in, the others lead back to it.
func TestSowRoundTrips(t *testing.T) {
	lots := []Lot{
		{PerMass: 200000 * units.PerPound, Emergence: 0.7},
		{PerMass: 700000 * units.PerPound, Emergence: 0.6, Tag: Tag{Purity: 0.64, Germination: 0.8, Hard: 0.1, Coating: 0.34}},
		{PerMass: 700000 * units.PerPound, Emergence: 0.6, Tag: Tag{Purity: 0.98, Germination: 0.8, Hard: 0.1, Coating: 0.34, PurityUnderCoat: true}},
		{PerMass: 460000 * units.PerPound, Emergence: 1, Counted: true, Tag: Tag{Purity: 0.64, Germination: 0.8, Coating: 0.34}},
	}
	for i, l := range lots {
		first := sow(t, l, Rate{Of: catalog.OfProduct, Mass: 12 * units.PoundPerAcre})
		ways := []Rate{{Of: catalog.OfPLS, Mass: first.PLS}, {Of: catalog.OfSeeds, Count: first.Seeds}, {Of: catalog.OfPlants, Count: first.Plants}}
		for _, way := range ways {
			again := sow(t, l, way)
			if math.Abs(float64(again.Bulk/first.Bulk)-1) > 1e-12 || math.Abs(float64(again.Plants/first.Plants)-1) > 1e-12 {
				t.Errorf("lot %d by %s: %+v, want %+v", i+1, way.Of, again, first)
			}
		}
	}
}

func TestCoatingIsTakenOutOnce(t *testing.T) {
	beside := Tag{Purity: 0.66, Germination: 0.9, Coating: 0.34}
	under := Tag{Purity: 1, Germination: 0.9, Coating: 0.34, PurityUnderCoat: true}
	if math.Abs(beside.PLS()-under.PLS()) > 1e-12 || math.Abs(beside.PLS()-0.594) > 1e-12 {
		t.Errorf("beside %v, under %v, want 0.594", beside.PLS(), under.PLS())
	}
	if got := beside.LiveIn(beside.Bulk(2)); math.Abs(float64(got)-2) > 1e-12 {
		t.Errorf("there and back: %v", got)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	good := Rate{Of: catalog.OfProduct, Mass: 1}
	tests := []struct {
		name  string
		lot   Lot
		rate  Rate
		field string
	}{
		{"purity in percent", Lot{Tag: Tag{Purity: 98, Germination: 0.9}}, good, "purity"},
		{"NaN purity", Lot{Tag: Tag{Purity: nan, Germination: 0.9}}, good, "purity"},
		{"too much germination", Lot{Tag: Tag{Purity: 0.9, Germination: 0.9, Hard: 0.2}}, good, "germination"},
		{"dead seed", Lot{Tag: Tag{Purity: 0.9}}, good, "germination"},
		{"coat over purity", Lot{Tag: Tag{Purity: 0.9, Germination: 0.9, Coating: 0.3}}, good, "coating"},
		{"all coat", Lot{Tag: Tag{Purity: 0.9, Germination: 0.9, Coating: 1, PurityUnderCoat: true}}, good, "coating"},
		{"no purity", Lot{Tag: Tag{Germination: 0.9}}, good, "purity"},
		{"negative rate", Lot{}, Rate{Of: catalog.OfProduct, Mass: -1}, "mass_kg_per_m2"},
		{"endless rate", Lot{}, Rate{Of: catalog.OfSeeds, Count: units.CountPerArea(math.Inf(1))}, "count_per_m2"},
		{"emergence in percent", Lot{Emergence: 80}, good, "emergence"},
		{"rate of nothing", Lot{}, Rate{Mass: 1}, "of"},
		{"seeds uncounted", Lot{}, Rate{Of: catalog.OfSeeds, Count: 1}, "seeds_per_kg"},
		{"plants without emergence", Lot{PerMass: 1}, Rate{Of: catalog.OfPlants, Count: 1}, "emergence"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := tt.lot.Sow(tt.rate)
			if f, ok := fault.From(err); !ok || f.Where.Field != tt.field {
				t.Errorf("got %v, want a fault in %s", err, tt.field)
			}
		})
	}
	if _, err := Counted(0, 1); err == nil {
		t.Error("no seeds were counted, and that passes")
	}
	if _, err := Weighed(1, 0); err == nil {
		t.Error("a quart without a volume passes")
	}
}

func TestWeighedQuartOverridesTheBushelWeight(t *testing.T) {
	d, err := Weighed(1.05*units.Pound, units.DryQuart)
	if err != nil || math.Abs(d.PoundsPerBushel()-33.6) > 1e-9 {
		t.Fatalf("%v lb/bu, %v", d.PoundsPerBushel(), err)
	}
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	c, err = c.With(catalog.Own{Overrides: []catalog.Override{{ID: "oats", Figure: catalog.BulkDensity, Typical: float64(d), Unit: "kg/m3", Measured: true}}})
	if err != nil {
		t.Fatal(err)
	}
	oats, _ := c.Crop("oats")
	if f, _ := oats.Figure(catalog.BulkDensity); oats.Density() != d || f.Mark.Kind != source.Measured {
		t.Errorf("density %v, mark %+v", oats.Density(), f.Mark)
	}
}

func TestHandling(t *testing.T) {
	clover := catalog.Crop{ID: "c", Name: "clover", Legume: true, Inoculant: "red and white clover", Coated: true, Treated: true}
	notes := Handling(clover)
	if len(notes) != 3 || !strings.Contains(notes[0].Says, "red and white clover group") || !strings.Contains(notes[2].Says, "never left as feed") {
		t.Errorf("%+v", notes)
	}
	for _, n := range notes {
		if n.Mark.Kind == "" {
			t.Errorf("%q has no mark", n.Says)
		}
	}
	if want := printed.Expected(t, table, "SEEDMIX"); len(want) != 2 || !strings.Contains(notes[1].Says, fmt.Sprintf("%v %% of coated and %v %% of raw", want[0], want[1])) {
		t.Errorf("%q, the table prints %v", notes[1].Says, want)
	}
	oats := catalog.Crop{ID: "o", Name: "oats"}
	if got := Handling(oats); len(got) != 0 {
		t.Errorf("%+v", got)
	}
	if _, apart := ApartFromFertilizer(oats, false); apart {
		t.Error("plain oats may share the hopper")
	}
	if note, apart := ApartFromFertilizer(oats, true); !apart || note.Mark.Kind != source.Practice {
		t.Errorf("inoculated: %v %+v", apart, note)
	}
}

func BenchmarkSow(b *testing.B) {
	l := Lot{PerMass: 1e6, Emergence: 0.7, Tag: Tag{Purity: 0.98, Germination: 0.9}}
	for b.Loop() {
		if _, err := l.Sow(Rate{Of: catalog.OfPlants, Count: 100}); err != nil {
			b.Fatal(err)
		}
	}
}
