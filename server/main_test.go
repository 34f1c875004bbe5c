package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// outcome is what a command printed and how it ended.
type outcome struct {
	code     int
	out, err string
}

// evenfall runs the command line with a fixed clock.
func evenfall(t *testing.T, input string, words ...string) outcome {
	t.Helper()
	var out, errs bytes.Buffer
	c := &console{in: strings.NewReader(input), out: &out, err: &errs, now: func() time.Time {
		return time.Date(2026, 8, 29, 7, 30, 0, 0, time.UTC)
	}}
	code := run(context.Background(), words, c)
	return outcome{code, out.String(), errs.String()}
}

const bench = "../fixtures/outlines/owl-bench.geojson"

func TestExitCodesAndWords(t *testing.T) {
	bowTie := `{"type":"Polygon","coordinates":[[[-90,44],[-89.999,44.001],[-89.999,44],[-90,44.001],[-90,44]]]}`
	tests := []struct {
		name     string
		input    string
		words    []string
		code     int
		out, err string // part of what is printed
	}{
		{"version", "", []string{"version"}, exitDone, "evenfall development", ""},
		{"help", "", []string{"--help"}, exitDone, "Measure a plot", ""},
		{"help of a command", "", []string{"sheet", "--help"}, exitDone, "--spreader", ""},
		{"no words", "", nil, exitUsage, "", "Try 'evenfall --help'"},
		{"unknown word", "", []string{"mow"}, exitUsage, "", "unexpected argument mow"},
		{"area", "", []string{"area", bench}, exitDone, "Owl Bench: 0.27 ac, give or take 0.02 ac", ""},
		{"metric area", "", []string{"area", "--units", "metric", bench}, exitDone, "1,090 m²", ""},
		{"area of a missing file", "", []string{"area", "nowhere.gpx"}, exitFailed, "", "opening the file"},
		{"area from standard input", bowTie, []string{"area", "-"}, exitFailed, "", "meets the edge"},
		{"check", "", []string{"check", bench}, exitDone, "nothing wrong; 19 corners, no holes", ""},
		{"check of a bow-tie", bowTie, []string{"check", "-"}, exitFailed, "", "-89.99"},
		{"check of a bow-tie as JSON", bowTie, []string{"check", "--json", "-"}, exitFailed, `"code": "self_crossing"`, "meets"},
		{"check of nothing", "", []string{"check", "-"}, exitFailed, "", "empty"},
		{"sheet without a spreader", "", []string{"sheet", bench, "--put", "oats=80 lb/ac"}, exitUsage, "", "--throw"},
		{"sheet without goods", "", []string{"sheet", bench, "--throw", "26 ft"}, exitUsage, "", "--put"},
		{"sheet with a bad rate", "", []string{"sheet", bench, "--throw", "26 ft", "--put", "oats=many"}, exitUsage, "", "--put"},
		{"sheet with a bad unit", "", []string{"sheet", bench, "--throw", "26 lb", "--put", "oats=80 lb/ac"}, exitUsage, "", "--throw"},
		{"serve with a certificate and no key", "", []string{"serve", "--certificate", bench}, exitUsage, "", "--key"},
		{"serve with a certificate that is none", "", []string{"serve", "--certificate", bench, "--key", bench}, exitFailed, "", "reading the certificate"},
		{"sheet of an unknown material", "", []string{"sheet", bench, "--throw", "26 ft", "--put", "moss=80 lb/ac"}, exitFailed, "", "moss"},
		{"sheet with two spreaders", "", []string{"sheet", bench, "--throw", "26 ft", "--spreader", "s.json", "--put", "oats=80 lb/ac"}, exitUsage, "", "can't be used together"},
		{"sheet", "", []string{"sheet", bench, "--throw", "26 ft", "--put", "oats=80 lb/ac", "--guess", "1/2 ac"}, exitDone, "The guess was 0.5 ac", ""},
		{"sheet with sources", "", []string{"sheet", bench, "--throw", "26 ft", "--put", "oats=80 lb/ac", "--sources"}, exitDone, "Univ. of Missouri G4020", ""},
		{"sheet to a strange ending", "", []string{"sheet", bench, "-o", "sheet.docx", "--throw", "26 ft", "--put", "oats=80 lb/ac"}, exitUsage, "", "--format"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := evenfall(t, tt.input, tt.words...)
			if got.code != tt.code {
				t.Errorf("exit code %d, want %d\n%s%s", got.code, tt.code, got.out, got.err)
			}
			if !strings.Contains(got.out, tt.out) {
				t.Errorf("the output lacks %q:\n%s", tt.out, got.out)
			}
			if !strings.Contains(got.err, tt.err) {
				t.Errorf("the error output lacks %q:\n%s", tt.err, got.err)
			}
			if tt.code == exitDone && got.err != "" {
				t.Errorf("a success complains: %s", got.err)
			}
		})
	}
}

