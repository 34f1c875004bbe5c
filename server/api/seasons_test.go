package api_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"evenfall/agronomy"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/fixtures"
	"evenfall/server/api"
)

// demoSite is a site that works its sheets out, filled with the demo's machine and
// mix.
func demoSite(t testing.TB) (site, kept) {
	t.Helper()
	s := open(t, func(s *api.Services) { s.Prepare = agronomy.Prepare })
	text, err := fixtures.Files.ReadFile("demo.json")
	if err != nil {
		t.Fatal(err)
	}
	var demo struct{ Spreaders, Mixes []object }
	if err := json.Unmarshal(text, &demo); err != nil {
		t.Fatal(err)
	}
	k := s.fill()
	k.spreader = s.send("POST", "/api/v1/spreaders", object{"document": demo.Spreaders[0]}).want(201).id()
	k.mix = s.send("POST", "/api/v1/mixes", object{"document": demo.Mixes[0]}).want(201).id()
	return s, k
}

func TestSeasonsAreCompared(t *testing.T) {
	s, k := demoSite(t)
	s.send("POST", "/api/v1/surveys", object{"plot_id": k.plot, "method": "guessed", "date": "2026-02-01", "area_m2": 6000}).want(201)
	save := object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix, "date": "2026-05-01", "options": object{"habit": true}, "note": "first"}
	first := s.send("POST", "/api/v1/sheets", save).want(201)
	save["date"], save["note"] = "2027-05-01", "second"
	s.send("POST", "/api/v1/sheets", save).want(201)

	sheet := s.send("GET", "/api/v1/sheets/"+first.id()+"/sheet.json", nil).want(200).sheet()
	amount := sheet.Materials[0]
	used := float64(amount.SpreadMass) * 1.1
	counts := []object{{"date": "2026-06-01", "what": "oat plants", "found": []int{9, 7, 11}, "sample_m2": 0.456}}
	done := object{"note": "first", "done": object{"date": "2026-05-02", "note": "windy", "counts": counts, "used": []object{{"id": amount.ID, "mass_kg": used}}}}
	at := "/api/v1/sheets/" + first.id()
	changed := s.send("PUT", at, done, first.match()).want(200)
	if got := changed.object(); !strings.Contains(string(changed.body), `"note":"windy"`) || got["note"] != "first" || got["result"] == nil {
		t.Errorf("got %.400s", changed.body)
	}

	page := s.send("GET", "/api/v1/plots/"+k.plot+"/seasons", nil).want(200).object()
	lines := page["items"].([]any)
	if len(lines) != 2 || page["total"] != 2.0 {
		t.Fatalf("%d seasons", len(lines))
	}
	line := lines[0].(object)
	for field, want := range map[string]any{
		"sheet_id": first.id(), "date": "2026-05-01", "spread_on": "2026-05-02", "mix": sheet.Mix, "guessed_m2": 6000.0, "guess_ratio": 6000 / sheet.Ground.AreaM2,
		"measured_m2": sheet.Ground.AreaM2, "spread_m2": sheet.Ground.SpreadM2, "cv": sheet.Evenness.CV, "note": "first", "done_note": "windy",
	} {
		if line[field] != want {
			t.Errorf("%s is %v, want %v", field, line[field], want)
		}
	}
	material := line["materials"].([]any)[0].(object)
	if material["planned_kg"] != float64(amount.SpreadMass) || material["used_kg"] != used || math.Abs(material["used_share"].(float64)-1.1) > 1e-12 ||
		math.Abs(material["used_rate_kg_per_m2"].(float64)-used/sheet.Ground.SpreadM2) > 1e-15 {
		t.Errorf("got %v", material)
	}
	if found := line["counts"].([]any)[0].(object); found["what"] != "oat plants" || found["sample_m2"] != 0.456 {
		t.Errorf("got %v", found)
	}
	other := lines[1].(object)
	if m := other["materials"].([]any)[0].(object); other["spread_on"] != nil || m["used_kg"] != nil || m["planned_kg"] != material["planned_kg"] {
		t.Errorf("what is not done yet is %v", other)
	}

	next := s.send("GET", "/api/v1/plots/"+k.plot+"/seasons?limit=1", nil).want(200).object()["next"].(string)
	if last := s.send("GET", next, nil).want(200).object(); last["next"] != nil || last["items"].([]any)[0].(object)["note"] != "second" {
		t.Errorf("the second page is %v", last)
	}
	s.send("GET", "/api/v1/plots/nowhere/seasons", nil).wantProblem(404, "missing")
	s.unchanged(func() {
		done["done"] = object{"date": "2026-05-02", "used": []object{{"id": "moss", "mass_kg": 1}}}
		if p := s.send("PUT", at, done, changed.match()).want(422).problem(); p.Where.Field != "done.used[0].id" || p.Code != "material" {
			t.Errorf("got %+v", p)
		}
		save["done"] = done["done"]
		s.send("POST", "/api/v1/sheets", save).wantProblem(422, "material")
	})
	dropped := s.send("PUT", at, object{"note": "first"}, changed.match()).want(200)
	if dropped.object()["done"] != nil {
		t.Error("a change without what was done keeps it")
	}
}

