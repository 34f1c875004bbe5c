package door_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
)

// takenBags chooses bags for a soil test on a square with a keep-off line, puts
// the closest ones into a mix, and gives the card and the sheet that follows.
func takenBags(t *testing.T, goods string, products string) (card mix.Combination, taken mix.Mix, sheet agronomy.Sheet) {
	t.Helper()
	const report = `{"n_kg_per_m2":0.0045,"p2o5_kg_per_m2":0.0067,"k2o_kg_per_m2":0.009}`
	corner := square()[0]
	prepared := func(m string) agronomy.Sheet {
		q := fmt.Sprintf(`{"plot":{"name":"p","outline":{"type":"Polygon","coordinates":%s},
			"keep_off":[{"name":"creek","line":[[%g,%g],[%g,%g]],"distance_m":15,"for":"both"}]},
			"spreader":{"name":"x","patterns":{"usual":{"shape":"triangle","throw_m":8}},"hopper_kg":45,"turn_radius_m":2.4},
			"mix":%s,"options":{"date":"2026-04-30","units":"us","soil":%s}}`,
			text(t, orb.Polygon{square()}), corner[0], corner[1], corner[0]+0.01, corner[1], m, report)
		p, _ := asked[struct{ Sheet agronomy.Sheet }](t, "prepare", q, nil)
		return p.Sheet
	}
	before := prepared(goods)
	if before.Ground.SpreadM2 > 0.9*before.Ground.AreaM2 {
		t.Fatalf("nothing is kept off: %g of %g m2", before.Ground.SpreadM2, before.Ground.AreaM2)
	}
	choice, _ := asked[struct {
		mix.BagChoice
		Replaces []string `json:"replaces"`
	}](t, "bags", fmt.Sprintf(`{"need":%s,"area_m2":%.17g,"products":%s,"mix":%s,"units":"us"}`, report, before.Ground.SpreadM2, products, goods), nil)
	if len(choice.Replaces) == 0 {
		t.Error("the card does not say what goes out")
	}
	card = choice.Closest[0]
	taken, _ = asked[mix.Mix](t, "takeBags", fmt.Sprintf(`{"mix":%s,"bags":%s,"area_m2":%.17g}`, goods, text(t, card.Bags), before.Ground.SpreadM2), nil)
	return card, taken, prepared(text(t, taken))
}

const oatsAndComplete = `{"name":"m","items":[
	{"material":"oats","rate":{"mass_kg_per_m2":0.009},"group":1},
	{"material":"13-13-13","rate":{"mass_kg_per_m2":0.028},"price_per_bag":24,"group":1},
	{"material":"ag-lime","rate":{"mass_kg_per_m2":0.1}}]}`

func TestTheMixGivesWhatTheCardPromised(t *testing.T) {
	card, taken, sheet := takenBags(t, oatsAndComplete, `["19-19-19","0-46-0","0-0-60"]`)
	for _, one := range []struct {
		name      string
		got, want float64
	}{
		{"N over", float64(sheet.Soil.Over.N), float64(card.Surplus.N)},
		{"P2O5 over", float64(sheet.Soil.Over.P2O5), float64(card.Surplus.P2O5)},
		{"K2O over", float64(sheet.Soil.Over.K2O), float64(card.Surplus.K2O)},
		{"N short", float64(sheet.Soil.Short.N), float64(card.Shortfall.N)},
		{"P2O5 short", float64(sheet.Soil.Short.P2O5), float64(card.Shortfall.P2O5)},
		{"K2O short", float64(sheet.Soil.Short.K2O), float64(card.Shortfall.K2O)},
	} {
		if math.Abs(one.got-one.want) > 1e-9 {
			t.Errorf("%s: the sheet says %g kg/m2, the card %g", one.name, one.got, one.want)
		}
	}
	bags := map[string]float64{}
	for _, a := range sheet.Materials {
		bags[a.ID] = a.Bags
	}
	for _, b := range card.Bags {
		if b.Bags != bags[b.ID] {
			t.Errorf("%g bags of %s were taken, the sheet opens %g", b.Bags, b.ID, bags[b.ID])
		}
	}
	if len(taken.Items) < 3 || taken.Items[0].Material != "oats" || taken.Items[len(taken.Items)-1].Material != "ag-lime" {
		t.Errorf("seed and lime do not stay where they were: %s", text(t, taken))
	}
}

