// Package main_test runs the core as the browser does and holds it to what the
// server works out.
package main_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	_ "evenfall/frontend/core/door" // the core is built of it: go test must not take an older result for this one
	"evenfall/geo"
	"evenfall/geo/passes"
)

// core is a running core under node.
type core struct {
	send    *json.Encoder
	receive *bufio.Reader
}

// said is one answer with its rows of numbers.
type said struct {
	JSON   string    `json:"json"`
	Floats []float64 `json:"f64"`
}

// startCore builds the core and runs it. Node is needed; where it is missing
// the test is skipped unless EVENFALL_REQUIRE_TOOLS says that it must be there.
func startCore(t *testing.T) *core {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("EVENFALL_REQUIRE_TOOLS") != "" {
			t.Fatal("node is not installed")
		}
		t.Skip("node is not installed")
	}
	wasm := filepath.Join(t.TempDir(), "core.wasm")
	build := exec.Command("go", "build", "-o", wasm, ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("building the core: %v\n%s", err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	glue := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")
	run := exec.Command(node, filepath.Join("testdata", "answer.cjs"), glue, wasm)
	in, err := run.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := run.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	run.Stderr = os.Stderr
	if err := run.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := in.Close(); err != nil {
			t.Error(err)
		}
		if err := run.Wait(); err != nil {
			t.Errorf("the core ended badly: %v", err)
		}
	})
	return &core{json.NewEncoder(in), bufio.NewReader(out)}
}

