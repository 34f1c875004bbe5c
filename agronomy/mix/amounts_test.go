package mix_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// own is a product of the user's with a grade, for grades that no catalog has.
func own(n, p, k float64) *catalog.Product {
	grade := func(name catalog.Name, percent float64) catalog.Figure {
		return catalog.Figure{Name: name, Low: percent, High: percent, Unit: "%"}
	}
	return &catalog.Product{ID: "own", Name: "own", Class: catalog.Fertilizer, Release: catalog.Plain,
		Figures: []catalog.Figure{grade(catalog.Nitrogen, n), grade(catalog.Phosphate, p), grade(catalog.Potash, k)}}
}

// ownSeed is a crop of the user's with a number of seeds in a pound.
func ownSeed(perPound float64) *catalog.Crop {
	return &catalog.Crop{ID: "own-seed", Name: "own seed",
		Figures: []catalog.Figure{{Name: catalog.SeedsPerMass, Low: perPound, High: perPound, Unit: "seeds/lb"}}}
}

func work(t testing.TB, area units.Area, items ...mix.Item) mix.Result {
	t.Helper()
	r, err := mix.Mix{Name: "test", Items: items}.Amounts(area, theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// rate is what one item comes to in pounds of product per acre.
func rate(t testing.TB, item mix.Item) float64 {
	t.Helper()
	return work(t, units.Acre, item).Amounts[0].ProductRate.PoundsPerAcre()
}

func perAcre(n units.MassPerArea) float64 { return n.PoundsPerAcre() }

func TestNutrientRatesReproduceThePublishedRows(t *testing.T) {
	for _, id := range []string{"F1", "F3"} {
		p := reference(t, id)
		in := p.inputs()
		want := mix.Rate{N: lbPerAcre(in[0])}
		if id == "F3" {
			want = mix.Rate{K2O: lbPerAcre(in[0])}
		}
		grade := in[len(in)-3:]
		p.check(rate(t, mix.Item{Product: own(grade[0], grade[1], grade[2]), Rate: want}))
	}
}

func TestPhosphateRateCarriesNitrogen(t *testing.T) {
	p := reference(t, "F2")
	in := p.inputs() // 40 lb P2O5, whose name holds digits, from the grade
	grade := in[len(in)-3:]
	r := work(t, units.Acre, mix.Item{Product: own(grade[0], grade[1], grade[2]), Rate: mix.Rate{P2O5: lbPerAcre(in[0])}})
	p.check(r.Amounts[0].ProductRate.PoundsPerAcre(), perAcre(r.Nutrients.N))
	if a := r.Amounts[0]; a.RateOf != "P2O5" || math.Abs(a.Rate.PoundsPerAcre()-in[0]) > 1e-9 {
		t.Errorf("the rate is %g of %s", a.Rate.PoundsPerAcre(), a.RateOf)
	}
}

func TestNutrientsOfABagReproduceThePublishedRows(t *testing.T) {
	elements := func(n mix.Nutrients) []float64 {
		p, k := reference(t, "P2O5").expected()[0], reference(t, "K2O").expected()[0]
		return []float64{perAcre(n.N), perAcre(n.P2O5), perAcre(n.K2O), perAcre(n.P2O5) * p, perAcre(n.K2O) * k}
	}
	for id, figures := range map[string]int{"F5": 5, "F6": 3} {
		p := reference(t, id)
		in := p.inputs()
		r := work(t, units.Acre, mix.Item{Product: own(in[1], in[2], in[3]), Rate: mix.Rate{PlotMass: units.Mass(in[0]) * units.Pound}})
		p.check(elements(r.Nutrients)[:figures]...)
	}
}

func TestNitrogenFromTwoGrades(t *testing.T) {
	p := reference(t, "F14")
	in := p.inputs()
	var got []float64
	for _, id := range []string{"44-0-0", "46-0-0"} {
		got = append(got, rate(t, mix.Item{Material: id, Rate: mix.Rate{N: lbPerAcre(in[0])}}))
	}
	p.check(got...)
}

func TestPureLiveSeedToBulk(t *testing.T) {
	p := reference(t, "P4")
	in := p.inputs()
	tag := seed.Tag{Purity: in[1], Germination: in[2], Hard: in[3]}
	r := work(t, units.Acre, mix.Item{Material: "oats", Tag: tag, Rate: mix.Rate{Mass: lbPerAcre(in[0]), Of: catalog.OfPLS}})
	a := r.Amounts[0]
	p.check(a.Mass.Pounds())
	near(t, "rate stays of pure live seed", a.Rate.PoundsPerAcre(), in[0], 1e-9)
	near(t, "live seeds", float64(a.LivePerArea/a.SeedsPerArea), in[2]+in[3], 1e-9)
}

func TestSeedsPerSquareFootReproduceThePublishedRow(t *testing.T) {
	p := reference(t, "S1")
	var got []float64
	for _, perPound := range p.inputs() {
		if perPound < 1000 { // digits of a name
			continue
		}
		r := work(t, units.Acre, mix.Item{Crop: ownSeed(perPound), Rate: mix.Rate{Mass: lbPerAcre(1)}})
		got = append(got, r.Amounts[0].SeedsPerArea.PerSquareFoot())
	}
	p.check(got...)
}

func TestRatesBySeedsReproduceThePublishedRows(t *testing.T) {
	p := reference(t, "S2")
	in := p.inputs()
	var got []float64
	for _, perPound := range in[1:] {
		got = append(got, rate(t, mix.Item{Crop: ownSeed(perPound), Rate: mix.Rate{Seeds: units.CountPerArea(in[0]) * units.PerSquareFoot}}))
	}
	p.check(got...)
}

func TestSeedBagsForFiftyAcres(t *testing.T) {
	p := reference(t, "R3")
	in := p.inputs()
	item := mix.Item{Crop: ownSeed(in[1]), BagMass: 50 * units.Pound, Rate: mix.Rate{Seeds: units.CountPerArea(in[0]) * units.PerAcre}}
	a := work(t, 50*units.Acre, item).Amounts[0]
	p.check(a.ProductRate.PoundsPerAcre(), a.Bags)
}

func TestPlantsReproduceThePublishedRow(t *testing.T) {
	p := reference(t, "R5")
	in := p.inputs() // 1.1 M plants, 15 % loss, seeds per pound, germination
	item := mix.Item{Crop: ownSeed(in[2]), Tag: seed.Tag{Purity: 1, Germination: in[3]}, Emergence: 1 - in[1]/100,
		Rate: mix.Rate{Plants: units.CountPerArea(in[0]*1e6) * units.PerAcre}}
	p.check(rate(t, item))
	item.Emergence = 0
	near(t, "the usual loss is that of the source", rate(t, item), p.expected()[0], 0.01)
	if r := work(t, units.Acre, item); !says(r.Warnings, "emergence") {
		t.Error("an assumed emergence is not said")
	}
}

func TestQuartsOnAQuarterAcre(t *testing.T) {
	p := reference(t, "QT")
	in := p.inputs()
	var got []float64
	for i, id := range []string{"winter-wheat", "oats", "cereal-rye", "soybean", "buckwheat"} {
		r := work(t, units.Acre/4, mix.Item{Material: id, Rate: mix.Rate{Mass: lbPerAcre(in[i])}})
		got = append(got, r.Amounts[0].Volume.DryQuarts())
	}
	p.check(got...)
}

func TestSharesOfTheFullRate(t *testing.T) {
	p := reference(t, "MIX1")
	in := p.inputs() // rye at 75 % of 120, oats at 50 % of 64
	r := work(t, units.Acre,
		mix.Item{Material: "cereal-rye", Rate: mix.Rate{Share: in[0] / 100, Full: lbPerAcre(in[1])}},
		mix.Item{Material: "oats", Rate: mix.Rate{Share: in[2] / 100, Full: lbPerAcre(in[3])}})
	p.check(r.Amounts[0].ProductRate.PoundsPerAcre(), r.Amounts[1].ProductRate.PoundsPerAcre())
	for _, sum := range numbers(t, p.row["source"]) { // its mixes add to 125 % and 225 %
		if sum < 110 {
			continue
		}
		r := work(t, units.Acre,
			mix.Item{Material: "cereal-rye", Rate: mix.Rate{Share: 1, Full: lbPerAcre(in[1])}},
			mix.Item{Material: "oats", Rate: mix.Rate{Share: sum/100 - 1, Full: lbPerAcre(in[3])}})
		if !says(r.Warnings, "shares") {
			t.Errorf("shares of %g %% are not explained", sum)
		}
	}
	whole := work(t, units.Acre, mix.Item{Material: "oats", Rate: mix.Rate{Share: 1, Full: lbPerAcre(in[3])}})
	if says(whole.Warnings, "shares") {
		t.Error("shares of 100 % need no explaining")
	}
}

func TestMixtureOnAQuarterAcre(t *testing.T) {
	p := reference(t, "MIX2")
	in := p.inputs() // share and full rate of each in turn
	var items []mix.Item
	for i, id := range []string{"oats", "austrian-winter-pea", "crimson-clover"} {
		items = append(items, mix.Item{Material: id, Rate: mix.Rate{Share: in[2*i] / 100, Full: lbPerAcre(in[2*i+1])}})
	}
	r := work(t, units.Acre/4, items...)
	var got []float64
	for _, a := range r.Amounts {
		got = append(got, a.Mass.Pounds())
	}
	p.check(got...)
}

func TestDrilledRatesAreRaisedAndBroadcastOnesAreNot(t *testing.T) {
	factor := reference(t, "BROAD").expected()[0]
	item := mix.Item{Material: "oats", Rate: mix.Rate{Mass: lbPerAcre(80)}}
	near(t, "as given", rate(t, item), 80, 1e-9)
	item.Rate.Drilled = true
	near(t, "drilled", rate(t, item), 80*factor, 1e-9)
	crop, err := theCatalog(t).Crop("winter-wheat")
	if err != nil {
		t.Fatal(err)
	}
	for name, times := range map[catalog.Name]float64{catalog.Drilled: factor, catalog.Broadcast: 1, "": 1} {
		want := name
		if name == "" {
			want = catalog.Broadcast
		}
		f, _ := crop.Figure(want)
		got := work(t, units.Acre, mix.Item{Material: crop.ID, Rate: mix.Rate{Share: 1, FullName: name}}).Amounts[0]
		near(t, "full rate "+string(name), float64(got.ProductRate), f.Typical()*times, 1e-12)
	}
}

func TestPartsByWeight(t *testing.T) {
	m := mix.Mix{Name: "three to one", PartsRate: lbPerAcre(40), Items: []mix.Item{
		{Material: "oats", Rate: mix.Rate{Parts: 3}}, {Material: "crimson-clover", Rate: mix.Rate{Parts: 1}}}}
	r, err := m.Amounts(units.Acre/4, theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "oats", r.Amounts[0].Mass.Pounds(), 7.5, 1e-9)
	near(t, "clover", r.Amounts[1].Mass.Pounds(), 2.5, 1e-9)
}

func TestWholeAndHalfBags(t *testing.T) {
	item := mix.Item{Material: "19-19-19", Price: 24, Rate: mix.Rate{Mass: lbPerAcre(110)}}
	for _, tt := range []struct {
		half, spread         bool
		bags, buy, left, lay float64
	}{
		{false, false, 3, 3, 40, 110}, {true, false, 2.5, 3, 40, 110}, {true, true, 2.5, 3, 25, 125}, {false, true, 3, 3, 0, 150},
	} {
		item.HalfBags, item.SpreadBags = tt.half, tt.spread
		r := work(t, units.Acre, item)
		a := r.Amounts[0]
		near(t, "bags", a.Bags, tt.bags, 0)
		near(t, "bought", a.BuyBags, tt.buy, 0)
		near(t, "left", a.Left.Pounds(), tt.left, 1e-9)
		near(t, "spread", a.SpreadRate.PoundsPerAcre(), tt.lay, 1e-9)
		near(t, "cost", a.Cost, 24*tt.buy, 1e-9)
		near(t, "nitrogen of what is spread", perAcre(r.Nutrients.N), 0.19*tt.lay, 1e-9)
	}
}

func TestNoBagIsOpenedForLessThanAHundredthOfOne(t *testing.T) {
	for _, tt := range []struct{ rate, bags, left, lay float64 }{
		{150.4, 3, 0, 150}, {151, 4, 49, 151}, {0.3, 1, 49.7, 0.3},
	} {
		a := work(t, units.Acre, mix.Item{Material: "19-19-19", Rate: mix.Rate{Mass: lbPerAcre(tt.rate)}}).Amounts[0]
		near(t, "bags", a.Bags, tt.bags, 0)
		near(t, "left", a.Left.Pounds(), tt.left, 1e-9)
		near(t, "spread", a.SpreadRate.PoundsPerAcre(), tt.lay, 1e-9)
	}
}

func TestOwnWeighedQuartOverridesTheBushelWeight(t *testing.T) {
	item := mix.Item{Material: "oats", Rate: mix.Rate{PlotVolume: 8 * units.DryQuart}}
	near(t, "by the bushel weight", work(t, units.Acre, item).Amounts[0].Mass.Pounds(), 8, 1e-9)
	item.Density = units.Density(1.25 * float64(units.Pound) / float64(units.DryQuart))
	r := work(t, units.Acre, item)
	near(t, "by the weighed quart", r.Amounts[0].Mass.Pounds(), 10, 1e-9)
	for _, s := range r.Sources {
		if s.Figure == "materials[0].volume_m3" {
			if s.Kind != "measured" || !strings.Contains(s.Overrides, "lb/bu") {
				t.Errorf("the override is not told: %+v", s)
			}
			return
		}
	}
	t.Error("no source for the volume")
}

// Every way of saying one amount comes back to it: amount and count through
// each unit without drift.
func TestRatesRoundTripThroughEveryUnit(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	crop := ownSeed(1)
	for range 100 {
		lb, area := 1+r.Float64()*300, units.Area(0.05+r.Float64()*20)*units.Acre
		perPound, quart := 500+r.Float64()*4e5, 0.5+r.Float64()*1.5
		crop.Figures[0].Low, crop.Figures[0].High = perPound, perPound
		density := units.Density(quart * float64(units.Pound) / float64(units.DryQuart))
		item := mix.Item{Crop: crop, Density: density, BagMass: 50 * units.Pound,
			Tag: seed.Tag{Purity: 0.5 + r.Float64()/2, Germination: 0.4 + r.Float64()/2}, Emergence: 0.3 + r.Float64()*0.7}
		mass := lbPerAcre(lb)
		item.Rate = mix.Rate{Mass: mass}
		first := work(t, area, item).Amounts[0]
		for name, same := range map[string]mix.Rate{
			"volume":      {Volume: units.VolumePerArea(float64(mass) / float64(density))},
			"plot volume": {PlotVolume: first.Volume},
			"plot mass":   {PlotMass: first.Mass},
			"seeds":       {Seeds: first.SeedsPerArea},
			"live seeds":  {Seeds: first.LivePerArea, Of: catalog.OfPLS},
			"plants":      {Plants: first.LivePerArea * units.CountPerArea(item.Emergence)},
			"pls":         {Mass: mass * units.MassPerArea(item.Tag.PLS()), Of: catalog.OfPLS},
			"bags":        {Bags: first.BagsExact},
		} {
			item.Rate = same
			again := work(t, area, item).Amounts[0]
			near(t, name+" mass", float64(again.Mass/first.Mass), 1, 1e-9)
			near(t, name+" seeds", float64(again.SeedsPerArea/first.SeedsPerArea), 1, 1e-9)
		}
	}
}

func TestFaultsSayWhereAndWhatToDo(t *testing.T) {
	oats := func(r mix.Rate) mix.Item { return mix.Item{Material: "oats", Rate: r} }
	for _, tt := range []struct {
		name, code, field string
		m                 mix.Mix
		area              units.Area
	}{
		{"no name", "mix_name", "name", mix.Mix{Items: []mix.Item{oats(mix.Rate{Mass: 1})}}, 1},
		{"empty", "mix_empty", "items", mix.Mix{Name: "m"}, 1},
		{"no area", "area", "area_m2", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Mass: 1})}}, 0},
		{"two rates", "rate", "items[0].rate", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Mass: 1, Bags: 1})}}, 1},
		{"nan", "rate", "items[0].rate", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Mass: units.MassPerArea(math.NaN())})}}, 1},
		{"unknown material", "not_in_catalog", "items[1].material", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Mass: 1}), {Material: "nothing", Rate: mix.Rate{Mass: 1}}}}, 1},
		{"two materials", "material", "items[0].material", mix.Mix{Name: "m", Items: []mix.Item{{Material: "oats", Product: own(1, 1, 1), Rate: mix.Rate{Mass: 1}}}}, 1},
		{"no such nutrient", "grade", "items[0].rate", mix.Mix{Name: "m", Items: []mix.Item{{Material: "46-0-0", Rate: mix.Rate{K2O: 1}}}}, 1},
		{"volume without density", "density", "items[0].density_kg_per_m3", mix.Mix{Name: "m", Items: []mix.Item{{Crop: ownSeed(1000), Rate: mix.Rate{PlotVolume: 1}}}}, 1},
		{"bags without a bag", "bag", "items[0].bag_kg", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Bags: 1})}}, 1},
		{"tag", "tag", "items[0].tag.purity", mix.Mix{Name: "m", Items: []mix.Item{{Material: "oats", Tag: seed.Tag{Purity: 98, Germination: 0.8}, Rate: mix.Rate{Mass: 1}}}}, 1},
		{"beyond all measure", "amount", "items[0].rate", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Mass: 1e308})}}, 1e5},
		{"parts without a sum", "parts_rate", "items[0].rate.parts", mix.Mix{Name: "m", Items: []mix.Item{oats(mix.Rate{Parts: 1})}}, 1},
		{"share of nothing", "full_rate", "items[0].rate.full_kg_per_m2", mix.Mix{Name: "m", Items: []mix.Item{{Material: "46-0-0", Rate: mix.Rate{Share: 1}}}}, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := tt.m.Amounts(tt.area, theCatalog(t), units.US)
			f, ok := fault.From(err)
			if !ok || f.Code != tt.code || f.Where.Field != tt.field || f.Remedy == "" {
				t.Errorf("got %v (%+v), want %s at %s", err, f, tt.code, tt.field)
			}
		})
	}
}

