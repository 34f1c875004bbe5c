package mix_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func put(id string, group int) mix.Item {
	return mix.Item{Material: id, Group: group, Rate: mix.Rate{Mass: lbPerAcre(20)}}
}

// sentence finds the warning of a code.
func sentence(t *testing.T, r mix.Result, code string) string {
	t.Helper()
	for _, w := range r.Warnings {
		if w.Code == code {
			return w.Says
		}
	}
	t.Errorf("no warning %q in %+v", code, r.Warnings)
	return ""
}

func hold(t *testing.T, says string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(says, p) {
			t.Errorf("%q does not hold %q", says, p)
		}
	}
}

func TestWhatMustNotShareAHopperIsTakenApart(t *testing.T) {
	coated, inoculated := put("red-clover", 1), put("soybean", 1)
	coated.Coated, inoculated.Inoculated = true, true
	for _, tt := range []struct {
		name, code string
		items      []mix.Item
		alone      int
	}{
		{"coated legume with fertilizer", "seed_with_fertilizer", []mix.Item{put("19-19-19", 1), coated}, 1},
		{"inoculated legume with fertilizer", "seed_with_fertilizer", []mix.Item{inoculated, put("19-19-19", 1)}, 0},
		{"lime with ammonium", "lime_with_fertilizer", []mix.Item{put("21-0-0", 1), put("pelletized-lime", 1)}, 1},
		{"lime with phosphate", "lime_with_fertilizer", []mix.Item{put("pelletized-lime", 1), put("0-46-0", 1)}, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := work(t, units.Acre, tt.items...)
			sentence(t, r, tt.code)
			a, b := r.Amounts[tt.alone], r.Amounts[1-tt.alone]
			if a.SpreadAlone == "" || b.SpreadAlone != "" || a.Group == b.Group {
				t.Errorf("not taken apart: %+v and %+v", a, b)
			}
		})
	}
}

func TestWhatMayShareAHopperStaysTogether(t *testing.T) {
	coated := put("red-clover", 1)
	coated.Coated = true
	for _, items := range [][]mix.Item{
		{put("44-0-0", 1), put("corn", 1)}, {put("pelletized-lime", 1), put("0-0-60", 1)}, {put("oats", 1), coated},
	} {
		r := work(t, units.Acre, items...)
		if r.Amounts[0].Group != r.Amounts[1].Group || len(r.Groups) != 1 {
			t.Errorf("taken apart without need: %+v", r.Groups)
		}
	}
}

func TestSeedWithFertilizerIsSpreadAtOnce(t *testing.T) {
	row := reference(t, "SEEDMIX")
	raw := row.expected()[1]
	r := work(t, units.Acre, put("19-19-19", 1), put("red-clover", 1))
	hold(t, sentence(t, r, "spread_at_once"), "at once", "never store")
	days := numbers(t, row.row["quantity"])[0]
	hold(t, sentence(t, r, "legume_with_fertilizer"), fmt.Sprintf("%g %%", raw), fmt.Sprintf("%g days", days))
	if !r.Groups[0].AtOnce {
		t.Errorf("the group does not say it: %+v", r.Groups[0])
	}
	coated := put("red-clover", 1)
	coated.Coated = true
	r = work(t, units.Acre, put("19-19-19", 1), coated)
	hold(t, sentence(t, r, "seed_with_fertilizer"), fmt.Sprintf("%g %% of coated", row.expected()[0]))
}

func TestUreaSaysItsDays(t *testing.T) {
	want := reference(t, "UREA").expected() // warm from, warm to, cool, inches of rain
	r := work(t, units.Acre, put("46-0-0", 0))
	if want[3] != 0.5 {
		t.Fatalf("the row now says %g in; this test writes it as a fraction", want[3])
	}
	hold(t, sentence(t, r, "urea"), fmt.Sprintf("%g to %g days on warm", want[0], want[1]), fmt.Sprintf("%g on cool", want[2]), "1/2 in of rain")
	for _, id := range []string{"46-0-0-inhibited", "44-0-0", "21-0-0", "0-0-60"} {
		if says(work(t, units.Acre, put(id, 0)).Warnings, "urea") {
			t.Errorf("%s is warned of as plain urea", id)
		}
	}
}

func TestSecondNitrogenTellsPlainFromSlow(t *testing.T) {
	want := reference(t, "SPLIT").expected()
	for id, due := range map[string]bool{"46-0-0": true, "34-0-0": true, "46-0-0-inhibited": false, "44-0-0": false, "0-0-60": false, "oats": false} {
		d := work(t, units.Acre, put(id, 0)).Dressing
		if (d != nil) != due {
			t.Errorf("%s: dressing %+v, want %v", id, d, due)
		}
		if d != nil {
			near(t, "from", float64(d.Printed.From), want[0], 0)
			near(t, "to", float64(d.Printed.To), want[1], 0)
			hold(t, d.Says, fmt.Sprintf("%g to %g days", want[0], want[1]))
		}
	}
}

