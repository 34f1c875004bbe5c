package intake_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/intake"
)

func readFile(t *testing.T, path string) []intake.Measured {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	plots, err := intake.Read(f, intake.Options{Date: "2026-08-29"})
	if err != nil {
		t.Fatal(err)
	}
	return plots
}

func TestOutlinesAndWalksAreMeasuredApart(t *testing.T) {
	tests := []struct {
		file   string
		method geo.Method
		date   string
	}{
		{"../../fixtures/outlines/three-stumps.geojson", geo.Uploaded, "2026-08-29"},
		{"../../fixtures/outlines/kettle-edge.gpx", geo.Walked, "2026-10-18"},
	}
	for _, tt := range tests {
		t.Run(string(tt.method), func(t *testing.T) {
			p := readFile(t, tt.file)[0]
			if p.Survey.Method != tt.method || p.Survey.Date != tt.date {
				t.Errorf("survey %+v", p.Survey)
			}
			if (p.Walk != nil) != (tt.method == geo.Walked) {
				t.Errorf("walk %+v", p.Walk)
			}
			if math.Abs(p.Survey.AreaM2-p.AreaM2()) > 1e-6*p.AreaM2() {
				t.Errorf("the survey says %v m2, the outline %v", p.Survey.AreaM2, p.AreaM2())
			}
			if p.Survey.UncertaintyM2 <= 0 {
				t.Error("no uncertainty")
			}
		})
	}
}

// A square of timed points, but with times that nobody could have walked in,
// is still an outline.
func TestATimedOutlineThatIsNoWalkIsTakenAsDrawn(t *testing.T) {
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>planned</name><trkseg>`)
	for i, p := range [][2]float64{{-90, 44}, {-89.999, 44}, {-89.999, 44.001}, {-90, 44.001}, {-90, 44}} {
		fmt.Fprintf(&b, `<trkpt lat="%f" lon="%f"><time>2026-08-29T10:00:0%dZ</time></trkpt>`, p[1], p[0], i)
	}
	b.WriteString(`</trkseg></trk></gpx>`)
	plots, err := intake.Read(strings.NewReader(b.String()), intake.Options{Date: "2026-08-30"})
	if err != nil {
		t.Fatal(err)
	}
	if plots[0].Survey.Method != geo.Uploaded || len(plots[0].Notes) == 0 || !strings.Contains(plots[0].Notes[0], "drawn outline") {
		t.Errorf("%+v", plots[0])
	}
}

// A recording that crosses itself makes no outline either; the fault names the
// track.
func TestAWalkThatFailsNamesItsTrack(t *testing.T) {
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>`)
	for i := range 60 {
		angle := 2 * math.Pi * float64(i) / 60
		fmt.Fprintf(&b, `<trkpt lat="%.7f" lon="%.7f"><time>2026-08-29T10:%02d:%02dZ</time></trkpt>`,
			44+0.0005*math.Sin(2*angle), -90+0.0008*math.Sin(angle), i/12, i%12*5)
	}
	b.WriteString(`</trkseg></trk></gpx>`)
	_, err := intake.Read(strings.NewReader(b.String()), intake.Options{})
	f, ok := fault.From(err)
	if !ok || f.Where.Feature != 1 {
		t.Fatalf("got %v", err)
	}
}
