package api_test

import (
	"strings"
	"testing"
)

// What a plot is worked with stands in its record, and its sheet follows it
// where the query names nothing else.
func TestASheetTakesThePlotsOwnSpreaderAndMix(t *testing.T) {
	s := open(t)
	k := s.fill()
	at := "/api/v1/plots/" + k.plot
	plot := s.send("GET", at, nil).want(200)
	own := plot.object()
	own["spreader_id"], own["mix_id"] = k.spreader, k.mix
	kept := s.send("PUT", at, own, plot.match()).want(200)
	if got := kept.object(); got["spreader_id"] != k.spreader || got["mix_id"] != k.mix {
		t.Errorf("kept %s", kept.body)
	}
	if sheet := s.send("GET", at+"/sheet", nil).want(200).sheet(); sheet.Mix != "Own blend" || sheet.Spreader.Name != "Small one" {
		t.Errorf("got %s on %s", sheet.Mix, sheet.Spreader.Name)
	}
	other := s.send("POST", "/api/v1/mixes", object{"document": object{"name": "Other blend", "items": mixDocument()["items"]}}).want(201).id()
	if sheet := s.send("GET", at+"/sheet?mix="+other, nil).want(200).sheet(); sheet.Mix != "Other blend" || sheet.Spreader.Name != "Small one" {
		t.Errorf("got %s on %s", sheet.Mix, sheet.Spreader.Name)
	}

	own["mix_id"] = "nowhere"
	s.unchanged(func() {
		wrong := s.send("PUT", at, own, kept.match())
		wrong.wantProblem(422, "reference")
		if !strings.Contains(string(wrong.body), `"mix_id"`) {
			t.Errorf("the field is not named: %s", wrong.body)
		}
	})
	s.send("DELETE", "/api/v1/mixes/"+k.mix, nil, header{"If-Match": `"1"`}).want(204)
	left := s.send("GET", at, nil, header{"If-None-Match": kept.header.Get("ETag")}).want(200)
	if _, there := left.object()["mix_id"]; there || left.header.Get("ETag") != `"3"` {
		t.Errorf("ETag %s of %s", left.header.Get("ETag"), left.body)
	}
	s.send("GET", at+"/sheet", nil).wantProblem(400, "parameter")
}

// A record that a client made while it could not reach us is kept under its
// own id, and once, however often it is sent.
func TestARecordMadeElsewhereIsKeptOnce(t *testing.T) {
	s := open(t)
	k := s.fill()
	anew := header{"If-None-Match": "*"}
	const id = "/0198d2f0-5a3c-7b1e-9c2d-4e5f60718293"
	for _, tt := range []struct {
		path string
		body object
	}{
		{"/properties", object{"name": "Owl Bottom"}},
		{"/plots", object{"property_id": k.property, "name": "Strip", "outline": polygon(), "spreader_id": k.spreader}},
		{"/surveys", object{"plot_id": k.plot, "method": "taped", "date": "2026-03-01", "outline": polygon(), "in_use": true}},
		{"/spreaders", object{"document": spreaderDocument()}},
		{"/mixes", object{"document": mixDocument()}},
		{"/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix, "date": "2026-04-01"}},
	} {
		at := "/api/v1" + tt.path + id
		made := s.send("PUT", at, tt.body, anew).want(201)
		if made.id() != id[1:] || made.header.Get("ETag") != `"1"` || made.header.Get("Location") != at {
			t.Errorf("%s: ETag %s, Location %s, %s", tt.path, made.header.Get("ETag"), made.header.Get("Location"), made.body)
		}
		s.unchanged(func() {
			s.send("PUT", at, tt.body, anew).wantProblem(412, "taken")
			s.send("PUT", "/api/v1"+tt.path+"/mine", tt.body, anew).wantProblem(422, "id_form")
			s.send("PUT", at, tt.body, header{"If-None-Match": `"1"`}).wantProblem(400, "if_none_match_form")
			s.send("PUT", at, tt.body, header{"If-None-Match": "*", "If-Match": `"1"`}).wantProblem(400, "if_none_match_form")
			s.send("PUT", at+"0", tt.body).wantProblem(428, "if_match_missing")
		})
		if got := s.send("GET", at, nil).want(200); string(got.body) != string(made.body) {
			t.Errorf("%s: read %s\nmade %s", tt.path, got.body, made.body)
		}
	}
	if made := s.send("POST", "/api/v1/properties", object{"id": id[1:], "name": "By POST"}).want(201); made.id() == id[1:] {
		t.Error("an id in a POST was taken")
	}
}

// A sheet that was made out of reach is worked out from what it was made from
// there, although the plot has changed since.
func TestASheetMadeElsewhereIsWorkedOutFromItsInputs(t *testing.T) {
	s := open(t)
	k := s.fill()
	inputs := sheetRequest(object{"name": "As it was called there"})
	inputs["options"] = object{"date": "2026-04-01", "gate": "half"}
	body := object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix, "date": "2026-04-01", "inputs": inputs}
	const at = "/api/v1/sheets/0198d2f0-5a3c-7b1e-9c2d-4e5f60718293"
	anew := header{"If-None-Match": "*"}
	saved := s.send("PUT", at, body, anew).want(201)
	if sheet := s.send("GET", at+"/sheet", nil).want(200).sheet(); sheet.Plot != "As it was called there" || sheet.Date != "2026-04-01" || sheet.Spreader.Gate != "half" {
		t.Errorf("got %+v", sheet)
	}
	if got := saved.object(); got["inputs"] != nil || got["date"] != "2026-04-01" {
		t.Errorf("kept %s", saved.body)
	}
	s.unchanged(func() {
		inputs["mix"] = object{"name": "Nothing in it"}
		wrong := s.send("POST", "/api/v1/sheets", body)
		if wrong.status != 422 || !strings.Contains(string(wrong.body), `"inputs.mix`) {
			t.Errorf("got %d %s", wrong.status, wrong.body)
		}
		body["inputs"] = object{"plots": 1}
		s.send("POST", "/api/v1/sheets", body).wantProblem(422, "unknown_field")
	})
}