func TestInoculatedAndTreatedSeedAreSaid(t *testing.T) {
	row := reference(t, "INOC")
	inoculated := put("soybean", 0)
	inoculated.Inoculated = true
	hours := row.expected()
	hold(t, sentence(t, work(t, units.Acre, inoculated), "inoculated"), fmt.Sprintf("within %g hours", hours[0]), fmt.Sprintf("after %g", hours[1]))
	sentence(t, work(t, units.Acre, put("soybean", 0)), "inoculate")
	treated := put("corn", 0)
	treated.Treated = true
	hold(t, sentence(t, work(t, units.Acre, treated), "treated_seed"), "cover all of it with soil", "never use it as feed")
}

func TestGroupsRunLimeFertilizerGrainSmallSeed(t *testing.T) {
	r := work(t, units.Acre, put("white-ladino-clover", 0), put("oats", 0), put("19-19-19", 0), put("pelletized-lime", 0), put("0-0-60", 0))
	var got []int
	for _, a := range r.Amounts {
		got = append(got, a.Group)
	}
	if fmt.Sprint(got) != "[4 3 2 1 2]" {
		t.Errorf("groups %v: %+v", got, r.Groups)
	}
	for i, g := range r.Groups {
		if g.Number != i+1 || g.Contents == "" {
			t.Errorf("group %d: %+v", i+1, g)
		}
	}
}

func TestThePersonsGroupsComeInTheirOrder(t *testing.T) {
	r := work(t, units.Acre, put("oats", 2), put("19-19-19", 5), put("chicory", 2), put("0-0-60", 0))
	var got []int
	for _, a := range r.Amounts {
		got = append(got, a.Group)
	}
	if fmt.Sprint(got) != "[1 2 1 3]" {
		t.Errorf("groups %v", got)
	}
}

func TestLightBesideDenseIsWarnedOf(t *testing.T) {
	hold(t, sentence(t, work(t, units.Acre, put("oats", 1), put("winter-wheat", 1)), "throws_apart"), "oats is much lighter than winter wheat")
	if says(work(t, units.Acre, put("corn", 1), put("winter-wheat", 1)).Warnings, "throws_apart") {
		t.Error("corn and wheat throw alike")
	}
}

// A mix is stored as JSON and must come back as it was; the same mix gives the
// same bytes.
func TestMixKeepsThroughJSON(t *testing.T) {
	c := readWorkedCase(t)
	before := c.mix("46-0-0")
	text, err := json.Marshal(before)
	if err != nil {
		t.Fatal(err)
	}
	var after mix.Mix
	if err := json.Unmarshal(text, &after); err != nil {
		t.Fatal(err)
	}
	var bytes [2]string
	for i, m := range []mix.Mix{before, after} {
		r, err := m.Amounts(c.area(), theCatalog(t), units.US)
		if err != nil {
			t.Fatal(err)
		}
		out, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		bytes[i] = string(out)
	}
	if bytes[0] != bytes[1] {
		t.Errorf("differs:\n%s\n%s", bytes[0], bytes[1])
	}
}

