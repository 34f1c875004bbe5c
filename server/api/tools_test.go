package api_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
	"evenfall/fixtures"
	"evenfall/server/api"
)

var inCSV = header{"Content-Type": "text/csv; charset=utf-8"}

func TestTheCatalogIsSearched(t *testing.T) {
	s := open(t)
	all, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	for q, want := range map[string]catalog.Found{"": all.Search(""), "?q=clover": all.Search("clover"), "?q=13-13": all.Search("13-13"), "?q=nothing+such": all.Search("nothing such")} {
		wantJSON(s.send("GET", "/api/v1/catalog"+q, nil).want(200), want)
	}
	if found := all.Search("clover"); len(found.Crops) == 0 || len(found.Crops) == len(all.Crops()) {
		t.Errorf("a search for clover finds %d of %d", len(found.Crops), len(all.Crops()))
	}
	s.send("GET", "/api/v1/catalog?crop=oats", nil).wantProblem(400, "parameter")
	s.send("GET", "/api/v1/catalog/crops/moss", nil).wantProblem(404, "not_in_catalog")
	s.send("GET", "/api/v1/catalog/products/oats", nil).wantProblem(404, "not_in_catalog")
}

// Every entry can be had by its id, and every figure of it says where it is
// from; the closed schemas hold each against the description.
func TestEveryFigureOfTheCatalogIsMarked(t *testing.T) {
	s := open(t)
	all, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	paths := map[string]any{}
	for _, c := range all.Crops() {
		paths["crops/"+c.ID] = c
	}
	for _, p := range all.Products() {
		paths["products/"+p.ID] = p
	}
	for path, entry := range paths {
		got := s.send("GET", "/api/v1/catalog/"+path, nil).want(200)
		wantJSON(got, entry)
		for _, f := range got.object()["figures"].([]any) {
			if mark := f.(object)["mark"].(object); mark["kind"] == "" || mark["kind"] == "published" && mark["cite"] == nil {
				t.Errorf("%s: %v", path, f)
			}
		}
	}
}

// wantJSON checks that the reply is what that value is as JSON.
func wantJSON(got reply, want any) {
	got.Helper()
	text, err := json.Marshal(want)
	if err != nil {
		got.Fatal(err)
	}
	if strings.TrimSpace(string(got.body)) != string(text) {
		got.Errorf("got  %.800s\nwant %.800s", got.body, text)
	}
}

