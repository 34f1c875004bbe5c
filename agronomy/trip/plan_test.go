package trip_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

func bagged(material string, lb, bag, price float64) mix.Amount {
	return mix.Amount{ID: material, Material: material, SpreadMass: units.Mass(lb) * units.Pound, BagMass: units.Mass(bag) * units.Pound, Price: price}
}

func plan(t testing.TB, plots []trip.Plot, limit units.Mass) trip.Plan {
	t.Helper()
	p, err := trip.Make(plots, limit, units.US)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestWhatOnePlotLeavesTheNextTakes(t *testing.T) {
	p := plan(t, []trip.Plot{
		{"Orchard", []mix.Amount{bagged("oats", 30, 50, 20)}},
		{"Creek", []mix.Amount{bagged("oats", 45, 50, 20), bagged("0-0-60", 10, 50, 34)}},
		{"Hill", []mix.Amount{bagged("oats", 20, 50, 20)}},
	}, 0)
	want := "Orchard 1 of oats: 30, 20 left; Creek 1 of oats: 20, 0 left; Creek 2 of oats: 25, 25 left; Creek 1 of 0-0-60: 10, 40 left; Hill 2 of oats: 20, 5 left"
	var got []string
	for _, d := range p.Draws {
		got = append(got, fmt.Sprintf("%s %d of %s: %.4g, %.4g left", d.Plot, d.Bag, d.Material, d.Mass.Pounds(), d.Left.Pounds()))
	}
	if strings.Join(got, "; ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), want)
	}
	oats := p.Shopping[0]
	near(t, "bags of oats", oats.Bags, 2, 0)
	near(t, "left of them", oats.Left.Pounds(), 5, 1e-9)
	near(t, "cost", p.Cost, 2*20+34, 1e-9)
	near(t, "bought", p.Mass.Pounds(), 150, 1e-9)
	near(t, "Creek's share of the cost", p.Plots[1].Cost, 20*45.0/50+34*10.0/50, 1e-9)
	if len(p.Says) == 0 || !strings.Contains(p.Says[0], "3 bags are enough; plot by plot it would be 4") {
		t.Errorf("it says %q", p.Says)
	}
}

func TestRunsKeepToTheLimit(t *testing.T) {
	p := plan(t, []trip.Plot{
		{"A", []mix.Amount{bagged("x", 60, 50, 0)}},
		{"B", []mix.Amount{bagged("x", 60, 50, 0)}},
	}, 100*units.Pound)
	var got []string
	for _, r := range p.Runs {
		got = append(got, fmt.Sprintf("%d: %.4g lb, %d bags for %s", r.Number, r.Mass.Pounds(), r.Cargo[0].Bags, strings.Join(r.Plots, "+")))
	}
	if want := "1: 100 lb, 2 bags for A+B; 2: 50 lb, 1 bags for B"; strings.Join(got, "; ") != want {
		t.Errorf("got %q, want %q", strings.Join(got, "; "), want)
	}
	loose := plan(t, []trip.Plot{{"A", []mix.Amount{bagged("lime", 500, 0, 0)}}}, 200*units.Pound)
	if len(loose.Runs) != 3 {
		t.Errorf("500 lb of loose lime in loads of 200 lb take %d runs", len(loose.Runs))
	}
}

func randomTrip(r *rand.Rand) ([]trip.Plot, units.Mass) {
	var plots []trip.Plot
	for i := range 1 + r.IntN(6) {
		p := trip.Plot{Name: fmt.Sprintf("plot %d", i+1)}
		for k := range 4 {
			if r.IntN(3) > 0 {
				p.Amounts = append(p.Amounts, bagged(fmt.Sprintf("m%d", k), r.Float64()*180, float64(20+10*k), float64(9+k)))
			}
		}
		if r.IntN(4) == 0 {
			p.Amounts = append(p.Amounts, bagged("loose", r.Float64()*300, 0, 0))
		}
		plots = append(plots, p)
	}
	if r.IntN(3) == 0 {
		return plots, 0
	}
	return plots, units.Mass(50+r.Float64()*300) * units.Pound
}

func TestTripsLoseAndInventNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5))
	for n := range 1000 {
		plots, limit := randomTrip(r)
		p := plan(t, plots, limit)
		checkDraws(t, plots, p)
		checkRuns(t, p, limit)
		if t.Failed() {
			t.Fatalf("case %d: %+v", n, plots)
		}
	}
}

