package soil

import (
	"math"
	"os"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/catalog/printed"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

var table = printed.Table{Folder: os.DirFS("../../testdata/reference"), File: "agronomy.csv"}

func product(t *testing.T, id string) *catalog.Product {
	t.Helper()
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	p, err := c.Product(id)
	if err != nil {
		t.Fatal(err)
	}
	return &p
}

func pounds(n, p2o5, k2o units.MassPerArea) mix.Nutrients {
	const lb = units.PoundPerAcre
	return mix.Nutrients{N: n * lb, P2O5: p2o5 * lb, K2O: k2o * lb}
}

// rates are the pounds per acre of the products named, in that order.
func rates(t *testing.T, need mix.Nutrients, from Carriers, ids ...string) []float64 {
	t.Helper()
	b, err := PFirst(need, from, units.US)
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, id := range ids {
		for _, p := range b.Portions {
			if p.Product == id {
				out = append(out, p.Rate.PoundsPerAcre())
			}
		}
	}
	return out
}

// TestReference checks rows whose inputs are written here, by id, against the
// values printed by the sources that the table names.
func TestReference(t *testing.T) {
	three := Carriers{Phosphate: product(t, "18-46-0"), Potash: product(t, "0-0-60"), Nitrogen: product(t, "46-0-0")}
	order := []string{"18-46-0", "46-0-0", "0-0-60"}
	tests := []struct {
		id        string
		got       []float64
		tolerance float64
	}{
		{"P2O5", []float64{PPerP2O5}, 1e-6},
		{"K2O", []float64{KPerK2O}, 1e-6},
		{"F1", rates(t, pounds(80, 0, 0), three, "46-0-0"), 0.01},
		{"F2", monoammonium(t), 0.01},
		{"F3", rates(t, pounds(0, 0, 15), three, "0-0-60"), 0.001},
		{"F5", content(catalog.Grade{N: 0.30, P2O5: 0.04, K2O: 0.04}, 60, true), 0.001},
		{"F6", content(product(t, "6-6-18").Grade(), 50, false), 1e-9},
		{"F10", rates(t, pounds(60, 40, 40), three, order...), 0.005},
		{"F11", rates(t, pounds(100, 60, 60), three, order...), 0.005},
		{"F12", compound(t, three, order), 0.005},
		{"F14", append(rates(t, pounds(50, 0, 0), Carriers{Nitrogen: product(t, "44-0-0")}, "44-0-0"), rates(t, pounds(50, 0, 0), three, "46-0-0")...), 0.001},
		{"LIME-ENP", limeTons(t), 0.001},
		{"LIME-ENV", []float64{100 * mustPower(t, lime(t, 0.95, 0.95, 0.60, 0.40, 0))}, 0.01},
		{"LIME-DEPTH", []float64{LimeAsk{Depth: 3 * units.Inch}.depthFactor()}, 0.001},
		{"LIME-MN", buffer(t, 6.5, 6.4, 6.2, 6.0), 1e-9},
		{"SALT", append(salt(t, false), salt(t, true)...), 1e-9},
	}
	for _, tt := range tests {
		t.Run(tt.id, func(t *testing.T) {
			printed.Check(t, table, tt.id, tt.tolerance, tt.got...)
		})
	}
}

func monoammonium(t *testing.T) []float64 {
	b, err := PFirst(pounds(0, 40, 0), Carriers{Phosphate: product(t, "11-52-0")}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	return []float64{b.Portions[0].Rate.PoundsPerAcre(), b.Gives.N.PoundsPerAcre()}
}

func content(g catalog.Grade, lb units.MassPerArea, elements bool) []float64 {
	n := Gives(g, lb*units.PoundPerAcre)
	out := []float64{n.N.PoundsPerAcre(), n.P2O5.PoundsPerAcre(), n.K2O.PoundsPerAcre()}
	if elements {
		p, k := Elements(n)
		out = append(out, p.PoundsPerAcre(), k.PoundsPerAcre())
	}
	return out
}

func compound(t *testing.T, from Carriers, order []string) []float64 {
	parts, filler, err := Compound(catalog.Grade{N: 0.19, P2O5: 0.19, K2O: 0.19}, from)
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, id := range order {
		for _, p := range parts {
			if p.Product == id {
				out = append(out, 100*p.Share)
			}
		}
	}
	return append(out, 100*filler)
}

// lime is a product of the user's; figures are shares.
func lime(t *testing.T, cce, p20, p60, p100, enp float64) catalog.Product {
	t.Helper()
	p := catalog.Product{ID: "own-lime", Name: "own lime", Class: catalog.Lime}
	add := func(n catalog.Name, v float64) {
		if v > 0 {
			p.Figures = append(p.Figures, catalog.Figure{Name: n, Low: v, High: v, Unit: "1"})
		}
	}
	add(catalog.CCE, cce)
	add(catalog.Pass20, p20)
	add(catalog.Pass60, p60)
	add(catalog.Pass100, p100)
	add(catalog.ENP, enp)
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	if c, err = c.With(catalog.Own{Products: []catalog.Product{p}}); err != nil {
		t.Fatal(err)
	}
	p, _ = c.Product("own-lime")
	return p
}

func mustPower(t *testing.T, p catalog.Product) float64 {
	t.Helper()
	power, _, err := Power(p)
	if err != nil {
		t.Fatal(err)
	}
	return power
}

func limeTons(t *testing.T) []float64 {
	var out []float64
	for _, enp := range []float64{0.5, 0.75} { // 1000 and 1500 lb of ENP to the ton
		d, err := Lime(lime(t, 0, 0, 0, 0, enp), LimeAsk{Recommended: (2 * units.ShortTon).Over(units.Acre), Area: units.Acre})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, d.Mass.ShortTons())
	}
	return out
}

func buffer(t *testing.T, indices ...float64) []float64 {
	var out []float64
	for _, index := range indices {
		r, _, err := FromBufferIndex(index)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r.PoundsPerAcre())
	}
	return out
}