// orFail unwraps what a test needs to be there.
func orFail[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func product(t *testing.T, id string) catalog.Product {
	t.Helper()
	return orFail[catalog.Product](t)(orFail[*catalog.Catalog](t)(catalog.Default()).Product(id))
}

// A tool sends what agronomy answers, unchanged.
func TestToolsSendWhatAgronomyAnswers(t *testing.T) {
	s := open(t)
	const lbAc, acre = float64(units.PoundPerAcre), float64(units.Acre)
	need := mix.Nutrients{N: 40 * units.PoundPerAcre, P2O5: 30 * units.PoundPerAcre, K2O: 30 * units.PoundPerAcre}
	area := units.Area(0.5) * units.Acre
	tests := orFail[[]spreader.CatchTest](t)(spreader.ReadCatchTests(strings.NewReader(fixtures.CatchTests)))
	machine := spreader.Spreader{Name: "Small one", CatchTests: tests, SpeedMax: 5,
		Patterns: spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 8}}}
	job := spreader.Job{Material: "oats", Rate: 90 * units.PoundPerAcre, Spacing: 12 * units.Foot, Speed: 5 * units.MPH, System: units.US}
	fertilizer := product(t, "13-13-13")
	stocks := []mix.Stock{mix.StockOf(product(t, "46-0-0")), mix.StockOf(fertilizer)}
	stocks[0].Price, stocks[1].Price, stocks[1].HalfBags, stocks[1].MostBags = 29, 24, true, 3
	lime := object{"products": []object{{"id": "barn-lime", "name": "barn lime", "class": "lime", "figures": []object{
		{"figure": "cce", "low": 90, "high": 90, "unit": "%"}, {"figure": "bag", "low": 40, "high": 40, "unit": "lb"}}}}}
	own := orFail[*catalog.Catalog](t)(orFail[*catalog.Catalog](t)(catalog.Default()).With(read[catalog.Own](t, lime)))
	dose := soil.LimeAsk{Recommended: 2000 * units.PoundPerAcre, Depth: 4 * units.Inch, Area: area}
	recipe := mix.Mix{Name: "autumn", Items: []mix.Item{{Material: "oats", Rate: mix.Rate{Mass: 80 * units.PoundPerAcre}},
		{Material: "13-13-13", Rate: mix.Rate{Mass: 250 * units.PoundPerAcre}, Price: 24}}}
	oats := orFail[catalog.Crop](t)(own.Crop("oats"))
	ride := orFail[mix.Result](t)(recipe.Amounts(0.4*units.Acre, own, units.Metric))
	bench := orFail[mix.Result](t)(recipe.Amounts(0.27*units.Acre, own, units.Metric))

	for _, tt := range []struct {
		tool string
		body any
		want any
	}{
		{"gate", object{"spreader": machine, "job": object{"material": "oats", "rate_kg_per_m2": 90 * lbAc, "spacing_m": job.Spacing, "speed_mps": job.Speed}},
			orFail[spreader.Setting](t)(machine.Set(job))},
		{"gate", object{"catch_tests": tests, "job": object{"rate_kg_per_m2": 90 * lbAc, "spacing_m": job.Spacing, "gate": 4}},
			orFail[spreader.Setting](t)(spreader.Spreader{CatchTests: tests}.SetSpeed(job, 4))},
		{"gate", object{"catch_tests": tests, "job": object{"speed_mps": job.Speed, "spacing_m": job.Spacing, "gate": 4}},
			orFail[spreader.Setting](t)(spreader.Spreader{CatchTests: tests}.SetRate(job, 4))},
		{"bags", object{"need": need, "area_m2": area, "products": []object{
			{"id": "46-0-0", "price_per_bag": 29}, {"id": "13-13-13", "price_per_bag": 24, "allow_half": true, "most_bags": 3}}},
			orFail[mix.BagChoice](t)(mix.ChooseBags(need, area, stocks, mix.BagLimits{}, units.US))},
		{"lime", object{"product": "barn-lime", "recommended_kg_per_m2": dose.Recommended, "depth_m": dose.Depth, "area_m2": area, "own": lime},
			orFail[soil.LimeDose](t)(soil.Lime(orFail[catalog.Product](t)(own.Product("barn-lime")), dose))},
		{"count", object{"found": []int{5, 6, 3, 7, 4, 5}, "hoop_m": 30 * units.Inch, "density_per_m2": 2 * units.PerSquareFoot, "what": "oats", "units": "metric"},
			orFail[stand.Judgment](t)(stand.Judge(stand.Counts{Found: []int{5, 6, 3, 7, 4, 5}, Sample: stand.Hoop(30 * units.Inch)},
				stand.Target{What: "oats", Density: 2 * units.PerSquareFoot}, units.Metric))},
		{"amounts", object{"mix": recipe, "area_m2": area},
			orFail[mix.Result](t)(recipe.Amounts(area, own, units.US))},
		{"trip", object{"units": "metric", "mix": recipe, "limit_kg": 60, "plots": []object{{"name": "Ride", "area_m2": 0.4 * acre}, {"name": "Bench", "area_m2": 0.27 * acre}}},
			orFail[trip.Plan](t)(trip.Make([]trip.Plot{{Name: "Ride", Amounts: ride.Amounts}, {Name: "Bench", Amounts: bench.Amounts}}, 60, units.Metric))},
		{"seed", object{"crop": "oats", "area_m2": area, "sample": object{"seeds": 200, "mass_kg": 0.007}}, object{
			"sown":      orFail[seed.Sown](t)(seed.Lot{PerMass: 200 / 0.007, Counted: true}.Sow(orFail[seed.Choice](t)(seed.ForBroadcast(oats, "")).Rate())),
			"pls_share": 1, "lot": object{"seeds_per_kg": 200 / 0.007, "counted": true}, "choice": orFail[seed.Choice](t)(seed.ForBroadcast(oats, "")),
			"density_kg_per_m3": oats.Density(), "mass_kg": orFail[seed.Choice](t)(seed.ForBroadcast(oats, "")).Rate().Mass.On(area),
			"volume_m3": orFail[seed.Choice](t)(seed.ForBroadcast(oats, "")).Rate().Mass.On(area).Filling(oats.Density())}},
	} {
		t.Run(tt.tool, func(t *testing.T) {
			s := s
			s.TB = t
			s.unchanged(func() {
				got := s.send("POST", "/api/v1/tools/"+tt.tool, tt.body).want(200)
				if _, loose := tt.want.(object); !loose {
					wantJSON(got, tt.want)
					return
				}
				for field, want := range tt.want.(object) {
					if sent, want := got.object()[field], read[any](t, want); !reflect.DeepEqual(sent, want) {
						t.Errorf("%s is %v, want %v", field, sent, want)
					}
				}
			})
		})
	}
}