// checkDraws holds the draws to what the plots need and to the bags bought.
func checkDraws(t *testing.T, plots []trip.Plot, p trip.Plan) {
	t.Helper()
	taken, bags := map[string]float64{}, map[string]int{}
	inBag, last := map[string]float64{}, map[string]trip.Draw{}
	for _, d := range p.Draws {
		taken[d.Plot+d.Material] += float64(d.Mass)
		bags[d.Material] = max(bags[d.Material], d.Bag)
		name := fmt.Sprint(d.Material, d.Bag)
		inBag[name] += float64(d.Mass)
		last[name] = d
	}
	need := map[string]float64{}
	for _, plot := range plots {
		for _, a := range plot.Amounts {
			need[a.Material] += float64(a.SpreadMass)
			near(t, "drawn for "+plot.Name, taken[plot.Name+a.Material], float64(a.SpreadMass), 1e-4*float64(a.BagMass)+1e-9)
		}
	}
	for _, s := range p.Shopping {
		if s.BagMass == 0 {
			continue
		}
		least := math.Ceil(need[s.Material]/float64(s.BagMass) - 1e-6)
		near(t, "bags bought", s.Bags, least, 0)
		near(t, "bags opened", float64(bags[s.Material]), least, 0)
	}
	for name, d := range last {
		if d.Bag > 0 {
			near(t, "a bag holds what was drawn and what is left", inBag[name]+float64(d.Left), float64(d.BagMass), 1e-9)
		}
	}
}

// checkRuns weighs every run again from the draws, and asks whether the first
// draw of the next run would really have been too much.
func checkRuns(t *testing.T, p trip.Plan, limit units.Mass) {
	t.Helper()
	weigh := func(draws []trip.Draw) (mass units.Mass) {
		seen := map[string]bool{}
		for _, d := range draws {
			name := fmt.Sprint(d.Material, d.Bag)
			if d.Bag == 0 {
				mass += d.Mass
			} else if !seen[name] {
				mass += d.Mass + d.Left
			}
			seen[name] = true
		}
		return mass
	}
	byRun := map[int][]trip.Draw{}
	for _, d := range p.Draws {
		byRun[d.Run] = append(byRun[d.Run], d)
	}
	for i, run := range p.Runs {
		near(t, "mass of the run", float64(run.Mass), float64(weigh(byRun[run.Number])), 1e-9)
		if limit == 0 {
			continue
		}
		if run.Mass > limit*(1+1e-5) {
			t.Errorf("run %d carries %v of %v", run.Number, run.Mass, limit)
		}
		if i+1 < len(p.Runs) {
			next := byRun[run.Number+1][0]
			if full := weigh(append(byRun[run.Number], next)); full <= limit*(1-1e-5) {
				t.Errorf("run %d had room for the next bag: %v of %v", run.Number, full, limit)
			}
		}
	}
}

func TestFaults(t *testing.T) {
	one := []trip.Plot{{"A", []mix.Amount{bagged("x", 60, 50, 0)}}}
	for _, tt := range []struct {
		code  string
		plots []trip.Plot
		limit units.Mass
	}{
		{"no_plots", nil, 0},
		{"too_many_plots", make([]trip.Plot, 501), 0},
		{"limit", one, -1},
		{"limit", one, 10},
		{"too_many_runs", one, 1e-6},
		{"too_many_bags", []trip.Plot{{"A", []mix.Amount{bagged("x", 1e9, 1, 0)}}}, 0},
		{"amount", []trip.Plot{{"A", []mix.Amount{bagged("x", math.NaN(), 50, 0)}}}, 0},
	} {
		_, err := trip.Make(tt.plots, tt.limit, units.US)
		if f, ok := fault.From(err); !ok || f.Code != tt.code || f.Remedy == "" {
			t.Errorf("%s: got %v", tt.code, err)
		}
	}
}

// Three plots from mixes of the catalog, the way the server makes a trip.
func TestTripFromMixes(t *testing.T) {
	cat, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	m := mix.Mix{Name: "autumn", Items: []mix.Item{
		{Material: "oats", BagMass: 50 * units.Pound, Price: 21, Rate: mix.Rate{Mass: 90 * units.PoundPerAcre}},
		{Material: "19-19-19", Price: 27, Rate: mix.Rate{Mass: 150 * units.PoundPerAcre}},
	}}
	var plots []trip.Plot
	for i, acres := range []float64{0.27, 0.41, 0.33} {
		r, err := m.Amounts(units.Area(acres)*units.Acre, cat, units.US)
		if err != nil {
			t.Fatal(err)
		}
		plots = append(plots, trip.Plot{Name: fmt.Sprintf("plot %d", i+1), Amounts: r.Amounts})
	}
	p := plan(t, plots, 0)
	near(t, "bags of oats for 1.01 acres", p.Shopping[0].Bags, 2, 0)
	near(t, "bags of fertilizer", p.Shopping[1].Bags, 4, 0)
	near(t, "cost", p.Cost, 2*21+4*27, 1e-9)
	first, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if second, _ := json.Marshal(plan(t, plots, 0)); string(first) != string(second) {
		t.Error("the same trip gives other bytes")
	}
}

func BenchmarkMake(b *testing.B) {
	plots, limit := randomTrip(rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		if _, err := trip.Make(plots, limit, units.US); err != nil {
			b.Fatal(err)
		}
	}
}