func BenchmarkAmounts(b *testing.B) {
	cat := theCatalog(b)
	m := mix.Mix{Name: "bench", Items: []mix.Item{
		{Material: "oats", Rate: mix.Rate{Share: 0.5}}, {Material: "crimson-clover", Rate: mix.Rate{Share: 0.5}},
		{Material: "19-19-19", Rate: mix.Rate{Mass: lbPerAcre(200)}}}}
	for b.Loop() {
		if _, err := m.Amounts(units.Acre/4, cat, units.US); err != nil {
			b.Fatal(err)
		}
	}
}

// What was entered for the plot stands behind its amount, not behind a rate.
func TestAnAmountForThePlotIsItsOwnSource(t *testing.T) {
	m := mix.Mix{Name: "m", Items: []mix.Item{{Material: "13-13-13", Rate: mix.Rate{Bags: 1}}, {Material: "oats", Rate: mix.Rate{Mass: lbPerAcre(80)}}}}
	r, err := m.Amounts(units.Acre, theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	says := map[string]string{}
	for _, s := range r.Sources {
		says[s.Figure] = s.Says
	}
	if !strings.HasSuffix(says["materials[0].mass_kg"], "at 1 bag on the plot") || says["materials[0].rate_kg_per_m2"] != "" {
		t.Errorf("got %v", says)
	}
	if says["materials[1].rate_kg_per_m2"] != "oats at 80 lb/ac" || says["materials[1].mass_kg"] != "" {
		t.Errorf("got %v", says)
	}
}
