package record_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

func TestCheckNamesWhatIsWrong(t *testing.T) {
	survey := func(change func(*record.Survey)) *record.Survey {
		s := &record.Survey{PlotID: "p", Survey: geo.Survey{Method: geo.Taped, Date: "2026-03-01", AreaM2: 900}}
		change(s)
		return s
	}
	plot := func(change func(*record.Plot)) *record.Plot {
		p := &record.Plot{PropertyID: "p", Name: "Strip"}
		change(p)
		return p
	}
	object := json.RawMessage(`{}`)
	sheet := func(change func(*record.Done)) *record.Sheet {
		done := &record.Done{Date: "2026-04-02", Used: []record.Used{{ID: "oats", Mass: 20}},
			Counts: []record.Count{{Date: "2026-05-01", What: "oat plants", Counts: stand.Counts{Found: []int{4, 0, 7}, Sample: 0.45}}}}
		change(done)
		return &record.Sheet{PlotID: "p", Date: "2026-03-01", Result: object, Done: done}
	}
	creek := orb.LineString{{1, 2}, {3, 4}}
	tests := []struct {
		name   string
		record record.Kept
		code   string // empty where nothing is wrong
		field  string
	}{
		{"property", &record.Property{Name: "Fox Hollow"}, "", ""},
		{"property without a name", &record.Property{}, "name_empty", "name"},
		{"name with a blank", &record.Property{Name: "x "}, "name_spaces", "name"},
		{"name in another encoding", &record.Property{Name: "\xff"}, "text_encoding", "name"},
		{"longest name", &record.Property{Name: strings.Repeat("é", 120)}, "", ""},
		{"longer name", &record.Property{Name: strings.Repeat("é", 121)}, "text_long", "name"},
		{"note of two lines", &record.Property{Name: "x", Note: "a\nb"}, "", ""},
		{"note with a bell", &record.Property{Name: "x", Note: "a\a"}, "text_control", "note"},
		{"plot", plot(func(*record.Plot) {}), "", ""},
		{"plot of no property", plot(func(p *record.Plot) { p.PropertyID = "" }), "reference_empty", "property_id"},
		{"driver is a list", plot(func(p *record.Plot) { p.Driver = json.RawMessage(`[]`) }), "not_an_object", "driver"},
		{"ring of three", plot(func(p *record.Plot) { p.Outline = record.Outline{{{1, 2}, {3, 4}, {1, 2}}} }), "ring_short", "outline"},
		{"infinite corner", plot(func(p *record.Plot) {
			p.Outline = record.Outline{{{1, 2}, {3, 4}, {math.Inf(1), 5}, {1, 2}}}
		}), "position", "outline"},
		{"latitude past the pole", plot(func(p *record.Plot) {
			p.Outline = record.Outline{{{1, 2}, {3, 4}, {5, 91}, {1, 2}}}
		}), "position", "outline"},
		{"keep-off", plot(func(p *record.Plot) {
			p.KeepOff = []agronomy.KeepOff{{Line: creek, Distance: 5, For: agronomy.Everything}}
		}), "", ""},
		{"keep-off of no distance", plot(func(p *record.Plot) {
			p.KeepOff = []agronomy.KeepOff{{Line: creek, Distance: -1, For: agronomy.Everything}}
		}), "keep_off_distance", "keep_off[0]"},
		{"keep-off of NaN", plot(func(p *record.Plot) {
			p.KeepOff = []agronomy.KeepOff{{Line: orb.LineString{{1, 2}, {math.NaN(), 4}}, For: agronomy.Everything}}
		}), "position", "keep_off[0]"},
		{"survey", survey(func(*record.Survey) {}), "", ""},
		{"survey of no plot", survey(func(s *record.Survey) { s.PlotID = "" }), "reference_empty", "plot_id"},
		{"survey of no method", survey(func(s *record.Survey) { s.Method = "" }), "unknown_method", "method"},
		{"survey of NaN", survey(func(s *record.Survey) { s.AreaM2 = math.NaN() }), "range", "area_m2"},
		{"taped dimensions", survey(func(s *record.Survey) {
			s.Dimensions = &record.Dimensions{Shape: "rectangle", LengthsM: []float64{30, 30}}
		}), "", ""},
		{"a length below nothing", survey(func(s *record.Survey) {
			s.Dimensions = &record.Dimensions{LengthsM: []float64{-1}}
		}), "dimension", "dimensions"},
		{"a baseline from zero", survey(func(s *record.Survey) {
			s.Dimensions = &record.Dimensions{Shape: "baseline", LengthsM: []float64{0, 9, 6, 15, 12, 0}}
		}), "", ""},
		{"spreader", &record.Spreader{Name: "x", Document: object}, "", ""},
		{"spreader without a document", &record.Spreader{Name: "x"}, "not_an_object", "document"},
		{"mix of broken JSON", &record.Mix{Name: "x", Document: json.RawMessage(`{`)}, "not_an_object", "document"},
		{"sheet", &record.Sheet{PlotID: "p", Date: "2026-03-01", Result: object}, "", ""},
		{"sheet that is done", sheet(func(*record.Done) {}), "", ""},
		{"done on no day", sheet(func(d *record.Done) { d.Date = "" }), "date", "done.date"},
		{"done with a bell", sheet(func(d *record.Done) { d.Note = "a\a" }), "text_control", "done.note"},
		{"used twice", sheet(func(d *record.Done) { d.Used = append(d.Used, d.Used[0]) }), "material", "done.used[1].id"},
		{"used of nothing", sheet(func(d *record.Done) { d.Used[0].ID = "" }), "material", "done.used[0].id"},
		{"used less than nothing", sheet(func(d *record.Done) { d.Used[0].Mass = -1 }), "mass", "done.used[0].mass_kg"},
		{"used NaN", sheet(func(d *record.Done) { d.Used[0].Mass = units.Mass(math.NaN()) }), "mass", "done.used[0].mass_kg"},
		{"counted nowhere", sheet(func(d *record.Done) { d.Counts[0].Found = nil }), "counts", "done.counts[0].found"},
		{"counted below zero", sheet(func(d *record.Done) { d.Counts[0].Found[1] = -1 }), "counts", "done.counts[0].found"},
		{"counted in no hoop", sheet(func(d *record.Done) { d.Counts[0].Sample = 0 }), "sample", "done.counts[0].sample_m2"},
		{"counted on no day", sheet(func(d *record.Done) { d.Counts[0].Date = "May" }), "date", "done.counts[0].date"},
		{"counted too often", sheet(func(d *record.Done) { d.Counts = make([]record.Count, 51) }), "too_many", "done.counts"},
		{"sheet without a result", &record.Sheet{PlotID: "p", Date: "2026-03-01"}, "not_an_object", "result"},
		{"sheet of no day", &record.Sheet{PlotID: "p", Date: "1 March", Result: object}, "date", "date"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			err := tt.record.Check()
			found, _ := fault.From(err)
			switch {
			case tt.code == "":
				if err != nil {
					t.Errorf("got %v", err)
				}
			case found == nil || found.Code != tt.code || found.Where.Field != tt.field || found.Remedy == "":
				t.Errorf("got %#v, want %s in %s", err, tt.code, tt.field)
			}
		})
	}
}

