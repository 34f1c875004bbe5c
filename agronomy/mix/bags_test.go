package mix_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// every is the slow and obviously correct search: all counts of half bags.
func every(stocks []mix.Stock, budget int, visit func(halves []int)) {
	counts := make([]int, len(stocks))
	var deeper func(at, left int)
	deeper = func(at, left int) {
		if at == len(stocks) {
			visit(counts)
			return
		}
		step, most := 2, left
		if stocks[at].HalfBags {
			step = 1
		}
		if stocks[at].MostBags > 0 {
			most = min(most, 2*stocks[at].MostBags)
		}
		for n := 0; n <= most; n += step {
			counts[at] = n
			deeper(at+1, left-n)
		}
		counts[at] = 0
	}
	deeper(0, budget)
}

// judged is what brute force says of one combination.
type judged struct{ cost, deviation float64 }

type bagCase struct {
	need   mix.Nutrients
	area   units.Area
	stocks []mix.Stock
	limits mix.BagLimits
	short  float64
}

func (c bagCase) judge(halves []int) (j judged, nitrogen float64, meets bool) {
	need := [3]float64{float64(c.need.N.On(c.area)), float64(c.need.P2O5.On(c.area)), float64(c.need.K2O.On(c.area))}
	var gives [3]float64
	for i, p := range c.stocks {
		kg := float64(halves[i]) / 2 * float64(p.BagMass)
		gives[0] += p.N * kg
		gives[1] += p.P2O5 * kg
		gives[2] += p.K2O * kg
		j.cost += math.Ceil(float64(halves[i])/2) * p.Price
	}
	meets = true
	for k := range need {
		j.deviation += math.Abs(gives[k] - need[k])
		meets = meets && gives[k] >= need[k]*(1-c.short)*(1-1e-9)
	}
	return j, gives[0], meets
}

// brute lists the three best of all combinations by cost and by deviation.
func (c bagCase) brute() (cheapest, closest []judged) {
	cap := float64(c.limits.NitrogenMost.On(c.area)) * (1 + 1e-12)
	if c.limits.NitrogenMost == 0 {
		cap = float64(c.need.N.On(c.area)) * 1.1 * (1 + 1e-12)
	}
	every(c.stocks, 2*c.limits.MostBags, func(halves []int) {
		j, nitrogen, meets := c.judge(halves)
		if nitrogen > cap {
			return
		}
		closest = best3(closest, j, func(j judged) float64 { return j.deviation })
		if meets {
			cheapest = best3(cheapest, j, func(j judged) float64 { return j.cost })
		}
	})
	return cheapest, closest
}

// best3 keeps the three least.
func best3(kept []judged, j judged, by func(judged) float64) []judged {
	if len(kept) == 3 && by(j) >= by(kept[2]) {
		return kept
	}
	kept = append(kept, j)
	slices.SortFunc(kept, func(a, b judged) int { return cmp.Compare(by(a), by(b)) })
	return kept[:min(3, len(kept))]
}

func randomBagCase(r *rand.Rand) bagCase {
	rate := func(most float64) units.MassPerArea {
		if r.IntN(4) == 0 {
			return 0
		}
		return units.MassPerArea(r.Float64()*most) * units.PoundPerAcre
	}
	c := bagCase{area: units.Area(0.1+r.Float64()) * units.Acre, short: 0.1}
	c.need = mix.Nutrients{N: rate(120) + units.PoundPerAcre, P2O5: rate(80), K2O: rate(80)}
	c.limits.MostBags = 1 + r.IntN(8)
	if r.IntN(3) == 0 {
		c.short = r.Float64() * 0.3
		c.limits.ShortRel = &c.short
	}
	if r.IntN(3) == 0 {
		c.limits.NitrogenMost = c.need.N * units.MassPerArea(0.5+r.Float64())
	}
	for i := range 1 + r.IntN(4) {
		grade := func() float64 { return float64(max(0, r.IntN(50)-14)) / 150 }
		c.stocks = append(c.stocks, mix.Stock{Name: fmt.Sprintf("product %d", i+1),
			N: grade() + 0.01, P2O5: grade(), K2O: grade(), BagMass: units.Mass(10*(1+r.IntN(5))) * units.Pound,
			Price: float64(5 + r.IntN(40)), MostBags: r.IntN(7), HalfBags: r.IntN(2) == 0})
	}
	if r.IntN(3) > 0 {
		c.need = nearBags(r, c)
	}
	return c
}