// read is a value as another type reads it from JSON.
func read[T any](t *testing.T, v any) (as T) {
	t.Helper()
	if err := json.Unmarshal(written(t, v), &as); err != nil {
		t.Fatal(err)
	}
	return as
}

func written(t *testing.T, v any) []byte {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestAPatternIsWeighed(t *testing.T) {
	s := open(t)
	test := orFail[spreader.PanTest](t)(spreader.ReadPanTest(strings.NewReader(fixtures.PanTest)))
	pans := spreader.Pattern{Shape: spreader.Pans, PanTest: &test}
	advice := orFail[spreader.Recommendation](t)(spreader.Recommend(pans, 0.20, spreader.BackAndForth, 2*units.Foot, units.Metric))
	fold := orFail[spreader.Fold](t)(test.Fold(8*units.Foot, spreader.BackAndForth))

	byTable := s.send("POST", "/api/v1/tools/pattern?units=metric&cv_limit=20%25&way=back_and_forth&spacing=8%20ft&steering_error=2%20ft", fixtures.PanTest, inCSV).want(200)
	byJSON := s.send("POST", "/api/v1/tools/pattern", object{"units": "metric", "pan_test": test, "cv_limit": 0.2, "way": "back_and_forth",
		"spacing_m": 8 * units.Foot, "steering_error_m": 2 * units.Foot}).want(200)
	if string(byTable.body) != string(byJSON.body) {
		t.Errorf("as CSV %.400s\nas JSON %.400s", byTable.body, byJSON.body)
	}
	var got struct {
		Throw          float64                 `json:"throw_m"`
		Recommendation spreader.Recommendation `json:"recommendation"`
		Curve          spreader.Curve          `json:"curve"`
		At             struct {
			Fold       spreader.Fold `json:"fold"`
			SideBySide float64       `json:"side_by_side_cv"`
			Right      float64       `json:"right_angles_cv"`
			Back       float64       `json:"back_and_forth_cv"`
		} `json:"at_spacing"`
	}
	if err := json.Unmarshal(byJSON.body, &got); err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Throw-float64(16*units.Foot)) > 1e-9 || string(written(t, got.Recommendation)) != string(written(t, advice)) || string(written(t, got.At.Fold)) != string(written(t, fold)) {
		t.Errorf("got %+v\nwant %+v and %+v", got, advice, fold)
	}
	// Half the rate twice at right angles evens out by the square root of two.
	if math.Abs(got.At.Right*math.Sqrt2-got.At.Back) > 1e-12 || !(got.At.SideBySide < got.At.Back) {
		t.Errorf("half rates give %v and %v of %v", got.At.Right, got.At.SideBySide, got.At.Back)
	}
	if n := len(got.Curve.SpacingM); n < 30 || len(got.Curve.SameWay) != n || len(got.Curve.BackAndForth) != n {
		t.Errorf("a curve of %d spacings", n)
	}
	plain := s.send("POST", "/api/v1/tools/pattern", object{"pattern": object{"shape": "triangle", "throw_m": 8}}).want(200).object()
	if best := plain["recommendation"].(object)["cv_limit"]; best != spreader.CVLimitNitrogen || plain["at_spacing"] != nil {
		t.Errorf("without a wish the limit is %v, the spacing %v", best, plain["at_spacing"])
	}
}

func TestTheGateIsSetFromATable(t *testing.T) {
	s := open(t)
	got := s.send("POST", "/api/v1/tools/gate?spacing=12%20ft&rate=90%20lb/ac&speed=5%20mph", fixtures.CatchTests, inCSV).want(200).object()
	if got["gate"] != "gate 3.54" || got["tested"] != true || got["material"] != "oats" {
		t.Errorf("got %v", got)
	}
}