func salt(t *testing.T, sandy bool) []float64 {
	var out []float64
	for _, in := range []units.Length{40, 30, 20} {
		r, _, err := SaltLimit(in*units.Inch, sandy)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r.PoundsPerAcre())
	}
	return out
}

func rate(r float64) *units.MassPerArea {
	given := units.MassPerArea(r)
	return &given
}

func TestReportTellsNoneFromNotSaid(t *testing.T) {
	tests := []struct {
		report Report
		told   bool
		silent string
	}{
		{Report{N: rate(0), P2O5: rate(0), K2O: rate(0)}, true, ""},
		{Report{N: rate(0), P: rate(0)}, true, "K2O not given, taken as none"},
		{Report{K: rate(0.01)}, true, "N and P2O5 not given, taken as none"},
		{Report{Laboratory: "the county laboratory"}, false, "N and P2O5 and K2O not given, taken as none"},
	}
	for _, tt := range tests {
		need, err := tt.report.Need()
		if err != nil || tt.report.Told() != tt.told {
			t.Errorf("%+v: told %v, %v", tt.report, tt.report.Told(), err)
		}
		if _, silent, _ := strings.Cut(need.Says, "; "); silent != tt.silent {
			t.Errorf("%q, want %q", need.Says, tt.silent)
		}
	}
}

func TestReportTakesElements(t *testing.T) {
	need, err := Report{N: rate(1), P: rate(PPerP2O5), K: rate(KPerK2O), Laboratory: "the county laboratory"}.Need()
	if err == nil {
		t.Fatalf("a rate of 1 kg/m2 passes: %+v", need)
	}
	need, err = Report{N: rate(0.01), P: rate(0.01 * PPerP2O5), K: rate(0.01 * KPerK2O), Laboratory: "the county laboratory"}.Need()
	if err != nil || need.Mark.Kind != source.Measured || !strings.Contains(need.Says, "the county laboratory") {
		t.Fatalf("%+v, %v", need, err)
	}
	p, k := Elements(need.Nutrients)
	for _, r := range []units.MassPerArea{need.P2O5, need.K2O, p / PPerP2O5, k / KPerK2O} {
		if math.Abs(float64(r)-0.01) > 1e-15 {
			t.Errorf("got %v, want 0.01", r)
		}
	}
}

func TestReportRefuses(t *testing.T) {
	tests := []struct {
		field  string
		report Report
	}{
		{"p_kg_per_m2", Report{P: rate(0.01), P2O5: rate(0.01)}},
		{"k_kg_per_m2", Report{K: rate(0.01), K2O: rate(0.01)}},
		{"n_kg_per_m2", Report{N: rate(-1)}},
		{"k2o_kg_per_m2", Report{K2O: rate(math.NaN())}},
	}
	for _, tt := range tests {
		_, err := tt.report.Need()
		if f, ok := fault.From(err); !ok || f.Where.Field != tt.field {
			t.Errorf("%+v: %v, want a fault in %s", tt.report, err, tt.field)
		}
	}
}

func TestCreditNeverMovesBetweenNutrients(t *testing.T) {
	need := DefaultNeed(false)
	left, spare, err := need.After(Credit{From: "manure", Nutrients: pounds(100, 10, 0)}, Credit{From: "bag", Nutrients: pounds(0, 10, 0)})
	if err != nil {
		t.Fatal(err)
	}
	if left != pounds(0, 20, 40) || math.Abs(spare.N.PoundsPerAcre()-40) > 1e-9 || spare.P2O5 != 0 {
		t.Errorf("left %+v, spare %+v", left, spare)
	}
	if n := DefaultNeed(true); n.N != 0 || n.Mark.Kind != source.Memory {
		t.Errorf("%+v", n)
	}
}