// nearBags is a need close to what some bags give, so that it can be met.
func nearBags(r *rand.Rand, c bagCase) (need mix.Nutrients) {
	for _, p := range c.stocks {
		bags := units.Mass(r.IntN(c.limits.MostBags + 1))
		rate := (p.BagMass * bags / units.Mass(len(c.stocks))).Over(c.area) * units.MassPerArea(0.9+0.2*r.Float64())
		need.N += rate * units.MassPerArea(p.N)
		need.P2O5 += rate * units.MassPerArea(p.P2O5)
		need.K2O += rate * units.MassPerArea(p.K2O)
	}
	need.N += units.PoundPerAcre
	return need
}

func TestBagSearchEqualsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1963))
	withCheapest := 0
	for n := range 2000 {
		c := randomBagCase(r)
		got, err := mix.ChooseBags(c.need, c.area, c.stocks, c.limits, units.US)
		if err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if !got.Proven {
			t.Fatalf("case %d: not proven", n)
		}
		cheapest, closest := c.brute()
		if len(cheapest) > 0 {
			withCheapest++
		}
		same(t, n, "cheapest cost", got.Cheapest, cheapest, func(x mix.Combination) float64 { return x.Cost }, func(j judged) float64 { return j.cost })
		same(t, n, "closest deviation", got.Closest, closest,
			func(x mix.Combination) float64 { return float64(x.Deviation.On(c.area)) }, func(j judged) float64 { return j.deviation })
		if t.Failed() {
			t.Fatalf("case %d: %+v", n, c)
		}
	}
	if withCheapest < 300 {
		t.Errorf("only %d of the cases have a cheapest answer: the cases are too hard to mean anything", withCheapest)
	}
}

func same(t *testing.T, n int, what string, got []mix.Combination, want []judged, of func(mix.Combination) float64, by func(judged) float64) {
	t.Helper()
	if len(got) != min(3, len(want)) {
		t.Errorf("case %d: %s: %d answers, brute force has %d", n, what, len(got), len(want))
		return
	}
	for i := range got {
		if math.Abs(of(got[i])-by(want[i])) > 1e-7*(1+by(want[i])) {
			t.Errorf("case %d: %s %d is %g, brute force %g", n, what, i+1, of(got[i]), by(want[i]))
		}
	}
}

func TestNitrogenIsNeverOverAppliedSilently(t *testing.T) {
	bag := 50 * units.Pound
	stocks := []mix.Stock{{Name: "18-46-0", N: 0.18, P2O5: 0.46, BagMass: bag, Price: 40}}
	need := mix.Nutrients{N: lbPerAcre(10), P2O5: lbPerAcre(80)}
	c, err := mix.ChooseBags(need, units.Acre, stocks, mix.BagLimits{}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Cheapest) != 0 || len(c.Says) == 0 || !strings.Contains(c.Says[0], "without more than 11 lb/ac of nitrogen") {
		t.Errorf("80 lb of phosphate from this product brings 31 lb of nitrogen: %+v", c)
	}
	for _, x := range c.Closest {
		if x.Gives.N.PoundsPerAcre() > 11+1e-9 {
			t.Errorf("passes the limit: %s", x.Says)
		}
	}
	c, err = mix.ChooseBags(need, units.Acre, stocks, mix.BagLimits{NitrogenMost: lbPerAcre(40)}, units.US)
	if err != nil || len(c.Cheapest) == 0 {
		t.Fatalf("a raised limit gives no answer: %+v, %v", c, err)
	}
	if !strings.Contains(strings.Join(c.Says, "; "), "The cheapest gives 26 lb/ac more nitrogen than is needed") || !strings.Contains(c.Cheapest[0].Says, "36 lb/ac N (26 lb/ac over)") {
		t.Errorf("the surplus is not said: %v, %s", c.Says, c.Cheapest[0].Says)
	}
}