func TestANeedIsMet(t *testing.T) {
	s := open(t)
	const lbAc = float64(units.PoundPerAcre)
	report := object{"laboratory": "County Lab", "n_kg_per_m2": 60 * lbAc, "p_kg_per_m2": 40 * lbAc * soil.PPerP2O5, "k2o_kg_per_m2": 40 * lbAc}
	got := s.send("POST", "/api/v1/tools/need", object{"report": report, "products": []string{"18-46-0", "0-0-60", "46-0-0"},
		"credits": []object{{"from": "clover sod", "n_kg_per_m2": 20 * lbAc, "k2o_kg_per_m2": 50 * lbAc}}}).want(200)
	met := read[struct {
		Left, Spare mix.Nutrients
		Blend       soil.Blend
	}](t, json.RawMessage(got.body))
	for what, v := range map[string][2]float64{
		"N left": {float64(met.Left.N), 40}, "P2O5 left": {float64(met.Left.P2O5), 40}, "K2O left": {float64(met.Left.K2O), 0},
		"K2O spare": {float64(met.Spare.K2O), 10}, "P2O5 given": {float64(met.Blend.Gives.P2O5), 40}, "N given": {float64(met.Blend.Gives.N), 40},
	} {
		if math.Abs(v[0]/lbAc-v[1]) > 1e-9 {
			t.Errorf("%s is %v lb/ac, want %v", what, v[0]/lbAc, v[1])
		}
	}
	// 40 lb/ac of P2O5 are in 40/0.46 lb of 18-46-0.
	if rate := float64(met.Blend.Portions[0].Rate) / lbAc; met.Blend.Portions[0].Product != "18-46-0" || math.Abs(rate-40/0.46) > 1e-9 {
		t.Errorf("the first product is %+v", met.Blend.Portions[0])
	}
	guessed := s.send("POST", "/api/v1/tools/need", object{"legumes_only": true}).want(200).object()
	if mark := guessed["need"].(object)["mark"].(object); mark["kind"] != "memory" || guessed["blend"] != nil {
		t.Errorf("without a report: %v", guessed)
	}
}

func TestATripOverKeptPlots(t *testing.T) {
	s := open(t)
	k := s.fill()
	unmeasured := s.send("POST", "/api/v1/plots", object{"property_id": k.property, "name": "Bare"}).want(201).id()
	got := s.send("POST", "/api/v1/tools/trip", object{"mix_id": k.mix, "plots": []object{{"plot_id": k.plot}, {"name": "Other", "area_m2": 1000}}}).want(200).object()
	stops := got["plots"].([]any)
	survey := s.send("GET", "/api/v1/surveys?plot_id="+k.plot, nil).object()["items"].([]any)[0].(object)
	// The mix puts 0.01 kg on a square metre.
	if first := stops[0].(object); first["plot"] != "North strip" || math.Abs(first["mass_kg"].(float64)-survey["area_m2"].(float64)*0.01) > 1e-9 {
		t.Errorf("the first stop is %v", first)
	}
	if second := stops[1].(object); second["plot"] != "Other" || second["mass_kg"] != 10.0 {
		t.Errorf("the second stop is %v", second)
	}
	at := "/api/v1/tools/trip"
	s.send("POST", at, object{"mix_id": k.mix, "plots": []object{{"plot_id": unmeasured}}}).wantProblem(409, "no_area")
	s.send("POST", at, object{"mix_id": k.mix, "plots": []object{{"plot_id": "nowhere"}}}).wantProblem(404, "missing")
	s.send("POST", at, object{"mix_id": "nowhere", "plots": []object{{"plot_id": k.plot}}}).wantProblem(404, "missing")
	s.send("POST", at, object{"mix_id": k.mix, "plots": []object{{"plot_id": k.plot, "area_m2": 5}}}).wantProblem(422, "plot")
	s.send("POST", at, object{"mix_id": k.mix, "mix": mixDocument(), "plots": []object{{"plot_id": k.plot}}}).wantProblem(422, "mix")
}