func TestTooMuchNitrogenIsNeverSilent(t *testing.T) {
	b, err := PFirst(pounds(5, 40, 0), Carriers{Phosphate: product(t, "18-46-0")}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	if got := b.Over.N.PoundsPerAcre(); math.Abs(got-(40/0.46*0.18-5)) > 1e-9 {
		t.Errorf("over %v", got)
	}
	if len(b.Notes) != 1 || !strings.Contains(b.Notes[0].Says, "nitrogen more than is needed") {
		t.Errorf("%+v", b.Notes)
	}
}

func TestShortIsSaid(t *testing.T) {
	b, err := PFirst(pounds(10, 10, 10), Carriers{}, units.Metric)
	if err != nil || b.Short != pounds(10, 10, 10) || len(b.Notes) != 3 || !strings.Contains(b.Notes[0].Says, "kg/ha") {
		t.Errorf("%+v, %v", b, err)
	}
	if _, err := PFirst(pounds(10, 0, 0), Carriers{Nitrogen: product(t, "0-0-60")}, units.US); err == nil {
		t.Error("potash answers for nitrogen")
	}
}

func TestChoose(t *testing.T) {
	var onHand []catalog.Product
	for _, id := range []string{"pelletized-lime", "19-19-19", "18-46-0", "0-46-0", "46-0-0", "44-0-0", "0-0-60"} {
		onHand = append(onHand, *product(t, id))
	}
	tests := []struct {
		name              string
		need              mix.Nutrients
		phosphate, potash string
	}{
		{"room for nitrogen", pounds(60, 40, 0), "18-46-0", "0-0-60"},
		{"none for nitrogen", pounds(0, 40, 40), "0-46-0", "0-0-60"},
	}
	for _, tt := range tests {
		c := Choose(tt.need, onHand)
		if c.Phosphate.ID != tt.phosphate || c.Potash.ID != tt.potash || c.Nitrogen.ID != "46-0-0" {
			t.Errorf("%s: %s, %s, %s", tt.name, c.Phosphate.ID, c.Potash.ID, c.Nitrogen.ID)
		}
		b, err := PFirst(tt.need, c, units.US)
		if err != nil || b.Over != (mix.Nutrients{}) || b.Short != (mix.Nutrients{}) {
			t.Errorf("%s: %+v, %v", tt.name, b, err)
		}
	}
}

func TestCompoundRefusesWhatCannotBe(t *testing.T) {
	three := Carriers{Phosphate: product(t, "18-46-0"), Potash: product(t, "0-0-60"), Nitrogen: product(t, "46-0-0")}
	for _, g := range []catalog.Grade{{N: 0.4, P2O5: 0.2, K2O: 0.2}, {N: 0.01, P2O5: 0.4}} {
		if parts, filler, err := Compound(g, three); err == nil {
			t.Errorf("%+v: %+v, filler %v", g, parts, filler)
		}
	}
}

func TestLimeForAPlot(t *testing.T) {
	ask := LimeAsk{Recommended: (2 * units.ShortTon).Over(units.Acre), Area: units.Acre / 4, Depth: 3 * units.Inch}
	d, err := Lime(*product(t, "pelletized-lime"), ask)
	if err != nil {
		t.Fatal(err)
	}
	// 4000 lb/ac on a quarter acre, 0.45 of it for the depth, over a CCE of 90 %
	if want := 4000 * 0.25 * 0.45 / 0.90; math.Abs(d.Mass.Pounds()-want) > 1e-9 || d.Bags != math.Ceil(want/40) {
		t.Errorf("%v lb in %v bags, want %v lb", d.Mass.Pounds(), d.Bags, want)
	}
	if len(d.Notes) != 2 || d.Notes[0].Mark.Kind != source.Memory || !strings.Contains(d.Notes[1].Says, "by itself") {
		t.Errorf("%+v", d.Notes)
	}
	lean, err := Lime(*product(t, "pelletized-lime"), LimeAsk{Recommended: ask.Recommended, Power: 0.9, Area: ask.Area})
	if err != nil || math.Abs(lean.Mass.Pounds()-1000) > 1e-9 {
		t.Errorf("a recommendation for lime like this one: %v lb, %v", lean.Mass.Pounds(), err)
	}
}

func TestSweetening(t *testing.T) {
	p := *product(t, "pelletized-lime")
	d, err := Lime(p, LimeAsk{Recommended: (2 * units.ShortTon).Over(units.Acre), Area: units.Acre})
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name   string
		rate   units.MassPerArea
		needed *LimeDose
		named  bool
	}{
		{"two bags on a quarter acre", 320 * units.PoundPerAcre, &d, true},
		{"without a test", 320 * units.PoundPerAcre, nil, true},
		{"the whole dose", d.Rate, &d, false},
		{"much without a test", 3000 * units.PoundPerAcre, nil, false},
	}
	for _, tt := range tests {
		note, named, err := Sweetening(p, tt.rate, tt.needed, units.US)
		if err != nil || named != tt.named || named != strings.Contains(note.Says, "sweetening") {
			t.Errorf("%s: %v %q %v", tt.name, named, note.Says, err)
		}
	}
}