func TestBagSearchSaysWhenAPriceIsMissing(t *testing.T) {
	stocks := sixProducts(false)
	stocks[2].Price = 0
	c, err := mix.ChooseBags(mix.Nutrients{N: lbPerAcre(60)}, units.Acre, stocks, mix.BagLimits{}, units.US)
	if err != nil || len(c.Cheapest) != 0 || len(c.Closest) != 3 || !strings.Contains(c.Says[0], "price is missing") {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestHalfABagIsPaidWhole(t *testing.T) {
	stocks := []mix.Stock{{Name: "46-0-0", N: 0.46, BagMass: 50 * units.Pound, Price: 30, HalfBags: true}}
	c, err := mix.ChooseBags(mix.Nutrients{N: lbPerAcre(34.5)}, units.Acre, stocks, mix.BagLimits{Keep: 1}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	best := c.Closest[0]
	near(t, "bags", best.Bags[0].Bags, 1.5, 0)
	near(t, "bought", best.Bags[0].Buy, 2, 0)
	near(t, "cost", best.Cost, 60, 0)
	near(t, "deviation", float64(best.Deviation), 0, 1e-12)
}

func TestBagsOfTheCatalog(t *testing.T) {
	p, err := theCatalog(t).Product("18-46-0")
	if err != nil {
		t.Fatal(err)
	}
	got := mix.StockOf(p)
	want := mix.Stock{ID: p.ID, Name: p.Name, N: 0.18, P2O5: 0.46, BagMass: p.BagMass()}
	if got != want || got.BagMass == 0 {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestBagSearchFaults(t *testing.T) {
	good, need := sixProducts(false), mix.Nutrients{N: lbPerAcre(50)}
	short := 2.0
	wrong := func(change func(*mix.Stock)) []mix.Stock {
		stocks := sixProducts(false)
		change(&stocks[1])
		return stocks
	}
	for _, tt := range []struct {
		code   string
		need   mix.Nutrients
		area   units.Area
		stocks []mix.Stock
		limits mix.BagLimits
	}{
		{"area", need, units.Area(math.NaN()), good, mix.BagLimits{}},
		{"no_products", need, 1, nil, mix.BagLimits{}},
		{"too_many_products", need, 1, slices.Repeat(good, 3), mix.BagLimits{}},
		{"bag_limit", need, 1, good, mix.BagLimits{MostBags: 1e6}},
		{"short_share", need, 1, good, mix.BagLimits{ShortRel: &short}},
		{"nitrogen_limit", need, 1, good, mix.BagLimits{NitrogenMost: -1}},
		{"need", mix.Nutrients{N: -1}, 1, good, mix.BagLimits{}},
		{"no_need", mix.Nutrients{}, 1, good, mix.BagLimits{}},
		{"grade", need, 1, wrong(func(p *mix.Stock) { p.N = 0.9 }), mix.BagLimits{}},
		{"bag", need, 1, wrong(func(p *mix.Stock) { p.BagMass = 0 }), mix.BagLimits{}},
		{"price", need, 1, wrong(func(p *mix.Stock) { p.Price = -1 }), mix.BagLimits{}},
	} {
		_, err := mix.ChooseBags(tt.need, tt.area, tt.stocks, tt.limits, units.US)
		if f, ok := fault.From(err); !ok || f.Code != tt.code || f.Remedy == "" {
			t.Errorf("%s: got %v", tt.code, err)
		}
	}
}

// sixProducts is an invented shed: single, double and triple nutrient bags.
func sixProducts(half bool) []mix.Stock {
	bag := 50 * units.Pound
	return []mix.Stock{
		{Name: "46-0-0", N: 0.46, BagMass: bag, Price: 31, HalfBags: half},
		{Name: "18-46-0", N: 0.18, P2O5: 0.46, BagMass: bag, Price: 43, HalfBags: half},
		{Name: "0-0-60", K2O: 0.60, BagMass: bag, Price: 34, HalfBags: half},
		{Name: "19-19-19", N: 0.19, P2O5: 0.19, K2O: 0.19, BagMass: bag, Price: 29, HalfBags: half},
		{Name: "6-6-18", N: 0.06, P2O5: 0.06, K2O: 0.18, BagMass: 40 * units.Pound, Price: 19, HalfBags: half},
		{Name: "10-20-10", N: 0.10, P2O5: 0.20, K2O: 0.10, BagMass: 40 * units.Pound, Price: 22, HalfBags: half},
	}
}

func BenchmarkChooseBagsSixProductsFortyBags(b *testing.B) {
	need := mix.Nutrients{N: 100 * units.PoundPerAcre, P2O5: 60 * units.PoundPerAcre, K2O: 60 * units.PoundPerAcre}
	for _, half := range []bool{false, true} {
		for _, acres := range []float64{0.25, 2, 4.3, 6.5, 20} {
			b.Run(fmt.Sprintf("half=%v/acres=%g", half, acres), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					c, err := mix.ChooseBags(need, units.Area(acres)*units.Acre, sixProducts(half), mix.BagLimits{MostBags: 40}, units.US)
					if err != nil || !c.Proven {
						b.Fatal(err, c.Proven)
					}
				}
			})
		}
	}
}