func TestATripWithAMixForEachPlot(t *testing.T) {
	s := open(t)
	k := s.fill()
	at := "/api/v1/tools/trip"
	oats := object{"name": "oats", "items": []object{{"material": "oats", "rate": object{"mass_kg_per_m2": 0.02}}}}
	own := []object{{"name": "A", "area_m2": 1000, "mix": oats}, {"name": "B", "area_m2": 1000, "mix_id": k.mix}}
	masses := func(body object) (all []any) {
		for _, stop := range s.send("POST", at, body).want(200).object()["plots"].([]any) {
			all = append(all, stop.(object)["mass_kg"])
		}
		return all
	}
	// The kept mix puts 0.01 kg on a square metre.
	if got := masses(object{"plots": own}); !reflect.DeepEqual(got, []any{20.0, 10.0}) {
		t.Errorf("each its own: %v", got)
	}
	if got := masses(object{"mix_id": k.mix, "plots": append(own[:1:1], object{"name": "C", "area_m2": 2000})}); !reflect.DeepEqual(got, []any{20.0, 20.0}) {
		t.Errorf("one its own: %v", got)
	}
	for field, body := range map[string]object{
		"plots[1].mix":                   {"plots": append(own[:1:1], object{"name": "C", "area_m2": 2000})},
		"plots[0].mix":                   {"plots": []object{{"name": "A", "area_m2": 1000, "mix": oats, "mix_id": k.mix}}},
		"plots[0].mix.items[0].material": {"plots": []object{{"name": "A", "area_m2": 1000, "mix": object{"name": "m", "items": []object{{"rate": object{"mass_kg_per_m2": 1}}}}}}},
		"mix.items[0].material":          {"mix": object{"name": "m", "items": []object{{"rate": object{"mass_kg_per_m2": 1}}}}, "plots": []object{{"name": "A", "area_m2": 1000}}},
		"plots[0].area_m2":               {"plots": []object{{"name": "A", "mix": oats}}},
	} {
		if p := s.send("POST", at, body).want(422).problem(); p.Where.Field != field {
			t.Errorf("%s: the fault lies in %q", field, p.Where.Field)
		}
	}
}