func FuzzMixJSON(f *testing.F) {
	f.Add([]byte(`{"name":"fall","items":[{"material":"oats","rate":{"share_of_full":0.5}},{"material":"46-0-0","rate":{"n_kg_per_m2":0.005}}]}`))
	f.Add([]byte(`{"name":"x","parts_rate_kg_per_m2":1,"items":[{"crop":{"id":"a","name":"a","figures":[]},"rate":{"parts":1}}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var m mix.Mix
		if json.Unmarshal(text, &m) != nil {
			return
		}
		r, err := m.Amounts(1000, theCatalog(t), units.US)
		if err != nil {
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatalf("a mix that is accepted gives figures that are none: %v", err)
		}
	})
}

func codes(r mix.Result) map[string]bool {
	all := map[string]bool{}
	for _, w := range r.Warnings {
		all[w.Code] = true
	}
	return all
}

// 30 lb of urea are wanted on half an acre; the bag that is poured holds 50.
func TestPouredBagsNeverRaiseNitrogenInSilence(t *testing.T) {
	urea := mix.Item{Material: "46-0-0", Rate: mix.Rate{Mass: lbPerAcre(60)}, SpreadBags: true}
	r := work(t, units.Acre/2, urea)
	hold(t, sentence(t, r, "poured_bags"), "100 lb/ac instead of 60 lb/ac", "46 lb/ac of nitrogen instead of 27.6 lb/ac")
	urea.SpreadBags = false
	if kept := work(t, units.Acre/2, urea); codes(kept)["poured_bags"] || !codes(kept)["whole_bags"] {
		t.Errorf("a bag that is not emptied: %+v", kept.Warnings)
	}
	urea.SpreadBags, urea.Rate.Mass = true, lbPerAcre(100)
	if exact := work(t, units.Acre/2, urea); codes(exact)["poured_bags"] || codes(exact)["whole_bags"] {
		t.Errorf("a bag that is just right: %+v", exact.Warnings)
	}
}

// What raises a seed's rate must not raise a fertilizer's.
func TestWordsOfSeedAreRefusedOnFertilizer(t *testing.T) {
	urea := func(change func(*mix.Item)) mix.Item {
		it := mix.Item{Material: "46-0-0", Rate: mix.Rate{Mass: lbPerAcre(100)}}
		change(&it)
		return it
	}
	for field, it := range map[string]mix.Item{
		"rate.drilled":       urea(func(it *mix.Item) { it.Rate.Drilled = true }),
		"rate.of":            urea(func(it *mix.Item) { it.Rate.Of = catalog.OfPLS }),
		"tag":                urea(func(it *mix.Item) { it.Tag = seed.Tag{Purity: 0.5, Germination: 0.5} }),
		"inoculated":         urea(func(it *mix.Item) { it.Inoculated = true }),
		"emergence":          urea(func(it *mix.Item) { it.Emergence = 0.5 }),
		"rate.plants_per_m2": urea(func(it *mix.Item) { it.Rate = mix.Rate{Plants: 10} }),
	} {
		_, err := mix.Mix{Name: "urea", Items: []mix.Item{it}}.Amounts(units.Acre, theCatalog(t), units.US)
		if f, ok := fault.From(err); !ok || f.Code != "seed_only" || f.Where.Field != "items[0]."+field {
			t.Errorf("%s: %v", field, err)
		}
	}
}

func TestSecondNitrogenIsNotForLegumesAlone(t *testing.T) {
	if r := work(t, units.Acre, put("red-clover", 0), put("18-46-0", 0)); r.Dressing != nil {
		t.Errorf("clover is told to be dressed: %+v", r.Dressing)
	}
	for name, items := range map[string][]mix.Item{
		"with oats":    {put("red-clover", 0), put("oats", 0), put("18-46-0", 0)},
		"nothing sown": {put("46-0-0", 0)},
	} {
		if r := work(t, units.Acre, items...); r.Dressing == nil {
			t.Errorf("%s: no second nitrogen", name)
		}
	}
}

// Oats are listed at 96 lb/ac of pure live seed drilled at most, 125 broadcast.
func TestSeedFarAboveEveryListedRateIsTold(t *testing.T) {
	oats := func(pounds float64) mix.Result {
		return work(t, units.Acre, mix.Item{Material: "oats", Rate: mix.Rate{Mass: lbPerAcre(pounds)}})
	}
	hold(t, sentence(t, oats(800), "thick"), "800 lb/ac is 6 times the most")
	if codes(oats(120))["thick"] {
		t.Error("a full rate is called thick")
	}
	pieces := mix.Item{Material: "corn", Rate: mix.Rate{Seeds: 280000 * units.PerAcre}}
	sentence(t, work(t, units.Acre, pieces), "thick")
}

// What Amounts would refuse is refused before it is kept.
func TestOwnEntriesAreHeldToTheCatalogsRules(t *testing.T) {
	for code, p := range map[string]catalog.Product{
		"class": {ID: "barn", Name: "barn lime"},
		"entry": {ID: "barn", Class: catalog.Lime},
	} {
		m := mix.Mix{Name: "x", Items: []mix.Item{{Product: &p, Rate: mix.Rate{Mass: 100 * units.PoundPerAcre}}}}
		if found, ok := fault.From(m.Validate()); !ok || found.Code != code {
			t.Errorf("%+v: %v, want %s", p, m.Validate(), code)
		}
	}
}

func TestRatesBeyondBeliefAreRefusedInFewWords(t *testing.T) {
	_, err := mix.Mix{Name: "oats", Items: []mix.Item{{Material: "oats", Rate: mix.Rate{Mass: 1e300}}}}.Amounts(units.Acre, theCatalog(t), units.US)
	if err == nil || len(err.Error()) > 200 {
		t.Errorf("%v", err)
	}
}
