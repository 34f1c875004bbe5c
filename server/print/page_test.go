package print

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/internal/installed"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sheetNames are the worked sheets in testdata, made by the command line from
// the demo's outlines (see testdata/README.md).
var sheetNames = []string{"owl-bench", "three-stumps", "long-ride", "kettle-edge"}

func readSheet(t testing.TB, name string) agronomy.Sheet {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var s agronomy.Sheet
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// record draws every page of a sheet on the recorder.
func record(sheet agronomy.Sheet, size Paper) string {
	r := &recorder{measure: newPaper(size)}
	w, h := size.size()
	for i, draw := range compose(r.measure, sheet, w, h) {
		r.note("page %d", i+1)
		draw(r)
	}
	return r.b.String()
}

func TestDrawingMatchesTheGoldenFile(t *testing.T) {
	for _, name := range sheetNames {
		for _, size := range []Paper{Letter, A4} {
			t.Run(fmt.Sprintf("%s on %s", name, size), func(t *testing.T) {
				got := record(readSheet(t, name), size)
				golden := filepath.Join("testdata", fmt.Sprintf("%s-%s.golden", name, size))
				if *update {
					if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				want, err := os.ReadFile(golden)
				if err != nil {
					t.Fatal(err)
				}
				if got != string(want) {
					t.Errorf("the drawing changed: %s\n(look at it, then go test ./server/print -update)", firstDifference(got, string(want)))
				}
			})
		}
	}
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d\n got  %s\n want %s", i+1, g[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(g), len(w))
}

// Nothing may run off what common printers reach, and no words may be smaller
// than can be read.
func TestEverythingStaysOnThePage(t *testing.T) {
	for _, name := range sheetNames {
		for _, size := range []Paper{Letter, A4} {
			w, h := size.size()
			edge := &edges{recorder: recorder{measure: newPaper(size)}, w: w, h: h}
			for _, draw := range compose(edge.measure, readSheet(t, name), w, h) {
				draw(edge)
			}
			if edge.checked == 0 {
				t.Fatalf("%s: nothing was drawn", name)
			}
			for _, problem := range edge.problems {
				t.Errorf("%s on %s: %s", name, size, problem)
			}
		}
	}
}

// Every pass can be told by its number: neither the start, nor its word, nor a
// place to refill lies over one.
func TestNoStopHidesANumber(t *testing.T) {
	for _, name := range sheetNames {
		for _, size := range []Paper{Letter, A4} {
			sheet := readSheet(t, name)
			last := sheet.Drive.Passes[len(sheet.Drive.Passes)-1].Line
			sheet.Drive.Start = orb.Point{last[0][0] + 0.08*(last[1][0]-last[0][0]), last[0][1] + 0.08*(last[1][1]-last[0][1])} // where its number would stand
			w, h := size.size()
			m := &marks{recorder: recorder{measure: newPaper(size)}}
			for _, draw := range compose(m.measure, sheet, w, h) {
				draw(m)
			}
			if len(m.numbers) != len(sheet.Drive.Passes) || len(m.stops) != len(sheet.Drive.Refills)+1 || m.start == (rect{}) {
				t.Fatalf("%s: %d numbers, %d stops, start at %v", name, len(m.numbers), len(m.stops), m.start)
			}
			for i, at := range m.numbers {
				if nearest(at, m.stops) < 1.5*numberRadius {
					t.Errorf("%s on %s: a stop lies over number %d", name, size, i+1)
				}
				inWord := point{min(max(at.x, m.start.x), m.start.x+m.start.w), min(max(at.y, m.start.y), m.start.y+m.start.h)}
				if math.Hypot(at.x-inWord.x, at.y-inWord.y) < 0.5*numberRadius {
					t.Errorf("%s on %s: %s lies over number %d", name, size, startWord, i+1)
				}
			}
		}
	}
}

// marks is a surface that notes where numbers and stops stand.
type marks struct {
	recorder
	numbers, stops []point
	start          rect // of the word
}

func (m *marks) disc(at point, radius float64, f fill, _ stroke) {
	switch {
	case radius == numberRadius && f.grey == 1:
		m.numbers = append(m.numbers, at)
	case radius == numberRadius:
		m.stops = append(m.stops, at)
	}
}

// The start is a lozenge, right before its word.
func (m *marks) area(rings [][]point, f fill, _ stroke) {
	if ring := rings[0]; len(rings) == 1 && len(ring) == 4 && f.grey == 0 && ring[0].x == ring[2].x && ring[1].y == ring[3].y {
		m.stops = append(m.stops, point{ring[0].x, ring[1].y})
	}
}

func (m *marks) text(at point, words string, l lettering) {
	if words == startWord {
		h := l.size * mmPerPoint
		m.start = rect{at.x, at.y - h, m.width(words, l), h}
	}
}

// edges is a surface that notes what leaves the page or is set too small.
type edges struct {
	recorder
	w, h     float64
	checked  int
	problems []string
}

const reach = margin - 1 // mm

func (e *edges) line(points []point, _ stroke)              { e.see(points...) }
func (e *edges) disc(at point, _ float64, _ fill, _ stroke) { e.see(at) }
func (e *edges) area(rings [][]point, _ fill, _ stroke) {
	for _, ring := range rings {
		e.see(ring...)
	}
}

func (e *edges) text(at point, words string, l lettering) {
	width := e.width(words, l)
	start := at.x - shift(l.align)*width
	e.see(point{start, at.y}, point{start + width, at.y})
	if l.size < 6.5 {
		e.problems = append(e.problems, fmt.Sprintf("%q is set at %.1f points", words, l.size))
	}
}

func (e *edges) see(points ...point) {
	for _, p := range points {
		e.checked++
		if p.x < reach || p.y < reach || p.x > e.w-reach || p.y > e.h-reach {
			e.problems = append(e.problems, fmt.Sprintf("%.1f,%.1f is off the page", p.x, p.y))
		}
	}
}

func TestALesserGateIsPrinted(t *testing.T) {
	sheet := readSheet(t, "owl-bench")
	sheet.Spreader.Groups[0].Lesser = &agronomy.LesserGate{Share: 0.75, Opened: "three quarters open", On: "passes 3 to 14", Gate: "3 1/4", Flow: 20 * units.PoundPerMinute}
	drawn := record(sheet, Letter)
	for _, words := range []string{`"3/4 open on`, `"3 1/4 (20 lb/min)"`} {
		if !strings.Contains(drawn, words) {
			t.Errorf("the page does not say %s", words)
		}
	}
}

func TestPDFRepeatsItsBytes(t *testing.T) {
	var first, second bytes.Buffer
	sheet := readSheet(t, "owl-bench")
	for _, b := range []*bytes.Buffer{&first, &second} {
		if err := PDF(b, sheet, Letter); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same sheet gave different bytes")
	}
}

// Many different loads do not fit beside the drawing and move to a page of
// their own.
func TestLoadsMoveToASecondPage(t *testing.T) {
	sheet := readSheet(t, "owl-bench")
	w, h := Letter.size()
	if n := len(compose(newPaper(Letter), sheet, w, h)); n != 1 {
		t.Fatalf("%d pages for an ordinary sheet, want 1", n)
	}
	sheet.Loads = nil
	for i := range 30 {
		sheet.Loads = append(sheet.Loads, mix.Load{Number: i + 1, Layers: 1, Mass: units.Mass(10 + i),
			Layer: []mix.Layer{{Material: "oats", Mass: units.Mass(10 + i)}}})
	}
	if n := len(compose(newPaper(Letter), sheet, w, h)); n != 2 {
		t.Errorf("%d pages for thirty different loads, want 2", n)
	}
}

// An outside reader finds the words that matter on one page.
func TestPDFReadsInAnotherProgram(t *testing.T) {
	pdftotext := installed.Program(t, "pdftotext")
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	sheet := readSheet(t, "owl-bench")
	if err := PDF(f, sheet, A4); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(pdftotext, "-layout", path, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, words := range []string{"Owl Bench", units.Date(sheet.Date), "between tracks", "88 ft", "START", "Before you start", "Gloves"} {
		if !strings.Contains(string(out), words) {
			t.Errorf("the page does not say %q", words)
		}
	}
	if strings.Contains(string(out), "Error") {
		t.Errorf("the reader complained: %s", out)
	}
}

func TestSVGIsWellFormedAndEscaped(t *testing.T) {
	sheet := readSheet(t, "three-stumps")
	sheet.Plot = `<script>"Stumps" & more`
	var b bytes.Buffer
	if err := SVG(&b, sheet); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "<script>") {
		t.Error("the name of the plot is not escaped")
	}
	if !strings.Contains(b.String(), "</svg>") || strings.Count(b.String(), "<path") < len(sheet.Drive.Passes) {
		t.Error("the drawing lacks passes")
	}
}

func BenchmarkPDF(b *testing.B) {
	sheet := readSheet(b, "owl-bench")
	for b.Loop() {
		var out bytes.Buffer
		if err := PDF(&out, sheet, Letter); err != nil {
			b.Fatal(err)
		}
	}
}
