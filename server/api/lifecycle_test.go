package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"

	"evenfall/server/store/storetest"
)

// Every resource goes through its whole life: made, read, listed, changed,
// changed from a stale revision, deleted.
func TestEveryResourceLives(t *testing.T) {
	s := open(t)
	k := s.fill()
	tests := []struct {
		path          string
		made, changed object
		field         string // that changes
		want          any
	}{
		{"/properties", object{"name": "Owl Bottom"}, object{"name": "Owl Bottom West", "note": "beyond the road"}, "name", "Owl Bottom West"},
		{"/plots", object{"property_id": k.property, "name": "Strip", "outline": polygon(), "driver": object{"speed_mps": 3}},
			object{"property_id": k.property, "name": "Long strip", "outline": polygon(), "keep_off": []object{
				{"name": "creek", "line": [][]float64{{-91, 44}, {-91, 44.1}}, "distance_m": 10, "for": "fertilizer"}}}, "name", "Long strip"},
		{"/surveys", object{"plot_id": k.plot, "method": "guessed", "date": "2026-03-01", "area_m2": 2000},
			object{"plot_id": k.plot, "method": "paced", "date": "2026-03-02", "area_m2": 1900,
				"dimensions": object{"shape": "rectangle", "lengths_m": []float64{50, 38}}}, "area_m2", 1900.0},
		{"/spreaders", object{"document": spreaderDocument()}, object{"document": object{"name": "Large one",
			"patterns": object{"usual": object{"shape": "triangle", "throw_m": 12}}}}, "name", "Large one"},
		{"/mixes", object{"document": mixDocument()}, object{"document": object{"name": "Other blend", "items": mixDocument()["items"]}}, "name", "Other blend"},
		{"/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix, "date": "2026-04-01"}, object{"note": "dry, no wind"}, "note", "dry, no wind"},
	}
	for _, tt := range tests {
		t.Run(tt.path, func(t *testing.T) {
			s := s
			s.TB = t
			base := "/api/v1" + tt.path
			made := s.send("POST", base, tt.made).want(201)
			at := made.header.Get("Location")
			if at != base+"/"+made.id() || made.header.Get("ETag") != `"1"` {
				t.Errorf("made at %q with ETag %s", at, made.header.Get("ETag"))
			}
			if got := s.send("GET", at, nil).want(200); string(got.body) != string(made.body) {
				t.Errorf("read %s\nmade %s", got.body, made.body)
			}
			s.send("GET", at, nil, header{"If-None-Match": `"1"`}).want(304)
			if list := s.send("GET", base, nil).want(200); !strings.Contains(string(list.body), made.id()) {
				t.Errorf("%s is not in the list", made.id())
			}
			if head := s.send("HEAD", at, nil); head.status != 200 || len(head.body) != 0 || head.header.Get("ETag") != `"1"` {
				t.Errorf("HEAD gives %d with %d bytes", head.status, len(head.body))
			}

			s.unchanged(func() {
				s.send("PUT", at, tt.changed).wantProblem(428, "if_match_missing")
				s.send("DELETE", at, nil).wantProblem(428, "if_match_missing")
				s.send("PUT", at, tt.changed, header{"If-Match": "*"}).wantProblem(428, "if_match_missing")
				s.send("PUT", at, tt.changed, header{"If-Match": "1"}).wantProblem(400, "if_match_form")
				s.send("PUT", at, tt.changed, header{"If-Match": `W/"1"`}).wantProblem(400, "if_match_form")
				s.send("PUT", at, tt.changed, header{"If-Match": `"7"`}).wantProblem(412, "stale")
			})
			changed := s.send("PUT", at, tt.changed, made.match()).want(200)
			if got := changed.object()[tt.field]; got != tt.want || changed.header.Get("ETag") != `"2"` {
				t.Errorf("%s is %v, ETag %s", tt.field, got, changed.header.Get("ETag"))
			}
			s.unchanged(func() {
				s.send("PUT", at, tt.changed, made.match()).wantProblem(412, "stale")
				s.send("DELETE", at, nil, made.match()).wantProblem(412, "stale")
			})
			again := s.send("PUT", at, changed.object(), changed.match()).want(200) // as it was read
			if list := s.send("GET", base+"?limit=1", nil).want(200); tt.path == "/surveys" && list.object()["next"] == nil {
				t.Error("a list of two in pages of one names no next page")
			}
			s.send("DELETE", at, nil, again.match()).want(204)
			s.send("GET", at, nil).wantProblem(404, "missing")
			s.send("PUT", at, tt.changed, again.match()).wantProblem(404, "missing")
			s.send("DELETE", at, nil, again.match()).wantProblem(404, "missing")
		})
	}
}

func TestListsAreFollowedByNext(t *testing.T) {
	s := open(t)
	k := s.fill()
	want := map[string]bool{k.plot: true}
	for i := range 4 {
		want[s.send("POST", "/api/v1/plots", object{"property_id": k.property, "name": fmt.Sprint("Plot ", i)}).want(201).id()] = true
	}
	other := s.send("POST", "/api/v1/properties", object{"name": "Owl Bottom"}).want(201).id()
	s.send("POST", "/api/v1/plots", object{"property_id": other, "name": "Elsewhere"}).want(201)
	pages := 0
	for next := "/api/v1/plots?limit=2&property_id=" + k.property; next != ""; pages++ {
		got := s.send("GET", next, nil).want(200).object()
		if got["total"] != 5.0 {
			t.Fatalf("total is %v", got["total"])
		}
		for _, item := range got["items"].([]any) {
			id := item.(object)["id"].(string)
			if !want[id] {
				t.Errorf("%s is not wanted, or came twice", id)
			}
			delete(want, id)
		}
		next, _ = got["next"].(string)
	}
	if len(want) != 0 || pages != 3 {
		t.Errorf("%d plots are missing after %d pages", len(want), pages)
	}
	if got := s.send("GET", "/api/v1/plots?bbox=-92,43,-90,45", nil).want(200).object(); got["total"] != 1.0 {
		t.Errorf("%v plots in the box", got["total"])
	}
}

func TestAPlotIsMeasuredWhenItsOutlineChanges(t *testing.T) {
	s := open(t)
	k := s.fill()
	surveys := func() []any {
		return s.send("GET", "/api/v1/surveys?plot_id="+k.plot, nil).want(200).object()["items"].([]any)
	}
	first := surveys()[0].(object)
	// 80 m by 111 m, roughly; geo has the exact checks.
	if area := first["area_m2"].(float64); area < 8000 || area > 9500 || first["method"] != "drawn" || first["date"] != "2026-11-25" {
		t.Errorf("the first survey is %v", first)
	}
	plot := s.send("GET", "/api/v1/plots/"+k.plot, nil)
	changed := plot.object()
	changed["note"] = "sandy"
	plot = s.send("PUT", "/api/v1/plots/"+k.plot, changed, plot.match()).want(200)
	if n := len(surveys()); n != 1 {
		t.Errorf("%d surveys after a change of the note", n)
	}
	changed["outline"].(object)["coordinates"].([]any)[0].([]any)[1] = []float64{-90.9985, 44}
	plot = s.send("PUT", "/api/v1/plots/"+k.plot, changed, plot.match()).want(200)
	if got := surveys(); len(got) != 2 || got[0].(object)["in_use"] != false || got[1].(object)["in_use"] != true {
		t.Errorf("the surveys are %v", got)
	}
	delete(changed, "outline")
	s.unchanged(func() {
		s.send("PUT", "/api/v1/plots/"+k.plot, changed, plot.match()).wantProblem(422, "outline_missing")
		s.send("DELETE", "/api/v1/surveys/"+first["id"].(string), nil, header{"If-Match": `"1"`}).wantProblem(412, "stale")
	})
	// Back to the first survey: the plot gets its outline back.
	first["in_use"] = true
	s.send("PUT", "/api/v1/surveys/"+first["id"].(string), first, header{"If-Match": `"2"`}).want(200)
	got := s.send("GET", "/api/v1/plots/"+k.plot, nil)
	if fmt.Sprint(got.object()["outline"]) != fmt.Sprint(first["outline"]) {
		t.Errorf("the outline is %v", got.object()["outline"])
	}
	s.send("DELETE", "/api/v1/surveys/"+first["id"].(string), nil, header{"If-Match": `"3"`}).wantProblem(409, "survey_in_use")
	s.send("DELETE", "/api/v1/properties/"+k.property, nil, header{"If-Match": `"1"`}).wantProblem(409, "in_use")
}

func TestASurveyIsMeasuredFromItsOutline(t *testing.T) {
	s := open(t)
	k := s.fill()
	made := s.send("POST", "/api/v1/surveys", object{
		"plot_id": k.plot, "method": "walked", "date": "2026-05-01", "area_m2": 1, "uncertainty_m2": 40, "outline": polygon()}).want(201).object()
	if area := made["area_m2"].(float64); area < 8000 || made["uncertainty_m2"] != 40.0 || made["in_use"] != false {
		t.Errorf("got %v", made)
	}
}

// Many read while some write; every reply must be whole, and of the writers
// that start from one revision exactly one wins.
func TestManyReadersAndWriters(t *testing.T) {
	s := open(t)
	k := s.fill()
	at := "/api/v1/properties/" + k.property
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			for range 15 {
				s.send("GET", "/api/v1/plots", nil).want(200)
				s.send("GET", at, nil).want(200)
			}
		})
	}
	const rounds, writers = 8, 4
	for round := range rounds {
		var mu sync.Mutex
		statuses := map[int]int{}
		var racing sync.WaitGroup
		for w := range writers {
			racing.Go(func() {
				got := s.send("PUT", at, object{"name": fmt.Sprintf("Round %d of %d", round, w)},
					header{"If-Match": fmt.Sprintf(`"%d"`, round+1)})
				mu.Lock()
				defer mu.Unlock()
				statuses[got.status]++
			})
		}
		racing.Wait()
		if statuses[http.StatusOK] != 1 || statuses[http.StatusPreconditionFailed] != writers-1 {
			t.Fatalf("round %d: %v", round, statuses)
		}
	}
	all.Wait()
	if found := storetest.Complaints(t, s.path); len(found) > 0 {
		t.Error(found)
	}
}