// call asks the core. The request is sent as the bytes it is.
func (c *core) call(t *testing.T, name string, request, data []byte) said {
	t.Helper()
	err := c.send.Encode(struct {
		Name    string `json:"name"`
		Request []byte `json:"request"`
		Data    []byte `json:"data"`
	}{name, request, data})
	if err != nil {
		t.Fatal(err)
	}
	line, err := c.receive.ReadBytes('\n')
	if err != nil {
		t.Fatalf("no answer to %s: %v", name, err)
	}
	var a said
	if err := json.Unmarshal(line, &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// job is one random sheet to be worked out.
type job struct {
	plot    agronomy.Plot
	machine spreader.Spreader
	goods   mix.Mix
	options agronomy.Options
}

// request is the job as the page sends it.
func (j job) request(t *testing.T) []byte {
	t.Helper()
	body, err := json.Marshal(map[string]any{
		"plot": map[string]any{
			"name": j.plot.Name, "outline": map[string]any{"type": "Polygon", "coordinates": j.plot.Polygon},
			"survey": j.plot.Survey, "surveys": j.plot.Surveys[:len(j.plot.Surveys)-1], "keep_off": j.plot.KeepOff,
		},
		"spreader": j.machine, "mix": j.goods, "options": j.options,
	})
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func TestTheCoresSheetIsTheServers(t *testing.T) {
	c := startCore(t)
	random := rand.New(rand.NewPCG(5, 20))
	const plots = 200
	worked := 0
	for i := range plots {
		j := randomJob(t, random, i)
		want, wantErr := agronomy.Prepare(j.plot, j.machine, j.goods, j.options)
		answer := c.call(t, "prepare", j.request(t), nil)
		var got struct {
			OK *struct {
				Sheet  any `json:"sheet"`
				Passes []struct {
					LineM struct {
						At [2]int `json:"f64"`
					} `json:"lineM"`
				} `json:"passes"`
			} `json:"ok"`
			Fault *struct{ Code, What string } `json:"fault"`
		}
		if err := json.Unmarshal([]byte(answer.JSON), &got); err != nil {
			t.Fatal(err)
		}
		if (wantErr != nil) != (got.Fault != nil) {
			t.Fatalf("job %d: the server says %v, the core %+v", i, wantErr, got.Fault)
		}
		if wantErr != nil {
			continue
		}
		worked++
		if len(got.OK.Passes) != len(want.Drive.Passes) {
			t.Fatalf("job %d: %d passes from the server, %d from the core", i, len(want.Drive.Passes), len(got.OK.Passes))
		}
		for k, pass := range want.Drive.Passes {
			at := got.OK.Passes[k].LineM.At
			if gap := farthest(pass.Line, answer.Floats[at[0]:at[0]+at[1]]); gap > tolerance*reach(pass.Line) {
				t.Fatalf("job %d: pass %d lies %g m off", i, k+1, gap)
			}
		}
		if where := difference("sheet", asJSON(t, withoutLines(want)), got.OK.Sheet); where != "" {
			t.Fatalf("job %d: %s", i, where)
		}
	}
	if worked < plots*9/10 {
		t.Errorf("only %d of %d sheets could be worked out", worked, plots)
	}
}

// farthest is the greatest distance between the points of two lines, infinite
// when they differ in number.
func farthest(line orb.LineString, flat []float64) float64 {
	if len(flat) != 2*len(line) {
		return math.Inf(1)
	}
	most := 0.0
	for i, p := range line {
		most = math.Max(most, math.Hypot(p[0]-flat[2*i], p[1]-flat[2*i+1]))
	}
	return most
}

// reach is how far in metres a line goes from the middle of its plot.
func reach(line orb.LineString) float64 {
	most := 0.0
	for _, p := range line {
		most = math.Max(most, math.Hypot(p[0], p[1]))
	}
	return most
}

// withoutLines leaves out what the core sends beside the sheet.
func withoutLines(s agronomy.Sheet) agronomy.Sheet {
	for i := range s.Drive.Passes {
		s.Drive.Passes[i].Line = nil
	}
	for i := range s.Plans {
		s.Plans[i].Lines = nil
	}
	s.Drive.Travel = nil
	if s.Evenness.Picture != nil {
		s.Evenness.Picture.Density = nil
	}
	return s
}

func asJSON(t *testing.T, v any) any {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out any
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// How far two figures of one name may lie apart: a share of the figure. Where
// both are what rounding leaves of zero no share is small enough: below noise
// they count as zero.
const (
	tolerance = 1e-9
	noise     = 1e-12
)

func alike(a, b float64) bool {
	most := math.Max(math.Abs(a), math.Abs(b))
	return math.Abs(a-b) <= tolerance*most || most <= noise
}

// difference names the first place where two JSON values differ: figures by
// more than the tolerance, names and words at all. A list that is missing
// equals an empty one.
func difference(where string, want, got any) string {
	if isNothing(want) && isNothing(got) {
		return ""
	}
	switch w := want.(type) {
	case float64:
		if g, ok := got.(float64); ok && alike(w, g) {
			return ""
		}
	case map[string]any:
		if g, ok := got.(map[string]any); ok {
			return differenceOfNamed(where, w, g)
		}
	case []any:
		if g, ok := got.([]any); ok {
			return differenceOfListed(where, w, g)
		}
	default:
		if want == got {
			return ""
		}
	}
	return fmt.Sprintf("%s: the server says %v, the core %v", where, want, got)
}

// isNothing tells null and the empty list.
func isNothing(v any) bool {
	list, ok := v.([]any)
	return v == nil || ok && len(list) == 0
}

func differenceOfNamed(where string, want, got map[string]any) string {
	for _, name := range slices.Sorted(maps.Keys(got)) {
		if _, both := want[name]; !both {
			return fmt.Sprintf("%s.%s: only the core has it", where, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		v, both := got[name]
		if !both {
			return fmt.Sprintf("%s.%s: only the server has it", where, name)
		}
		if found := difference(where+"."+name, want[name], v); found != "" {
			return found
		}
	}
	return ""
}

func differenceOfListed(where string, want, got []any) string {
	if len(got) != len(want) {
		return fmt.Sprintf("%s: %d entries from the server, %d from the core", where, len(want), len(got))
	}
	for i, v := range want {
		if found := difference(fmt.Sprintf("%s[%d]", where, i), v, got[i]); found != "" {
			return found
		}
	}
	return ""
}

func TestWhatCountsAsADifference(t *testing.T) {
	named := func(name string, v any) any { return map[string]any{name: v} }
	for _, c := range []struct {
		what      string
		want, got any
		differs   bool
	}{
		{"the last digits", 1234.5, 1234.5 * (1 + 5e-10), false},
		{"the ninth digit", 1234.5, 1234.5 * (1 + 2e-9), true},
		{"the ninth digit of a small figure", 3e-5, 3e-5 * (1 + 2e-9), true},
		{"a small figure that the core lost", 3e-5, 0.0, true},
		{"a sign", 3e-5, -3e-5, true},
		{"what rounding leaves of zero", 4e-13, -2e-13, false},
		{"a number that became words", 1.0, "1", true},
		{"words", "oats", "rye", true},
		{"null and an empty list", nil, []any{}, false},
		{"null and nought", nil, 0.0, true},
		{"a shorter list", []any{1.0, 2.0}, []any{1.0}, true},
		{"a name that only the server has", named("a", nil), map[string]any{}, true},
		{"a name that only the core has", map[string]any{}, named("a", nil), true},
		{"deep within", named("a", []any{named("b", 1.0)}), named("a", []any{named("b", 1.1)}), true},
		{"the same", named("a", []any{named("b", true)}), named("a", []any{named("b", true)}), false},
	} {
		if found := difference("x", c.want, c.got); (found != "") != c.differs {
			t.Errorf("%s: %q", c.what, found)
		}
	}
}

// randomJob is a plot of 0.1 to 1 acre with everything that a sheet may have,
// each in some of the jobs: one plot in five has a hole.
func randomJob(t *testing.T, random *rand.Rand, i int) job {
	t.Helper()
	at := orb.Point{random.Float64()*340 - 170, random.Float64()*120 - 60}
	plot := randomPlot(t, random, at, i%5 == 0)
	survey := plot.Survey(geo.Drawn, "2026-03-01", 1)
	j := job{
		plot:    agronomy.Plot{Plot: plot, Survey: survey, Surveys: []geo.Survey{survey}},
		machine: randomMachine(random),
		goods:   randomMix(random),
		options: agronomy.Options{Date: "2026-04-30", System: units.US, Budget: 40},
	}
	switch i % 3 {
	case 0:
		guess := geo.Survey{Method: geo.Guessed, Date: "2026-02-01", AreaM2: survey.AreaM2 * (0.5 + random.Float64())}
		j.plot.Surveys = []geo.Survey{guess, survey}
	case 1:
		j.options.System, j.options.Room = units.Metric, passes.RoomAllRound
	case 2:
		line := plot.Frame().LonLatLine(orb.LineString{{-80, -30}, {0, -35}, {80, -28}})
		j.plot.KeepOff = []agronomy.KeepOff{{Name: "creek", Distance: units.Length(2 + 4*random.Float64()), For: agronomy.Everything, Line: line}}
	}
	// A full search takes a hundred times as long as a quick one: one in eight.
	j.options.Habit, j.options.Quick = i%8 == 0, i%8 > 1
	return j
}

func randomPlot(t *testing.T, random *rand.Rand, at orb.Point, withHole bool) geo.Plot {
	t.Helper()
	frame, ring := geo.NewFrame(at), orb.Ring{}
	corners, size := 5+random.IntN(30), 14+random.Float64()*22
	for k := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(corners))
		r := size * (0.75 + 0.5*random.Float64())
		ring = append(ring, frame.ToLonLat(orb.Point{r * cos, r * sin}))
	}
	polygon := orb.Polygon{ring}
	if withHole {
		polygon = append(polygon, randomHole(random, frame, size/2))
	}
	plot, err := geo.NewPlot("made up", polygon)
	if err != nil {
		t.Fatal(err)
	}
	return plot
}

// randomHole is something left standing, a triangle to a pentagon of a few
// metres, no farther than some metres from the middle.
func randomHole(random *rand.Rand, frame geo.Frame, within float64) orb.Ring {
	sin, cos := math.Sincos(2 * math.Pi * random.Float64())
	middle, ring := orb.Point{0.5 * within * cos, 0.5 * within * sin}, orb.Ring{}
	corners, size := 3+random.IntN(3), 1+random.Float64()*within/4
	for k := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(corners))
		ring = append(ring, frame.ToLonLat(orb.Point{middle[0] + size*cos, middle[1] + size*sin}))
	}
	return ring
}

func randomMachine(random *rand.Rand) spreader.Spreader {
	shape := []spreader.Shape{spreader.Triangle, spreader.Trapezoid, spreader.Bell, spreader.Oval}[random.IntN(4)]
	pattern := spreader.Pattern{Shape: shape, Throw: units.Length(6 + 4*random.Float64())}
	if shape == spreader.Trapezoid {
		pattern.FlatShare = 0.4
	}
	return spreader.Spreader{Name: "made up", Patterns: spreader.Patterns{Usual: pattern},
		HopperMass: units.Mass(20 + 40*random.Float64()), TurnRadius: units.Length(2 + random.Float64())}
}

func randomMix(random *rand.Rand) mix.Mix {
	rate := func(poundsPerAcre float64) mix.Rate {
		return mix.Rate{Mass: units.MassPerArea(poundsPerAcre*(0.5+random.Float64())) * units.PoundPerAcre}
	}
	items := []mix.Item{{Material: "oats", Rate: rate(80)}}
	if random.IntN(2) == 0 {
		items = append(items, mix.Item{Material: "19-19-19", Rate: rate(150)})
	}
	return mix.Mix{Name: "made up", Items: items}
}

// The formats of files weigh as much as the rest of the core.
func TestTheCoreDoesNotReadFiles(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "evenfall/frontend/core")
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := list.Output()
	if err != nil || len(out) == 0 {
		t.Fatalf("go list: %v", err)
	}
	for _, heavy := range []string{"evenfall/geo/exchange", "golang.org/x/net/html/charset"} {
		if strings.Contains(string(out), heavy+"\n") {
			t.Errorf("the core imports %s", heavy)
		}
	}
}
