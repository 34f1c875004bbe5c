package files_test

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/frontend/core/files"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
)

const outline = `{"type":"Polygon","coordinates":[[[-95,44],[-95,44.001],[-95.001,44.001],[-95,44]]]}`

type answered struct {
	OK    []wire.ReadPlot `json:"ok"`
	Fault *struct{ Code, Remedy string }
}

func read(t *testing.T, request string, file []byte) answered {
	t.Helper()
	var a answered
	if err := json.Unmarshal(files.Call("readFile", []byte(request), file).JSON, &a); err != nil {
		t.Fatal(err)
	}
	if (a.OK == nil) == (a.Fault == nil) {
		t.Fatal("neither plots nor a fault")
	}
	return a
}

func TestReadFile(t *testing.T) {
	a := read(t, `{"date":"2026-04-30","units":"us"}`, []byte(outline))
	if a.Fault != nil {
		t.Fatalf("%+v", *a.Fault)
	}
	if len(a.OK) != 1 || a.OK[0].Survey.Method != geo.Uploaded || a.OK[0].Notes == nil || a.OK[0].AreaText == "" {
		t.Errorf("got %+v", a.OK)
	}
}

func TestWrongFilesAreFaults(t *testing.T) {
	for name, file := range map[string]string{"nothing": "", "words": "a field", "cut short": outline[:40]} {
		if a := read(t, `{"units":"us"}`, []byte(file)); a.Fault == nil || a.Fault.Remedy == "" || a.Fault.Code == "internal" {
			t.Errorf("%s: %+v", name, a)
		}
	}
	if a := read(t, `{"date":7}`, []byte(outline)); a.Fault == nil || a.Fault.Code != "json" {
		t.Errorf("a spoilt request: %+v", a)
	}
}

// fixesOf are positions a second and a step of stepM apart, once round a square
// of sideM metres and five steps on, as a phone that knows itself to 4 m gives
// them.
func fixesOf(sideM, stepM float64) []byte {
	frame := geo.NewFrame(orb.Point{-95, 44})
	corners := []orb.Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}, {0, 0}, {1, 0}}
	var data []byte
	steps := int(4*sideM/stepM) + 5
	for i := range steps {
		side := float64(i) * stepM / sideM
		a, b, share := corners[int(side)], corners[int(side)+1], side-math.Floor(side)
		at := frame.ToLonLat(orb.Point{(a[0] + share*(b[0]-a[0])) * sideM, (a[1] + share*(b[1]-a[1])) * sideM})
		for _, n := range []float64{at[0], at[1], 1.79e9 + float64(i), 4} {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(n))
		}
	}
	return data
}

func walked(t testing.TB, request string, data []byte) (plot wire.ReadPlot, code string) {
	t.Helper()
	var a struct {
		OK    *wire.ReadPlot `json:"ok"`
		Fault *struct{ Code string }
	}
	if err := json.Unmarshal(files.Call("walked", []byte(request), data).JSON, &a); err != nil {
		t.Fatal(err)
	}
	switch {
	case (a.OK == nil) == (a.Fault == nil):
		t.Fatal("neither a plot nor a fault")
	case a.Fault != nil:
		return plot, a.Fault.Code
	}
	return *a.OK, ""
}

func TestWalked(t *testing.T) {
	plot, code := walked(t, `{"name":"Round","date":"2026-05-02","units":"us"}`, fixesOf(50, 1.25))
	if code != "" || plot.Survey.Method != geo.Walked || plot.Survey.Date != "2026-05-02" || plot.Name != "Round" {
		t.Fatalf("%s %+v", code, plot)
	}
	if off := math.Abs(plot.Survey.AreaM2 - 2500); off > 25 {
		t.Errorf("%.0f m2 of 2500", plot.Survey.AreaM2)
	}
	if plot.Survey.UncertaintyM2 <= 0 || plot.AreaText == "" {
		t.Errorf("%+v", plot)
	}
	wider, _ := walked(t, `{"date":"2026-05-02","units":"us","offsetM":2}`, fixesOf(50, 1.25))
	if off := math.Abs(wider.Survey.AreaM2 - 54*54); off > 30 { // walked 2 m inside the edge
		t.Errorf("%.0f m2 of %d", wider.Survey.AreaM2, 54*54)
	}
}

func TestWalksThatAreNoneAreFaults(t *testing.T) {
	whole := fixesOf(50, 1.25)
	for name, data := range map[string][]byte{"nothing": nil, "a part of a number": whole[:5], "two steps": whole[:64], "half way round": whole[:len(whole)/2]} {
		if _, code := walked(t, `{"units":"us"}`, data); code == "" || code == "internal" {
			t.Errorf("%s: %q", name, code)
		}
	}
	if _, code := walked(t, `{"offsetM":"wide"}`, whole); code != "json" {
		t.Errorf("a spoilt request: %q", code)
	}
}

func FuzzWalked(f *testing.F) {
	whole := fixesOf(30, 2)
	f.Add(whole, 0.0)
	f.Add(whole[:200], 3.0)
	f.Fuzz(func(t *testing.T, data []byte, offsetM float64) {
		request, err := json.Marshal(map[string]any{"units": "us", "offsetM": offsetM})
		if err != nil {
			t.Skip("no number that JSON carries")
		}
		plot, code := walked(t, string(request), data)
		if code == "internal" {
			t.Fatal("the core stopped")
		}
		if code == "" && !(plot.Survey.AreaM2 > 0 && strings.TrimSpace(plot.AreaText) != "") {
			t.Fatalf("%+v", plot)
		}
	})
}
