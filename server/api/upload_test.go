package api_test

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"mime/multipart"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const testdata = "../../testdata/"

// sample is a file of testdata.
func sample(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(testdata, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// form is a file as the field of a form, and the header that says so.
func form(t testing.TB, field, file, content string) (string, header) {
	t.Helper()
	var body bytes.Buffer
	writer := multipart.NewWriter(&body)
	if err := writer.WriteField("comment", "a field that is no file"); err != nil {
		t.Fatal(err)
	}
	if file != "" {
		part, err := writer.CreateFormFile(field, file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := part.Write([]byte(content)); err != nil {
			t.Fatal(err)
		}
	}
	if err := writer.Close(); err != nil {
		t.Fatal(err)
	}
	return body.String(), header{"Content-Type": writer.FormDataContentType()}
}

// What curl --data-binary declares, whatever the file is.
var undeclared = header{"Content-Type": "application/x-www-form-urlencoded"}

func TestAnUploadMakesEveryPlotOfTheFile(t *testing.T) {
	s := open(t)
	k := s.fill()
	file := `{"type":"FeatureCollection","features":[
		{"type":"Feature","properties":{"name":"Bench"},"geometry":{"type":"Polygon","coordinates":[[[7.1,58.2],[7.102,58.2],[7.102,58.202],[7.1,58.2]]]}},
		{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[7.2,58.2],[7.202,58.2],[7.202,58.202],[7.2,58.2]]]}}]}`
	inForm, formHeader := form(t, "file", "bench.dat", file)
	for name, send := range map[string]func(string) reply{
		"body": func(at string) reply { return s.send("POST", at, file, undeclared) },
		"form": func(at string) reply { return s.send("POST", at, inForm, formHeader) },
	} {
		var offered, made struct {
			Total int
			Items []struct {
				ID, Name string
				Outline  json.RawMessage
				Survey   struct {
					Method string
					AreaM2 float64 `json:"area_m2"`
				}
			}
		}
		s.unchanged(func() {
			if err := json.Unmarshal(send("/api/v1/outlines?dry_run=true").want(200).body, &offered); err != nil {
				t.Fatal(err)
			}
		})
		if err := json.Unmarshal(send("/api/v1/outlines?property_id="+k.property).want(201).body, &made); err != nil {
			t.Fatal(err)
		}
		if offered.Total != 2 || made.Total != 2 {
			t.Fatalf("%s: %d offered and %d made", name, offered.Total, made.Total)
		}
		for i, want := range []string{"Bench", "Plot 2"} {
			o, m := offered.Items[i], made.Items[i]
			if o.Name != want || m.Name != want || string(o.Outline) != string(m.Outline) || o.Survey.Method != "uploaded" || o.Survey.AreaM2 < 10000 {
				t.Errorf("%s: offered %+v, made %+v", name, o, m)
			}
			kept := s.send("GET", "/api/v1/surveys?plot_id="+m.ID, nil).want(200).object()["items"].([]any)
			if len(kept) != 1 || kept[0].(object)["area_m2"] != o.Survey.AreaM2 || kept[0].(object)["in_use"] != true {
				t.Errorf("%s: the surveys are %v", name, kept)
			}
		}
	}
}

func TestARecordedWalkIsMeasuredAsAWalk(t *testing.T) {
	s := open(t)
	k := s.fill()
	made := s.send("POST", "/api/v1/outlines?property_id="+k.property, sample(t, "walks/quarter-acre-on-foot.gpx"), undeclared).want(201)
	plot := made.object()["items"].([]any)[0].(object)
	survey := s.send("GET", "/api/v1/surveys?plot_id="+plot["id"].(string), nil).want(200).object()["items"].([]any)[0].(object)
	area, sigma := survey["area_m2"].(float64), survey["uncertainty_m2"].(float64)
	const truth = 1011.7141056 // testdata/walks/truths.json
	if survey["method"] != "walked" || sigma <= 0 || math.Abs(area-truth) > 4*sigma {
		t.Errorf("a walk round %.0f m2 is %v", truth, survey)
	}

	// Walked again: the same plot has a new survey in use and a new outline.
	again := s.send("POST", "/api/v1/plots/"+k.plot+"/outline", sample(t, "walks/tenth-acre-on-foot.gpx"), undeclared).want(201)
	if o := again.object(); o["plot_id"] != k.plot || o["in_use"] != true || o["method"] != "walked" || again.header.Get("Location") != "/api/v1/surveys/"+again.id() {
		t.Errorf("got %v", o)
	}
	now := s.send("GET", "/api/v1/plots/"+k.plot, nil).want(200)
	if fmt.Sprint(now.object()["outline"]) != fmt.Sprint(again.object()["outline"]) || now.header.Get("ETag") != `"2"` {
		t.Error("the plot did not take the outline")
	}
	inside := s.send("POST", "/api/v1/plots/"+k.plot+"/outline?offset=4+ft", sample(t, "walks/tenth-acre-on-foot.gpx"), undeclared).want(201)
	if inside.object()["area_m2"].(float64) <= again.object()["area_m2"].(float64) {
		t.Error("a line walked inside the edge makes a larger plot")
	}
	s.unchanged(func() {
		s.send("POST", "/api/v1/plots/nowhere/outline", sample(t, "walks/tenth-acre-on-foot.gpx"), undeclared).wantProblem(404, "missing")
		s.send("POST", "/api/v1/plots/"+k.plot+"/outline?split=true", sample(t, "outlines/two_parts.geojson"), undeclared).wantProblem(422, "several_plots")
		s.send("POST", "/api/v1/outlines?property_id=nowhere", sample(t, "outlines/one_part.geojson"), undeclared).wantProblem(422, "reference")
		s.send("POST", "/api/v1/outlines", sample(t, "outlines/one_part.geojson"), undeclared).wantProblem(400, "parameter")
	})
}

// ring writes a polygon of n corners.
func ring(n int) string {
	corners := make([]string, n+1)
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		corners[i] = fmt.Sprintf("[%.9f,%.9f]", 7.1+0.02*cos, 58.2+0.01*sin)
	}
	return polygonOf(strings.Join(corners, ","))
}

func polygonOf(positions string) string {
	return `{"type":"Polygon","coordinates":[[` + positions + `]]}`
}

// bomb is a KMZ of a few kilobytes that unpacks to so many megabytes.
func bomb(t testing.TB, megabytes int) string {
	t.Helper()
	var packed bytes.Buffer
	archive := zip.NewWriter(&packed)
	archive.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	file, err := archive.Create("doc.kml")
	if err != nil {
		t.Fatal(err)
	}
	blanks := bytes.Repeat([]byte(" "), 1<<20)
	for range megabytes {
		if _, err := file.Write(blanks); err != nil {
			t.Fatal(err)
		}
	}
	if err := archive.Close(); err != nil {
		t.Fatal(err)
	}
	return packed.String()
}

const entityBomb = `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
	<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><gpx><trk><name>&c;</name></trk></gpx>`

func brokenFiles(t testing.TB) map[string]string {
	good := sample(t, "outlines/collection.geojson")
	return map[string]string{
		"empty":                 "",
		"blanks":                " \n ",
		"truncated JSON":        good[:len(good)/2],
		"wrong format":          "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
		"text":                  "lon,lat\n7.1,58.2\n",
		"NaN":                   polygonOf("[7.1,58.2],[NaN,58.2],[7.1,58.3]"),
		"bow-tie":               polygonOf("[7.1,58.2],[7.102,58.202],[7.102,58.2],[7.1,58.202]"),
		"swapped axes":          polygonOf("[44.1,-91.2],[44.102,-91.2],[44.102,-91.202]"),
		"several parts":         sample(t, "outlines/two_parts.geojson"),
		"200,000 corners":       ring(200_000),
		"XML entity bomb":       entityBomb,
		"zip bomb":              bomb(t, 24),
		"truncated zip":         bomb(t, 0)[:60],
		"truncated GPX":         sample(t, "outlines/walked.gpx")[:500],
		"one good, one bad":     oneGoodOneBad(),
		"larger than the limit": strings.Repeat(" ", 16<<20+1),
	}
}

func oneGoodOneBad() string {
	return `{"type":"FeatureCollection","features":[` + feature("[7.1,58.2],[7.102,58.2],[7.102,58.202]") + "," +
		feature("[7.1,58.2],[7.102,58.202],[7.102,58.2],[7.1,58.202]") + "]}"
}

func feature(positions string) string {
	return `{"type":"Feature","properties":{},"geometry":` + polygonOf(positions) + `}`
}

func TestABrokenUploadLeavesTheStoreUnchanged(t *testing.T) {
	s := open(t)
	k := s.fill()
	for name, content := range brokenFiles(t) {
		t.Run(name, func(t *testing.T) {
			s := s
			s.TB = t
			inForm, formHeader := form(t, "file", "outline.geojson", content)
			s.unchanged(func() {
				replies := []reply{s.send("POST", "/api/v1/outlines?property_id="+k.property, content, undeclared)}
				if len(content) < 1<<20 { // the doors lead to one reader; the slow ones go through one
					replies = append(replies,
						s.send("POST", "/api/v1/outlines?property_id="+k.property, inForm, formHeader),
						s.send("POST", "/api/v1/outlines?dry_run=true", content, undeclared),
						s.send("POST", "/api/v1/plots/"+k.plot+"/outline", content, undeclared))
				}
				for _, got := range replies {
					if p := got.problem(); got.status < 400 || got.status >= 500 || p.Remedy == "" {
						t.Errorf("%d: %s", got.status, got.body)
					}
				}
			})
		})
	}
	s.unchanged(func() {
		none, formHeader := form(t, "", "", "")
		s.send("POST", "/api/v1/outlines?dry_run=true", none, formHeader).wantProblem(400, "form_empty")
		cut, formHeader := form(t, "file", "x.geojson", sample(t, "outlines/collection.geojson"))
		s.send("POST", "/api/v1/outlines?property_id="+k.property, cut[:len(cut)-400], formHeader).wantProblem(400, "body_broken")
		s.send("POST", "/api/v1/outlines?dry_run=true", "x", header{"Content-Type": "multipart/form-data"}).wantProblem(400, "form_broken")
	})
}

// The place of a fault in a file reaches the client.
func TestAFaultSaysWhereInTheFile(t *testing.T) {
	s := open(t)
	p := s.send("POST", "/api/v1/outlines?dry_run=true", oneGoodOneBad(), undeclared).want(422).problem()
	if p.Code != "self_crossing" || p.Where.Feature != 2 || p.Where.Ring != 1 || p.Where.Vertex == 0 {
		t.Errorf("got %+v", p)
	}
}
