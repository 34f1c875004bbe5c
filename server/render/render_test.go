package render_test

import (
	"bytes"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/geo/intake"
	"evenfall/server/render"
)

// worked is a sheet of one of the demo's outlines.
func worked(t *testing.T) agronomy.Sheet {
	t.Helper()
	f, err := os.Open("../../fixtures/outlines/three-stumps.geojson")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	plots, err := intake.Read(f, intake.Options{Date: "2026-08-01"})
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := agronomy.Prepare(
		agronomy.Plot{Plot: plots[0].Plot, Survey: plots[0].Survey},
		spreader.Spreader{Name: "spreader", HopperMass: 45, Patterns: spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 8}}},
		mix.Mix{Name: "m", Items: []mix.Item{{Material: "46-0-0", Rate: mix.Rate{Mass: 100 * units.PoundPerAcre}}}},
		agronomy.Options{Date: "2026-08-29", Habit: true})
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

// What is written for other programs comes back with the same plot.
func TestFormatsComeBack(t *testing.T) {
	sheet := worked(t)
	for name, write := range map[string]func(io.Writer, agronomy.Sheet) error{"geojson": render.GeoJSON, "kml": render.KML, "gpx": render.GPX} {
		t.Run(name, func(t *testing.T) {
			var first, again bytes.Buffer
			for _, b := range []*bytes.Buffer{&first, &again} {
				if err := write(b, sheet); err != nil {
					t.Fatal(err)
				}
			}
			if first.String() != again.String() {
				t.Error("the same sheet gave other bytes")
			}
			doc, err := exchange.Read(bytes.NewReader(first.Bytes()), exchange.ReadOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if len(doc.Plots) != 1 || math.Abs(doc.Plots[0].AreaM2()-sheet.Ground.AreaM2) > holesOf(name, sheet) {
				t.Errorf("%d plots, %v m2, want %v", len(doc.Plots), doc.Plots[0].AreaM2(), sheet.Ground.AreaM2)
			}
			if got := strings.Count(first.String(), "Pass "); got < len(sheet.Drive.Passes) {
				t.Errorf("%d passes are named, want %d", got, len(sheet.Drive.Passes))
			}
		})
	}
}

// holesOf is what may be missing of the area: a GPX route has no holes.
func holesOf(format string, s agronomy.Sheet) float64 {
	if format != "gpx" {
		return 0.05
	}
	sum := 0.05
	for _, hole := range s.Ground.Outline[1:] {
		// A clockwise ring taken alone is as large as the hole that it cuts.
		p, err := geo.NewPlot("", orb.Polygon{hole})
		if err == nil {
			sum += p.AreaM2()
		}
	}
	return sum
}

// The rate bands make up the plot and name their rates.
func TestGeoJSONCarriesRateBands(t *testing.T) {
	sheet := worked(t)
	var b bytes.Buffer
	if err := render.GeoJSON(&b, sheet); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), `"rate_band"`); n < 3 {
		t.Errorf("%d rate bands", n)
	}
	if !strings.Contains(b.String(), "lb/ac") {
		t.Error("the bands do not name a rate")
	}
}

func TestCalendarHoldsWhatFallsDue(t *testing.T) {
	var b bytes.Buffer
	if err := render.Calendar(&b, worked(t)); err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{"BEGIN:VCALENDAR\r\n", "Second nitrogen", "DTSTART;VALUE=DATE:20260926", "Stand count", "Soil test", "END:VCALENDAR\r\n"} {
		if !strings.Contains(b.String(), words) {
			t.Errorf("the calendar lacks %q:\n%s", words, b.String())
		}
	}
}