func TestAnOutlineIsAGeoJSONPolygon(t *testing.T) {
	const text = `{"type":"Polygon","coordinates":[[[7.1,58.2],[7.2,58.2],[7.2,58.3],[7.1,58.2]]]}`
	var o record.Outline
	if err := json.Unmarshal([]byte(text), &o); err != nil {
		t.Fatal(err)
	}
	if again, err := json.Marshal(o); err != nil || string(again) != text {
		t.Errorf("got %s, %v", again, err)
	}
	if box := o.Bound(); box.Min != (orb.Point{7.1, 58.2}) || box.Max != (orb.Point{7.2, 58.3}) {
		t.Errorf("the box is %v", box)
	}
	for text, where := range map[string]fault.Place{
		`{"type":"Polygon","coordinates":[[[1,2],[3]]]}`:         {Ring: 1, Vertex: 2, Field: "outline"},
		`{"type":"Polygon","coordinates":[[[1,2]],[[1,2,3,4]]]}`: {Ring: 2, Vertex: 1, Field: "outline"},
		`{"type":"MultiPolygon","coordinates":[[[[1,2]]]]}`:      {Field: "outline"},
		`{"type":"LineString","coordinates":[]}`:                 {Field: "outline"},
		`{"coordinates":[]}`:                                     {Field: "outline"},
		`7`:                                                      {Field: "outline"},
		`{"type":"Polygon","coordinates":[[["1",2]]]}`:           {Field: "outline"},
	} {
		found, ok := fault.From(json.Unmarshal([]byte(text), &o))
		if !ok || !reflect.DeepEqual(found.Where, where) {
			t.Errorf("%s: got %+v", text, found)
		}
	}
}

func TestInUseIsTheSurveyInUse(t *testing.T) {
	var p record.SurveyedPlot
	if p.InUse() != nil {
		t.Error("a plot without surveys has one in use")
	}
	p.Surveys = []record.Survey{{}, {InUse: true, PlotID: "x"}}
	if used := p.InUse(); used == nil || used.PlotID != "x" {
		t.Errorf("got %v", used)
	}
}

// What is read is written back the same, and checking it never fails but with
// a fault.
func FuzzOutline(f *testing.F) {
	f.Add([]byte(`{"type":"Polygon","coordinates":[[[7.1,58.2],[7.2,58.2],[7.2,58.3],[7.1,58.2]]]}`))
	f.Add([]byte(`{"type":"Polygon","coordinates":[[[1,2,3]],[]]}`))
	f.Add([]byte(`{"type":"Polygon","coordinates":[[[1e308,-1e308]]]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var o, again record.Outline
		if err := json.Unmarshal(text, &o); err != nil {
			return
		}
		written, err := json.Marshal(o)
		if err != nil {
			t.Fatalf("%s is read and not written: %v", text, err)
		}
		if err := json.Unmarshal(written, &again); err != nil || !reflect.DeepEqual(o, again) {
			t.Fatalf("%s becomes %v and then %v, %v", text, o, again, err)
		}
		plot := record.Plot{PropertyID: "p", Name: "x", Outline: o}
		if err := plot.Check(); err != nil {
			if _, ok := fault.From(err); !ok {
				t.Fatalf("%s: %v", text, err)
			}
		}
	})
}