func TestBagsGoIntoTheFillingThatTheyTakeOver(t *testing.T) {
	_, taken, sheet := takenBags(t, oatsAndComplete, `["13-13-13","0-46-0","0-0-60"]`)
	for _, it := range taken.Items {
		if it.Material != "ag-lime" && it.Group != 1 {
			t.Errorf("%s is in filling %d", it.Material, it.Group)
		}
		if it.Rate.ForPlot() {
			t.Errorf("%s goes into a mix as an amount for one plot: %+v", it.Material, it.Rate)
		}
		if it.Material == "13-13-13" && it.Price != 24 {
			t.Errorf("the price of 13-13-13 is forgotten: %g", it.Price)
		}
	}
	if n := len(sheet.Spreader.Groups); n != 2 {
		t.Errorf("oats, fertilizer and lime come to %d fillings", n)
	}
}

func TestBagsOfTheMixAreAsTheMixBuysThem(t *testing.T) {
	goods := `{"name":"m","items":[{"material":"13-13-13","rate":{"mass_kg_per_m2":0.028},"bag_kg":18.1436948,"price_per_bag":20}]}`
	card, _, sheet := takenBags(t, goods, `["13-13-13"]`)
	if b := card.Bags[0]; math.Abs(float64(b.Mass)-b.Bags*18.1436948) > 1e-6 || b.Price != 20 {
		t.Errorf("got %+v", b)
	}
	if a := sheet.Materials[0]; a.Bags != card.Bags[0].Bags || math.Abs(float64(a.Left)) > 1e-6 {
		t.Errorf("the sheet opens %g bags and leaves %g kg", a.Bags, a.Left)
	}
}

func TestAnOwnProductIsTakenWithWhatItIs(t *testing.T) {
	own := `{"products":[{"id":"own-6-24-24","name":"starter 6-24-24","class":"fertilizer","figures":[
		{"figure":"n","low":6,"high":6,"unit":"%"},{"figure":"p2o5","low":24,"high":24,"unit":"%"},
		{"figure":"k2o","low":24,"high":24,"unit":"%"},{"figure":"bag","low":50,"high":50,"unit":"lb"}]}]}`
	bag := `[{"id":"own-6-24-24","product":"starter 6-24-24","bags":2,"buy_bags":2,"mass_kg":45.359237}]`
	taken, _ := asked[mix.Mix](t, "takeBags", `{"mix":`+oatsAndComplete+`,"bags":`+bag+`,"area_m2":1000,"own":`+own+`}`, nil)
	at := slices.IndexFunc(taken.Items, func(it mix.Item) bool { return it.Product != nil })
	if at != 1 || taken.Items[at].Product.ID != "own-6-24-24" || taken.Items[at].Material != "" {
		t.Fatalf("got %s", text(t, taken))
	}
	again, _ := asked[mix.Mix](t, "takeBags", `{"mix":`+text(t, taken)+`,"bags":`+bag+`,"area_m2":2000,"own":`+own+`}`, nil)
	if len(again.Items) != 3 || math.Abs(float64(again.Items[1].Rate.Mass)-45.359237/2000) > 1e-12 {
		t.Errorf("got %s", text(t, again))
	}
}

func TestACostSaysWhatItIsWithout(t *testing.T) {
	choice, _ := asked[mix.BagChoice](t, "bags", `{"need":{"n_kg_per_m2":0.005,"p2o5_kg_per_m2":0.005,"k2o_kg_per_m2":0.02},"area_m2":1000,"products":["13-13-13","0-0-60"],"prices":{"13-13-13":24},"units":"us"}`, nil)
	best := choice.Closest[0]
	if best.Cost == 0 || !slices.Equal(best.Unpriced, []string{"potash 0-0-60"}) {
		t.Errorf("cost %g without %v", best.Cost, best.Unpriced)
	}
}
