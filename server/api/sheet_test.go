package api_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/server/api"
)

func (k kept) query(extra ...string) string {
	return "?" + strings.Join(append([]string{"spreader=" + k.spreader, "mix=" + k.mix}, extra...), "&")
}

func (r reply) sheet() (s agronomy.Sheet) {
	r.Helper()
	if err := json.Unmarshal(r.body, &s); err != nil {
		r.Fatalf("%v in %.300s", err, r.body)
	}
	return s
}

func TestASheetComesInEveryFormat(t *testing.T) {
	s := open(t)
	k := s.fill()
	saved := s.send("POST", "/api/v1/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix}).want(201).id()
	kinds := map[string]struct{ mediaType, begins string }{
		"json":    {"application/json", `{"format":1`},
		"pdf":     {"application/pdf", "pdf of North strip"},
		"gpx":     {"application/gpx+xml", "gpx of North strip"},
		"geojson": {"application/geo+json", `{"plot":"North strip"`},
		"kml":     {"application/vnd.google-earth.kml+xml", "kml of North strip"},
		"ics":     {"text/calendar", "ics of North strip"},
	}
	for _, at := range []struct{ path, query string }{
		{"/api/v1/plots/" + k.plot + "/sheet", k.query()},
		{"/api/v1/sheets/" + saved + "/sheet", ""},
	} {
		for extension, kind := range kinds {
			t.Run(extension, func(t *testing.T) {
				s := s
				s.TB = t
				byName := s.send("GET", at.path+"."+extension+at.query, nil).want(200)
				byAccept := s.send("GET", at.path+at.query, nil, header{"Accept": kind.mediaType}).want(200)
				for _, got := range []reply{byName, byAccept} {
					if got.header.Get("Content-Type") != kind.mediaType || !strings.HasPrefix(string(got.body), kind.begins) {
						t.Errorf("%s: %.80s", got.header.Get("Content-Type"), got.body)
					}
					if disposition := got.header.Get("Content-Disposition"); extension != "json" &&
						disposition != "inline; filename=north-strip-2026-11-25."+extension {
						t.Errorf("it is to be saved as %q", disposition)
					}
				}
			})
		}
	}
}

func TestTheAcceptHeaderChooses(t *testing.T) {
	s := open(t)
	k := s.fill()
	at := "/api/v1/plots/" + k.plot + "/sheet" + k.query()
	for accept, want := range map[string]string{
		"":    "application/json",
		"*/*": "application/json",
		"text/html,application/xhtml+xml,*/*;q=0.8": "application/json",
		"application/*": "application/json",
		"application/pdf, application/json;q=0.9":         "application/pdf",
		"application/json;q=0.1, application/pdf;q=0.2":   "application/pdf",
		"*/*, application/json;q=0":                       "application/pdf",
		"application/geo+json;q=0.5, application/gpx+xml": "application/gpx+xml",
		"text/*": "text/calendar",
		"garbage;;;, application/vnd.google-earth.kml+xml":    "application/vnd.google-earth.kml+xml",
		"application/pdf;q=nonsense, application/gpx+xml;q=1": "application/gpx+xml",
	} {
		if got := s.send("GET", at, nil, header{"Accept": accept}).want(200).header.Get("Content-Type"); got != want {
			t.Errorf("%q gives %s, want %s", accept, got, want)
		}
	}
	for _, accept := range []string{"text/html", "image/png", "application/json;q=0"} {
		s.send("GET", at, nil, header{"Accept": accept}).wantProblem(406, "not_acceptable")
	}
}

func TestASheetIsWorkedOutWithWhatIsAsked(t *testing.T) {
	s := open(t)
	k := s.fill()
	s.send("POST", "/api/v1/surveys", object{"plot_id": k.plot, "method": "guessed", "date": "2026-02-01", "area_m2": 9999}).want(201)
	at := "/api/v1/plots/" + k.plot + "/sheet"

	plain := s.send("GET", at+k.query(), nil).want(200).sheet()
	if plain.Property != "Fox Hollow" || plain.Date != "2026-11-25" || plain.Ground.Method != geo.Drawn || plain.Mix != "Own blend" ||
		!strings.HasPrefix(plain.Afterwards.Says[0], "2 surveys") {
		t.Errorf("got %+v", plain)
	}
	asked := s.send("GET", at+k.query("date=2026-05-01", "units=metric", "speed="+url.QueryEscape("7 mph"), "spacing="+url.QueryEscape("12 ft"),
		"gate=half", "clockwise=true", "along=0", "layers=4", "start=-91,44", "room=north,west", "priority=shortest", "budget=900", "half_rates=true", "right_angles=1"), nil).want(200).sheet()
	if asked.Date != "2026-05-01" || asked.System != units.Metric || asked.Spreader.Gate != "half" || asked.Spreader.Speed != 7*units.MPH ||
		asked.Spreader.Spacing != 12*units.Foot || asked.Afterwards.Says[0] != "2 surveys, 0 keep-off lines, clockwise true, along 0, layers 4, start &[-91 44], room {true false false true}, shortest, budget 900, half rates true, right angles true" {
		t.Errorf("got %+v", asked)
	}

	plot := s.send("GET", "/api/v1/plots/"+k.plot, nil)
	own := plot.object()
	own["driver"] = object{"speed_mps": 2.5, "gate": "quarter"}
	s.send("PUT", "/api/v1/plots/"+k.plot, own, plot.match()).want(200)
	mixed := s.send("GET", at+k.query("gate=half"), nil).want(200).sheet()
	if mixed.Spreader.Speed != 2.5 || mixed.Spreader.Gate != "half" {
		t.Errorf("the plot's own choices come before the defaults and after the query's; got %+v", mixed.Spreader)
	}
	if other, err := s.services.Sheet(t.Context(), k.plot, k.spreader, k.mix); err != nil || other.Spreader.Gate != "quarter" {
		t.Errorf("got %+v, %v", other.Spreader, err)
	}
}

func TestASheetSaysWhatIsMissing(t *testing.T) {
	s := open(t)
	k := s.fill()
	bare := s.send("POST", "/api/v1/plots", object{"property_id": k.property, "name": "Bare"}).want(201).id()
	at := "/api/v1/plots/" + k.plot + "/sheet.pdf"
	s.unchanged(func() {
		s.send("GET", at, nil).wantProblem(400, "parameter")
		s.send("GET", at+"?spreader="+k.spreader, nil).wantProblem(400, "parameter")
		s.send("GET", at+"?mix=x&spreader="+k.spreader, nil).wantProblem(404, "missing")
		s.send("GET", at+"?mix="+k.mix+"&spreader="+k.mix, nil).wantProblem(404, "missing")
		s.send("GET", "/api/v1/plots/nowhere/sheet"+k.query(), nil).wantProblem(404, "missing")
		s.send("GET", "/api/v1/sheets/nowhere/sheet.pdf", nil).wantProblem(404, "missing")
		s.send("GET", "/api/v1/plots/"+bare+"/sheet"+k.query(), nil).wantProblem(409, "no_outline")
		for _, parameter := range []string{"speed=fast", "spacing=12", "layers=0", "clockwise=perhaps", "along=uphill", "along=361", "start=1", "start=1,100", "scoop=1 lb", "room=up", "quick=very", "disc_depth=3", "budget=0", "half_rates=2"} {
			name, value, _ := strings.Cut(parameter, "=")
			p := s.send("GET", at+k.query(name+"="+url.QueryEscape(value)), nil).want(400).problem()
			if p.Where.Field != name || p.Remedy == "" {
				t.Errorf("%s: got %+v", parameter, p)
			}
		}
	})
}

func TestFaultsOfTheSheetReachTheClient(t *testing.T) {
	s := open(t, func(s *api.Services) {
		s.Prepare = func(agronomy.Plot, spreader.Spreader, mix.Mix, agronomy.Options) (agronomy.Sheet, error) {
			return agronomy.Sheet{}, fmt.Errorf("preparing: %w",
				fault.New("speed_high", "too fast", "drive 5 mph").Of(fault.Refused).In("speed_mps"))
		}
	})
	k := s.fill()
	got := s.send("GET", "/api/v1/plots/"+k.plot+"/sheet"+k.query(), nil)
	got.wantProblem(409, "speed_high")
	if p := got.problem(); p.Where.Field != "speed_mps" || p.Remedy != "drive 5 mph" || p.Detail != "too fast" {
		t.Errorf("got %+v", p)
	}
	s.unchanged(func() {
		s.send("POST", "/api/v1/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix}).wantProblem(409, "speed_high")
	})
}

// A request beyond what may run and wait is sent away with a time to come back.
func TestACrowdIsSentAway(t *testing.T) {
	s := open(t, func(s *api.Services) {
		s.Turns = api.NewTurns(0) // nobody runs and nobody may wait
	})
	k := s.fill()
	got := s.send("GET", "/api/v1/plots/"+k.plot+"/sheet"+k.query(), nil)
	got.wantProblem(503, "busy")
	if after := got.header.Get("Retry-After"); after != "5" {
		t.Errorf("come back after %q", after)
	}
	s.send("POST", "/api/v1/sheet", sheetRequest()).wantProblem(503, "busy")
}

// A saved sheet is what was worked out on its day, whatever becomes of the
// plot, the spreader and the mix.
func TestASavedSheetStaysAsItWas(t *testing.T) {
	s := open(t)
	k := s.fill()
	saved := s.send("POST", "/api/v1/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix,
		"date": "2026-04-01", "options": object{"gate": "half"}, "note": "first of the season"}).want(201)
	at := "/api/v1/sheets/" + saved.id()
	before := s.send("GET", at+"/sheet", nil).want(200)
	if sheet := before.sheet(); sheet.Date != "2026-04-01" || sheet.Spreader.Gate != "half" {
		t.Errorf("got %+v", sheet)
	}
	if options := saved.object()["options"]; !reflect.DeepEqual(options, object{"date": "2026-04-01", "gate": "half"}) {
		t.Errorf("it was worked out with %v", options)
	}

	plot := s.send("GET", "/api/v1/plots/"+k.plot, nil)
	renamed := plot.object()
	renamed["name"] = "Another name"
	s.send("PUT", "/api/v1/plots/"+k.plot, renamed, plot.match()).want(200)
	s.send("DELETE", "/api/v1/spreaders/"+k.spreader, nil, header{"If-Match": `"1"`}).want(204)
	s.send("DELETE", "/api/v1/mixes/"+k.mix, nil, header{"If-Match": `"1"`}).want(204)
	if after := s.send("GET", at+"/sheet", nil).want(200); string(after.body) != string(before.body) {
		t.Errorf("it was %s\nand is %s", before.body, after.body)
	}
	s.send("PUT", at, object{"plot_id": k.property, "note": "x"}, saved.match()).wantProblem(409, "sheet_fixed")
	s.send("PUT", at, object{"date": "2026-04-02"}, saved.match()).wantProblem(409, "sheet_fixed")
	s.send("DELETE", "/api/v1/plots/"+k.plot, nil, header{"If-Match": `"2"`}).wantProblem(409, "in_use")

	list := s.send("GET", "/api/v1/sheets?plot_id="+k.plot, nil).want(200).object()["items"].([]any)
	if item := list[0].(object); item["result"] != nil || item["note"] != "first of the season" {
		t.Errorf("a list leaves the result out; got %v", item)
	}
}

func sheetRequest(extra ...object) object {
	plot := object{"name": "Bench", "outline": polygon()}
	request := object{"plot": plot, "spreader": spreaderDocument(), "mix": mixDocument()}
	for _, e := range extra {
		for name, v := range e {
			plot[name] = v
		}
	}
	return request
}

func TestASheetOfTheRequestAlone(t *testing.T) {
	s := open(t)
	s.unchanged(func() {
		request := sheetRequest(object{"property": "Elsewhere", "surveys": []object{{"method": "guessed", "date": "2026-01-01", "area_m2": 5000}}})
		request["options"] = object{"date": "2026-05-02", "speed_mps": 3}
		got := s.send("POST", "/api/v1/sheet", request).want(200).sheet()
		if got.Plot != "Bench" || got.Property != "Elsewhere" || got.Date != "2026-05-02" || got.Spreader.Speed != 3 ||
			got.Ground.Method != geo.Drawn || got.Ground.AreaM2 < 8000 || !strings.HasPrefix(got.Afterwards.Says[0], "2 surveys") {
			t.Errorf("got %+v", got)
		}
		walked := sheetRequest(object{"survey": object{"method": "walked", "date": "2026-01-01", "uncertainty_m2": 30}})
		if got := s.send("POST", "/api/v1/sheet", walked).want(200).sheet(); got.Ground.Method != geo.Walked || got.Ground.AreaM2 < 8000 {
			t.Errorf("got %+v", got.Ground)
		}
		pdf := s.send("POST", "/api/v1/sheet", sheetRequest(), header{"Accept": "application/pdf"}).want(200)
		if string(pdf.body) != "pdf of Bench" {
			t.Errorf("got %s", pdf.body)
		}
	})
}

func TestASheetRequestIsChecked(t *testing.T) {
	s := open(t)
	without := func(name string) object { r := sheetRequest(); delete(r, name); return r }
	tests := []struct {
		name  string
		body  object
		field string
	}{
		{"no plot", without("plot"), "plot.outline"},
		{"no spreader", without("spreader"), "spreader"},
		{"no mix", without("mix"), "mix"},
		{"bow-tie", sheetRequest(object{"outline": object{"type": "Polygon", "coordinates": [][][]float64{
			{{-91, 44}, {-90.99, 44.01}, {-90.99, 44}, {-91, 44.01}, {-91, 44}}}}}), "plot.outline"},
		{"bad survey", sheetRequest(object{"survey": object{"method": "dreamt", "date": "2026-01-01"}}), "plot.survey.method"},
		{"bad guess", sheetRequest(object{"surveys": []object{{"method": "guessed", "date": "2026-01-01"}}}), "plot.survey.area_m2"},
	}
	s.unchanged(func() {
		for _, tt := range tests {
			t.Run(tt.name, func(t *testing.T) {
				s := s
				s.TB = t
				if p := s.send("POST", "/api/v1/sheet", tt.body).want(422).problem(); p.Where.Field != tt.field {
					t.Errorf("the field is %q, want %q: %+v", p.Where.Field, tt.field, p)
				}
			})
		}
		s.send("POST", "/api/v1/sheet", sheetRequest(), header{"Accept": "text/html"}).wantProblem(406, "not_acceptable")
		s.send("POST", "/api/v1/sheet?x=1", sheetRequest()).wantProblem(400, "parameter")
	})
}

// The real thing, over the demo's machine and mix: the reply is as described,
// and a saved sheet comes back byte for byte.
func TestARealSheetIsAsDescribedAndKeptWhole(t *testing.T) {
	s, k := demoSite(t)
	worked := s.send("GET", "/api/v1/plots/"+k.plot+"/sheet.json"+k.query("date=2026-05-01", "habit=true"), nil).want(200)
	if sheet := worked.sheet(); len(sheet.Drive.Passes) == 0 || len(sheet.Materials) == 0 {
		t.Fatalf("an empty sheet: %.500s", worked.body)
	}
	saved := s.send("POST", "/api/v1/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix,
		"date": "2026-05-01", "options": object{"habit": true}}).want(201)
	again := s.send("GET", "/api/v1/sheets/"+saved.id()+"/sheet.json", nil).want(200)
	if string(again.body) != string(worked.body) {
		t.Errorf("worked out %s\nkept %s", worked.body, again.body)
	}
}