func TestToolsSayWhatIsWrong(t *testing.T) {
	s := open(t)
	mix, many := mixDocument(), make([]object, 501)
	for i := range many {
		many[i] = object{"name": "x", "area_m2": 1}
	}
	for _, tt := range []struct {
		name, at string
		body     any
		status   int
		code     string
		field    string
		line     int
	}{
		{"no pattern", "pattern", object{}, 422, "pattern", "pattern", 0},
		{"two patterns", "pattern", object{"pattern": object{"shape": "flat", "throw_m": 8}, "pan_test": object{}}, 422, "pattern", "pattern", 0},
		{"a throw of nothing", "pattern", object{"pattern": object{"shape": "flat"}}, 422, "range", "pattern.throw_m", 0},
		{"an unknown way", "pattern", object{"pattern": object{"shape": "flat", "throw_m": 8}, "way": "round"}, 422, "unknown_way", "way", 0},
		{"too uneven", "pattern", object{"pattern": object{"shape": "oval", "throw_m": 8}, "cv_limit": 1e-9}, 409, "uneven", "cv_limit", 0},
		{"unknown units", "pattern", object{"units": "furlongs"}, 422, "units", "units", 0},
		{"an unknown field", "pattern", object{"shape": "flat"}, 422, "unknown_field", "shape", 0},
		{"a word in the table", "pattern", strings.Replace(fixtures.PanTest, "14,15", "much,15", 1), 422, "not_a_number", "column 2", 7},
		{"no table", "gate?spacing=12%20ft", "", 400, "empty", "", 0},
		{"a bad spacing", "pattern?spacing=wide", fixtures.PanTest, 400, "", "spacing", 0},
		{"a bad limit", "pattern?cv_limit=little", fixtures.PanTest, 400, "share", "cv_limit", 0},
		{"a bad gate", "gate?gate=half", fixtures.CatchTests, 400, "gate", "gate", 0},
		{"one of three", "gate?spacing=12%20ft&rate=90%20lb/ac", fixtures.CatchTests, 422, "two_of_three", "job.gate", 0},
		{"three of three", "gate?spacing=12%20ft&rate=90%20lb/ac&speed=5%20mph&gate=4", fixtures.CatchTests, 422, "two_of_three", "job.gate", 0},
		{"beyond the tests", "gate?spacing=12%20ft&rate=190%20lb/ac&speed=5%20mph", fixtures.CatchTests, 409, "beyond_tests", "job.flow_kg_per_s", 0},
		{"no material", "gate", object{"job": object{"spacing_m": 4, "rate_kg_per_m2": 0.01, "speed_mps": 2}}, 422, "material", "job.material", 0},
		{"a test of nothing", "gate", object{"catch_tests": []object{{"material": "oats"}}, "job": object{}}, 422, "range", "catch_tests[0].mass_kg", 0},
		{"a machine without a name", "gate", object{"spreader": object{}, "job": object{}}, 422, "missing", "spreader.name", 0},
		{"phosphorus twice", "need", object{"report": object{"p_kg_per_m2": 0.001, "p2o5_kg_per_m2": 0.001}}, 422, "need", "report.p_kg_per_m2", 0},
		{"a credit below zero", "need", object{"credits": []object{{"from": "sod", "n_kg_per_m2": -1}}}, 422, "credit", "credits[0]", 0},
		{"a product that is not", "need", object{"products": []string{"9-9-9-9"}}, 404, "not_in_catalog", "", 0},
		{"no need", "bags", object{"area_m2": 1000, "products": []object{{"id": "46-0-0"}}}, 422, "no_need", "need", 0},
		{"lime that is none", "lime", object{"product": "46-0-0", "recommended_kg_per_m2": 0.2, "area_m2": 1000}, 422, "lime", "product", 0},
		{"own entry of no name", "lime", object{"product": "x", "own": object{"products": []object{{"id": "x"}}}}, 422, "entry", "own.id", 0},
		{"no seed", "seed", object{}, 422, "rate", "rate", 0},
		{"a sample of nothing", "seed", object{"crop": "oats", "sample": object{"seeds": 0}}, 422, "sample", "sample.sample_kg", 0},
		{"a dead tag", "seed", object{"crop": "oats", "lot": object{"tag": object{"purity": 0.9}}}, 422, "tag", "germination", 0},
		{"an area below zero", "seed", object{"crop": "oats", "area_m2": -1}, 422, "area", "area_m2", 0},
		{"too few counts", "count", object{"found": []int{5}, "hoop_m": 0.76, "density_per_m2": 20}, 422, "counts", "found", 0},
		{"no area", "amounts", object{"mix": mix}, 422, "area", "area_m2", 0},
		{"no mix", "amounts", object{"area_m2": 1000}, 422, "mix_name", "mix.name", 0},
		{"no plots", "trip", object{"mix": mix}, 422, "no_plots", "plots", 0},
		{"too many plots", "trip", object{"mix": mix, "plots": many}, 413, "too_many", "plots", 0},
		{"a plot of no size", "trip", object{"mix": mix, "plots": []object{{"name": "x"}}}, 422, "area", "plots[0].area_m2", 0},
		{"no mix for the trip", "trip", object{"plots": []object{{"name": "x", "area_m2": 9}}}, 422, "mix", "mix", 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := s
			s.TB = t
			kind := header{}
			if _, isTable := tt.body.(string); isTable {
				kind = inCSV
			}
			p := s.send("POST", "/api/v1/tools/"+tt.at, tt.body, kind).want(tt.status).problem()
			if tt.code != "" && p.Code != tt.code || p.Where.Field != tt.field || p.Where.Line != tt.line || p.Remedy == "" {
				t.Errorf("got %+v", p)
			}
		})
	}
	s.send("POST", "/api/v1/tools/lime", "product,lime\n", inCSV).wantProblem(415, "content_type")
	s.send("POST", "/api/v1/tools/count?units=metric", object{}).wantProblem(400, "parameter")
}

func TestToolsTakeTurns(t *testing.T) {
	s := open(t, func(s *api.Services) { s.Turns = api.NewTurns(0) })
	s.send("POST", "/api/v1/tools/count", object{}).wantProblem(503, "busy")
}

// BenchmarkPatternTool is the heaviest named shape at a spacing.
func BenchmarkPatternTool(b *testing.B) {
	s := open(b)
	for b.Loop() {
		s.send("POST", "/api/v1/tools/pattern", object{"pattern": object{"shape": "bell", "throw_m": 8}, "spacing_m": 4}).want(200)
	}
}