func TestAPlotWithoutSheetsHasNoSeasons(t *testing.T) {
	s := open(t)
	got := s.send("GET", "/api/v1/plots/"+s.fill().plot+"/seasons", nil).want(200)
	if string(got.body) != "{\"items\":[],\"total\":0}\n" {
		t.Errorf("got %s", got.body)
	}
}

// A job that used more than the tests say teaches the spreader, and the gate
// for the next one is set by it.
func TestAFinishedJobCorrectsTheFlow(t *testing.T) {
	s := open(t)
	tests := orFail[[]spreader.CatchTest](t)(spreader.ReadCatchTests(strings.NewReader(fixtures.CatchTests)))
	document := spreaderDocument()
	document["catch_tests"] = tests
	document["note"] = "bought used"
	made := s.send("POST", "/api/v1/spreaders", object{"document": document}).want(201)
	at := "/api/v1/spreaders/" + made.id() + "/corrections"
	// At mark 4 the tests give 6.6 lb in 30 s; over 100 s the job used 24.2 lb, a tenth more than 22.
	job := object{"material": "oats", "gate": 4, "mass_kg": 24.2 * units.Pound, "course_m": 250, "speed_mps": 2.5}
	setting := object{"spreader": nil, "job": object{"rate_kg_per_m2": 0.01, "spacing_m": 4, "gate": 4}}
	rate := func(document any) float64 {
		setting["spreader"] = document
		return s.send("POST", "/api/v1/tools/gate", setting).want(200).object()["speed_mps"].(float64)
	}
	before := rate(made.object()["document"])

	got := s.send("POST", at, job, made.match()).want(200)
	var answer struct {
		Correction spreader.Correction
		Spreader   struct {
			Revision int
			Document spreader.Spreader
		}
	}
	if err := json.Unmarshal(got.body, &answer); err != nil {
		t.Fatal(err)
	}
	c := answer.Correction
	if math.Abs(c.Factor-1.1) > 1e-9 || c.Date != "2026-11-25" || !strings.Contains(c.Says, "10 % more") {
		t.Errorf("it learnt %+v", c)
	}
	if got.header.Get("ETag") != `"2"` || answer.Spreader.Revision != 2 || answer.Spreader.Document.Note != "bought used" || len(answer.Spreader.Document.CatchTests) != 4 {
		t.Errorf("kept as %s: %+v", got.header.Get("ETag"), answer.Spreader)
	}
	kept := s.send("GET", "/api/v1/spreaders/"+made.id(), nil).want(200)
	if after := rate(kept.object()["document"]); math.Abs(after/before-1.1) > 1e-9 {
		t.Errorf("the same gate asks for %v m/s before and %v after", before, after)
	}

	again := object{"units": "metric", "date": "2026-12-01"}
	for field, v := range job {
		again[field] = v
	}
	second := s.send("POST", at, again, got.match()).want(200).object()
	if list := second["spreader"].(object)["document"].(object)["corrections"].([]any); len(list) != 1 || list[0].(object)["date"] != "2026-12-01" {
		t.Errorf("a later correction takes the place of the earlier one; got %v", list)
	}
	s.unchanged(func() {
		s.send("POST", at, job, got.match()).wantProblem(412, "stale")
		s.send("POST", at, job).wantProblem(428, "if_match_missing")
		s.send("POST", "/api/v1/spreaders/nowhere/corrections", job, got.match()).wantProblem(404, "missing")
		s.send("POST", at+"?x=1", job, got.match()).wantProblem(400, "parameter")
		now := header{"If-Match": `"3"`}
		for code, change := range map[string]object{
			"range": {"mass_kg": 0}, "date": {"date": "May"}, "units": {"units": "stone"}, "beyond_tests": {"gate": 9}, "implausible": {"mass_kg": 500}, "no_catch_test": {"material": "rye"},
		} {
			wrong := object{}
			for field, v := range job {
				wrong[field] = v
			}
			for field, v := range change {
				wrong[field] = v
			}
			if p := s.send("POST", at, wrong, now).problem(); p.Code != code || p.Remedy == "" {
				t.Errorf("want %s: %+v", code, p)
			}
		}
	})
}
