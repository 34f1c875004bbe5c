package trip_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func standard(t testing.TB) *catalog.Catalog {
	t.Helper()
	all, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func perAcre(name, material string, lb float64) mix.Mix {
	return mix.Mix{Name: name, Items: []mix.Item{{Material: material, BagMass: 50 * units.Pound, Price: 20, Rate: mix.Rate{Mass: units.MassPerArea(lb) * units.PoundPerAcre}}}}
}

// Half an acre of oats, an acre of the same, an acre of urea: in that order.
func threeStops() trip.Ask {
	return trip.Ask{System: units.US, Hopper: mix.Hopper{Mass: 45 * units.Pound}, Plots: []trip.Asked{
		{"Orchard", 0.5 * units.Acre, perAcre("oats", "oats", 60)},
		{"Creek", units.Acre, perAcre("oats", "oats", 130)},
		{"Hill", units.Acre, perAcre("urea", "46-0-0", 100)},
	}}
}

func day(t testing.TB, ask trip.Ask) trip.Day {
	t.Helper()
	d, err := trip.MakeDay(ask, standard(t))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestADayWithAMixForEachPlot(t *testing.T) {
	d := day(t, threeStops())
	var says []string
	for _, s := range d.Stops {
		for _, take := range s.Takes {
			says = append(says, s.Plot+": "+take.Says)
		}
	}
	want := []string{
		"Orchard: open bag 1: 30 lb of it, 20 lb stays in it",
		"Creek: the 20 lb left in bag 1; then open bags 2 to 3: all of them; then open bag 4: 10 lb of it, 40 lb stays in it",
		"Hill: open bags 1 to 2: all of them",
	}
	if !slices.Equal(says, want) {
		t.Errorf("got %q", says)
	}
	creek := d.Stops[1]
	near(t, "Creek's oats", creek.Takes[0].Mass.Pounds(), 130, 1e-9)
	near(t, "Creek's share of the cost", creek.Cost, 20*130.0/50, 1e-9)
	if len(creek.Loads) != 3 || creek.Mix != "oats" || len(creek.Groups) != 1 {
		t.Errorf("130 lb in a hopper for 45 lb: %d loads", len(creek.Loads))
	}
	near(t, "a load of Creek", creek.Loads[0].Mass.Pounds(), 130.0/3, 1e-9)
	near(t, "bags of oats in all", d.Shopping[0].Bags, 4, 0)
	if !slices.ContainsFunc(d.Sources, func(s source.Entry) bool { return s.Figure == "stops[2].materials[0].rate_kg_per_m2" }) {
		t.Error("Hill's rate does not say where it comes from")
	}
}

func TestADayListsItsHazardsOnce(t *testing.T) {
	d := day(t, threeStops())
	seen := map[string]bool{}
	urea := false
	for _, h := range d.Hazards {
		if seen[h.Says] {
			t.Errorf("told twice: %s", h.Says)
		}
		seen[h.Says] = true
		if strings.Contains(h.Says, "loses nitrogen to the air") {
			urea = slices.Equal(h.Plots, []string{"Hill"})
		}
		if h.Mark.Kind == "" {
			t.Errorf("no mark: %s", h.Says)
		}
	}
	if !urea {
		t.Error("urea's hazard is not told for Hill alone")
	}
	if last := d.Cautions[len(d.Cautions)-1]; !strings.Contains(last.Says, "last word") {
		t.Errorf("the cautions for every job are missing: %+v", last)
	}
	one := threeStops()
	one.Plots = one.Plots[2:]
	for _, h := range day(t, one).Hazards {
		if h.Plots != nil {
			t.Errorf("of one plot it names %v", h.Plots)
		}
	}
}

// One material in two hopper groups of one plot comes out of the same bags.
func TestOneMaterialTwiceOnAPlot(t *testing.T) {
	m := perAcre("twice", "oats", 30)
	m.Items = append(m.Items, m.Items[0])
	m.Items[1].Group = 2
	d := day(t, trip.Ask{System: units.US, Plots: []trip.Asked{{"Knoll", units.Acre, m}}})
	want := "open bag 1: 30 lb of it, 20 lb stays in it; then the 20 lb left in bag 1; then open bag 2: 10 lb of it, 40 lb stays in it"
	if got := d.Stops[0].Takes; len(got) != 1 || got[0].Says != want {
		t.Errorf("got %+v", got)
	}
	if d.Stops[0].Loads != nil {
		t.Error("loads without a hopper")
	}
}

func TestADayNamesThePlotOfAFault(t *testing.T) {
	for name, spoil := range map[string]func(*trip.Ask){
		"area_m2":           func(a *trip.Ask) { a.Plots[1].Area = units.Area(math.NaN()) },
		"items[0].material": func(a *trip.Ask) { a.Plots[1].Mix.Items = []mix.Item{{Rate: mix.Rate{Mass: 1}}} },
		"items":             func(a *trip.Ask) { a.Plots[1].Mix.Items = nil },
		"hopper":            func(a *trip.Ask) { a.Hopper.Mass = 1e-6 },
		"limit_kg":          func(a *trip.Ask) { a.Limit = 1 },
		"plots":             func(a *trip.Ask) { a.Plots = nil },
	} {
		ask := threeStops()
		spoil(&ask)
		_, err := trip.MakeDay(ask, standard(t))
		found, ok := fault.From(err)
		if !ok || found.Remedy == "" || found.Where.Field != name {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		if want := 2; name != "limit_kg" && name != "plots" && name != "hopper" && found.Where.Feature != want {
			t.Errorf("%s: at plot %d, want %d", name, found.Where.Feature, want)
		}
	}
}

func TestADayIsDeterministic(t *testing.T) {
	first, err := json.Marshal(day(t, threeStops()))
	if err != nil {
		t.Fatal(err)
	}
	if second, _ := json.Marshal(day(t, threeStops())); string(first) != string(second) {
		t.Error("the same day gives other bytes")
	}
}

func BenchmarkMakeDay(b *testing.B) {
	ask, all := threeStops(), standard(b)
	for b.Loop() {
		if _, err := trip.MakeDay(ask, all); err != nil {
			b.Fatal(err)
		}
	}
}