func TestLimeRefuses(t *testing.T) {
	good := lime(t, 0.9, 0, 0, 0, 0)
	tests := []struct {
		name    string
		product catalog.Product
		ask     LimeAsk
	}{
		{"fertilizer", *product(t, "46-0-0"), LimeAsk{Area: 1}},
		{"no quality", catalog.Product{ID: "x", Name: "x", Class: catalog.Lime}, LimeAsk{Area: 1}},
		{"sieves the wrong way", lime(t, 0.9, 0.4, 0.6, 0.9, 0), LimeAsk{Area: 1}},
		{"no number", good, LimeAsk{Recommended: units.MassPerArea(math.NaN()), Area: 1}},
		{"below zero", good, LimeAsk{Area: -1}},
		{"a basis of nothing", good, LimeAsk{Area: 1, BasisDepth: 1e-300, Depth: 0.1}},
	}
	for _, tt := range tests {
		if d, err := Lime(tt.product, tt.ask); err == nil {
			t.Errorf("%s: %+v", tt.name, d)
		}
	}
	if _, _, err := FromBufferIndex(7); err == nil {
		t.Error("a buffer index of 7 is not in the table")
	}
	if _, _, err := FromBufferIndex(math.NaN()); err == nil {
		t.Error("NaN is not in the table")
	}
}

func TestKeptApartFromLime(t *testing.T) {
	for id, apart := range map[string]bool{"0-0-60": false, "21-0-0": true, "0-46-0": true, "46-0-0": true} {
		if note, got := ApartFromLime(*product(t, id)); got != apart || got != (note.Says != "") {
			t.Errorf("%s: %v %q", id, got, note.Says)
		}
	}
}

func TestHazards(t *testing.T) {
	urea, slow := *product(t, "46-0-0"), *product(t, "44-0-0")
	tests := []struct {
		name  string
		quick mix.Nutrients
		with  []catalog.Product
		at    Placement
		want  []string // words of each note, in order
	}{
		{"modest", pounds(40, 20, 20), []catalog.Product{slow}, Placement{}, nil},
		{"too much in the row", pounds(6, 0, 4), nil, Placement{Row: 30 * units.Inch}, []string{"no more than 8 lb/ac"}},
		{"enough in the row", pounds(4, 0, 4), nil, Placement{Row: 30 * units.Inch}, nil},
		{"sandy", pounds(4, 0, 4), nil, Placement{Row: 30 * units.Inch, Sandy: true}, []string{"no more than 6 lb/ac"}},
		{"beyond the table", pounds(4, 0, 4), nil, Placement{Row: 7 * units.Inch}, []string{"out of the seed row"}},
		{"urea left on top", pounds(40, 0, 0), []catalog.Product{urea}, Placement{}, []string{"1/2 in of rain within 2 to 3 days"}},
		{"urea worked in", pounds(40, 0, 0), []catalog.Product{urea}, Placement{WorkedIn: true}, nil},
		{"heavy", pounds(126, 0, 38), []catalog.Product{slow}, Placement{}, []string{"beside seed can burn", "at once"}},
		{"to the water", pounds(40, 20, 0), nil, Placement{Frozen: true, HeavyRain: true, SlopeRise: 0.1, NearWater: true}, []string{"frozen", "heavy rain", "slope", "setback"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Hazards(tt.quick, tt.with, tt.at, units.US)
			if len(got) != len(tt.want) {
				t.Fatalf("%+v, want %q", got, tt.want)
			}
			for i, n := range got {
				if !strings.Contains(n.Says, tt.want[i]) || n.Mark.Kind == "" {
					t.Errorf("got %q (%s), want %q", n.Says, n.Mark, tt.want[i])
				}
			}
		})
	}
}

func BenchmarkPFirst(b *testing.B) {
	c, err := catalog.Default()
	if err != nil {
		b.Fatal(err)
	}
	onHand := c.Products()
	need := DefaultNeed(false).Nutrients
	for b.Loop() {
		if _, err := PFirst(need, Choose(need, onHand), units.US); err != nil {
			b.Fatal(err)
		}
	}
}