func TestAreaJSONCarriesItsFields(t *testing.T) {
	got := evenfall(t, "", "area", "--json", "../fixtures/outlines/three-stumps.geojson")
	var read struct {
		Plots []map[string]any `json:"plots"`
	}
	if err := json.Unmarshal([]byte(got.out), &read); err != nil {
		t.Fatalf("%v: %s", err, got.out)
	}
	if len(read.Plots) != 1 {
		t.Fatalf("%d plots", len(read.Plots))
	}
	for _, field := range []string{"name", "area_m2", "perimeter_m", "uncertainty_m2"} {
		if _, ok := read.Plots[0][field]; !ok {
			t.Errorf("no %s in %v", field, read.Plots[0])
		}
	}
}

// Every form of the sheet is written whole, and tells by its first bytes that
// it is what it says.
func TestSheetInEveryForm(t *testing.T) {
	folder := t.TempDir()
	starts := map[string]string{"pdf": "%PDF-", "gpx": "<?xml", "geojson": "{", "kml": "<?xml", "json": "{", "ics": "BEGIN:VCALENDAR\r\n", "txt": "Owl Bench, 29 August 2026"}
	for ending, start := range starts {
		path := filepath.Join(folder, "sheet."+ending)
		got := evenfall(t, "", "sheet", bench, "--throw", "26 ft", "--put", "oats=80 lb/ac", "--put", "46-0-0=90 lb/ac", "-o", path)
		if got.code != exitDone {
			t.Errorf("%s: exit code %d: %s", ending, got.code, got.err)
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
			continue
		}
		if !strings.HasPrefix(string(data), start) {
			t.Errorf("%s begins with %.20q", ending, data)
		}
	}
}

func TestAFailedSheetLeavesNoFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	got := evenfall(t, "{", "sheet", "-", "--throw", "26 ft", "--put", "oats=80 lb/ac", "-o", path)
	if got.code != exitFailed {
		t.Errorf("exit code %d", got.code)
	}
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Errorf("a file was left: %v", err)
	}
}

func TestSeveralPlotsAskForOne(t *testing.T) {
	two := `{"type":"FeatureCollection","features":[
	{"type":"Feature","properties":{"name":"North"},"geometry":{"type":"Polygon","coordinates":[[[-90,44],[-89.9995,44],[-89.9995,44.0005],[-90,44.0005],[-90,44]]]}},
	{"type":"Feature","properties":{"name":"South"},"geometry":{"type":"Polygon","coordinates":[[[-90,43],[-89.9995,43],[-89.9995,43.0005],[-90,43.0005],[-90,43]]]}}]}`
	words := []string{"sheet", "-", "--throw", "26 ft", "--put", "oats=80 lb/ac"}
	if got := evenfall(t, two, words...); got.code != exitUsage || !strings.Contains(got.err, "North, South") {
		t.Errorf("%+v", got)
	}
	if got := evenfall(t, two, append(words, "--plot", "South")...); got.code != exitDone || !strings.HasPrefix(got.out, "South") {
		t.Errorf("%+v", got)
	}
	if got := evenfall(t, two, append(words, "--plot", "East")...); got.code != exitUsage {
		t.Errorf("%+v", got)
	}
}
