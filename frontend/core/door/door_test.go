package door_test

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/frontend/core/door"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
)

// answered is what the page reads.
type answered struct {
	OK    json.RawMessage `json:"ok"`
	Fault *struct {
		Kind, Code, What, Remedy string
		Where                    struct {
			Ring, Vertex, Line int
			Field              string
		}
	} `json:"fault"`
}

func ask(t testing.TB, name, request string, data []byte) (answered, wire.Answer) {
	t.Helper()
	raw := door.Call(name, []byte(request), data)
	var a answered
	if err := json.Unmarshal(raw.JSON, &a); err != nil {
		t.Fatalf("%s: the answer is not JSON: %v\n%s", name, err, raw.JSON)
	}
	if (a.OK == nil) == (a.Fault == nil) {
		t.Fatalf("%s: neither an answer nor a fault, or both: %s", name, raw.JSON)
	}
	return a, raw
}

// asked answers without a fault, decoded.
func asked[T any](t testing.TB, name, request string, data []byte) (T, wire.Answer) {
	t.Helper()
	a, raw := ask(t, name, request, data)
	var out T
	if a.Fault != nil {
		t.Fatalf("%s: %+v", name, *a.Fault)
	}
	if err := json.Unmarshal(a.OK, &out); err != nil {
		t.Fatal(err)
	}
	return out, raw
}

type row struct {
	F64, F32, I32 *[2]int
}

// square is a square of 100 m by 100 m around a place, closed.
func square() orb.Ring {
	return geo.NewFrame(orb.Point{-95, 44}).LonLatRing(orb.Ring{{-50, -50}, {50, -50}, {50, 50}, {-50, 50}, {-50, -50}})
}

func bytesOf(ring orb.Ring) []byte {
	var b []byte
	for _, p := range ring {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(p[0]))
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(p[1]))
	}
	return b
}

func text(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestMeasure(t *testing.T) {
	type measured struct {
		AreaM2         float64 `json:"area_m2"`
		PerimeterM     float64 `json:"perimeter_m"`
		UncertaintyM2  float64 `json:"uncertainty_m2"`
		AreaText       string  `json:"areaText"`
		GiveOrTakeText string
		Edges          struct {
			LengthM row `json:"length_m"`
			At      row
			Text    []string
		} `json:"edges"`
	}
	ring := square()
	m, raw := asked[measured](t, "measure", `{"corners":[5],"units":"metric"}`, bytesOf(ring))
	if math.Abs(m.AreaM2-10000) > 0.01 || math.Abs(m.PerimeterM-400) > 1e-3 || m.AreaText != "1 ha" {
		t.Errorf("got %+v", m)
	}
	lengths := raw.Floats[m.Edges.LengthM.F64[0]:][:m.Edges.LengthM.F64[1]]
	if len(lengths) != 4 || math.Abs(lengths[0]-100) > 1e-3 || len(m.Edges.Text) != 4 {
		t.Errorf("edges %v %v", lengths, m.Edges.Text)
	}
	// Corners a metre off leave the four diagonals of 141 m: 141 m2, see
	// geo.VertexVarianceM4; a survey that knows better has the last word.
	if math.Abs(m.UncertaintyM2-math.Sqrt(20002)) > 0.1 || m.GiveOrTakeText != "0.03 ha" {
		t.Errorf("one deviation %g m2, said as %q", m.UncertaintyM2, m.GiveOrTakeText)
	}
	walked, _ := asked[measured](t, "measure", `{"corners":[5],"units":"metric","surveyM2":250}`, bytesOf(ring))
	if walked.UncertaintyM2 != 250 || walked.GiveOrTakeText != "0.05 ha" {
		t.Errorf("a survey of 250 m2: %g m2, said as %q", walked.UncertaintyM2, walked.GiveOrTakeText)
	}
	open, _ := asked[measured](t, "measure", `{"corners":[2],"units":"us","open":true}`, bytesOf(ring[:2]))
	if open.AreaM2 != 0 || len(open.Edges.Text) != 1 {
		t.Errorf("open: %+v", open)
	}
	crossed := orb.Ring{ring[0], ring[2], ring[1], ring[3], ring[0]}
	if a, _ := ask(t, "measure", `{"corners":[5],"units":"us"}`, bytesOf(crossed)); a.Fault == nil || a.Fault.Code != "self_crossing" || a.Fault.Where.Vertex == 0 {
		t.Errorf("a crossed outline: %+v", a.Fault)
	}
}

func TestGroundOperations(t *testing.T) {
	outline := orb.Polygon{square()}
	pieces, _ := asked[[]struct {
		Outline orb.Polygon
		AreaM2  float64 `json:"area_m2"`
		Inside  orb.Point
	}](t, "split", text(t, map[string]any{
		"outline": outline, "line": orb.LineString{{-95.01, 44}, {-94.99, 44}}}), nil)
	if len(pieces) != 2 || pieces[0].AreaM2 < pieces[1].AreaM2 || !(pieces[1].AreaM2 > 0) {
		t.Errorf("%d pieces: %+v", len(pieces), pieces)
	}
	for i, p := range pieces {
		if !planar.PolygonContains(p.Outline, p.Inside) {
			t.Errorf("the name of piece %d would stand at %v, beside it", i+1, p.Inside)
		}
	}
	shapes, raw := asked[[]struct {
		Rings []row `json:"ringsM"`
		Bound [4]float64
	}](t, "local", text(t, map[string]any{"outlines": []orb.Polygon{outline}}), nil)
	if n := shapes[0].Rings[0].F64[1]; n != 10 || len(raw.Floats) != 10 {
		t.Errorf("%d numbers of a ring of five points", n)
	}
	taped, _ := asked[struct {
		Survey     geo.Survey
		Dimensions geo.Tape
	}](t, "taped", `{"tape":{"shape":"circle","lengths_m":[20]},"at":[-95,44],"date":"2026-04-30","units":"us"}`, nil)
	if math.Abs(taped.Survey.AreaM2-100*math.Pi) > 0.01 || taped.Survey.Method != geo.Taped || taped.Survey.UncertaintyM2 <= 0 {
		t.Errorf("taped: %+v", taped)
	}
	pasted, _ := asked[struct{ Outline orb.Polygon }](t, "readCoordinates", `{"text":"-95 44\n-95 44.001\n-95.001 44.001","order":"lon-lat","units":"us"}`, nil)
	if len(pasted.Outline[0]) != 4 {
		t.Errorf("pasted: %+v", pasted)
	}
}

func TestWords(t *testing.T) {
	words, _ := asked[[]string](t, "format", `{"units":"us","items":[
		{"as":"length","value":3.048},{"as":"percent","value":0.15},{"as":"date","value":"2026-11-25"},
		{"as":"area","value":null},{"as":"no such kind","value":1}]}`, nil)
	want := []string{"10 ft", "15 %", "25 November 2026", "–", "–"}
	for i := range want {
		if words[i] != want[i] {
			t.Errorf("word %d is %q, want %q", i, words[i], want[i])
		}
	}
	type one struct {
		Value *float64
		Fault *struct{ Code string }
	}
	values, _ := asked[[]one](t, "parse", `{"items":[{"kind":"length","text":"12 ft 6 in"},{"kind":"length","text":"12 1/2","unit":"ft"},
		{"kind":"mass","text":"heavy"},{"kind":"mass","text":"","unit":"lb"}]}`, nil)
	for i, feet := range []float64{12.5, 12.5} {
		if v := values[i].Value; v == nil || math.Abs(*v-feet*float64(units.Foot)) > 1e-12 {
			t.Errorf("value %d: %+v", i, values[i])
		}
	}
	if values[2].Fault == nil || values[3].Fault == nil {
		t.Errorf("no fault: %+v", values[2:])
	}
	legend, _ := asked[[]string](t, "legend", `{"ratios":[0.5,1],"rate_kg_per_m2":0.0112085,"units":"us"}`, nil)
	if legend[0] != "50 lb/ac" || legend[1] != "100 lb/ac" {
		t.Errorf("legend %v", legend)
	}
}

func TestSwappedAxesAreCuredByTheChoice(t *testing.T) {
	for order, cure := range map[string]string{"lat-lon": "choose that longitude comes first", "lon-lat": "choose that latitude comes first"} {
		lines := "-95 44\\n-95 44.001\\n-95.001 44.001"
		if order == "lon-lat" {
			lines = "44 -95\\n44.001 -95\\n44.001 -95.001"
		}
		a, _ := ask(t, "readCoordinates", `{"text":"`+lines+`","order":"`+order+`"}`, nil)
		if a.Fault == nil || a.Fault.Remedy != cure {
			t.Errorf("%s: %+v", order, a.Fault)
		}
	}
}

func TestThrowsOfEveryPattern(t *testing.T) {
	type widths struct{ Usual, Seed, Fertilizer float64 }
	got, _ := asked[widths](t, "throws", `{"usual":{"shape":"pans","pan_test":{"pan_distance_m":0.5,"centre_pan":3,"runs_kg":[[1,2,3,2,1]]}},
		"seed":{"shape":"lopsided","left_reach_m":2,"right_reach_m":3}}`, nil)
	if got != (widths{Usual: 2, Seed: 5}) {
		t.Errorf("got %+v", got)
	}
}

func TestNeedAfterCredits(t *testing.T) {
	a, _ := asked[struct {
		N    float64       `json:"n_kg_per_m2"`
		Left mix.Nutrients `json:"left"`
	}](t, "need", `{"report":{"n_kg_per_m2":0.005,"k2o_kg_per_m2":0.002},"credits":[{"from":"sod","n_kg_per_m2":0.003,"k2o_kg_per_m2":0.004}]}`, nil)
	if math.Abs(float64(a.Left.N)-0.002) > 1e-12 || a.Left.K2O != 0 || a.N != 0.005 {
		t.Errorf("%+v is left of %g", a.Left, a.N)
	}
}

// requests is one plausible request per operation, which the fuzzer changes.
func requests(t testing.TB) map[string]string {
	pattern := `{"shape":"triangle","throw_m":8}`
	machine := `{"name":"x","patterns":{"usual":` + pattern + `},"hopper_kg":45,"turn_radius_m":2.4,
		"catch_tests":[{"material":"oats","gate":4,"mass_kg":4,"time_s":15},{"material":"oats","gate":6,"mass_kg":7,"time_s":15}]}`
	recipe := `{"name":"m","items":[{"material":"oats","rate":{"mass_kg_per_m2":0.009}},{"material":"19-19-19","rate":{"bags":1}}]}`
	need := `{"n_kg_per_m2":0.005,"p2o5_kg_per_m2":0.004,"k2o_kg_per_m2":0.004}`
	outline := text(t, orb.Polygon{square()})
	sheet := func(options string) string {
		return `{"plot":{"name":"p","outline":{"type":"Polygon","coordinates":` + outline + `}},"spreader":` + machine +
			`,"mix":` + recipe + `,"options":{"date":"2026-04-30","units":"us",` + options + `}}`
	}
	return map[string]string{
		"measure":         `{"corners":[5],"units":"us"}`,
		"readCoordinates": `{"text":"-95 44\n-95 44.001\n-95.001 44.001","order":"lon-lat"}`,
		"taped":           `{"tape":{"shape":"triangle","lengths_m":[30,40,50]},"at":[-95,44],"date":"2026-04-30"}`,
		"split":           `{"outline":` + outline + `,"line":[[-95.01,44],[-94.99,44]]}`,
		"local":           `{"outlines":[` + outline + `]}`,
		"prepare":         sheet(`"quick":true`),
		"pattern":         `{"pattern":` + pattern + `,"units":"us"}`,
		"readPanTest":     `{"text":"position (ft),run 1 (g)\n-4,11\n0,30\n4,10"}`,
		"throws":          `{"usual":` + pattern + `,"seed":` + pattern + `}`,
		"flowCurve":       `{"spreader":` + machine + `,"material":"oats"}`,
		"describe":        `{"name":"Starter 6-24-24","class":"fertilizer","grade":"6-24-24"}`,
		"search":          `{"text":"clover"}`, "need": `{"report":{"n_kg_per_m2":0.005,"p_kg_per_m2":0.001}}`,
		"blend":     `{"need":` + need + `,"products":["19-19-19"],"units":"us"}`,
		"bags":      `{"need":` + need + `,"area_m2":1000,"products":["19-19-19"],"units":"us"}`,
		"takeBags":  `{"mix":` + recipe + `,"bags":[{"id":"0-0-60","product":"potash","bags":1,"buy_bags":1,"mass_kg":22}],"area_m2":1000}`,
		"lookAtMix": `{"mix":` + recipe + `}`,
		"recount":   `{"mix":` + recipe + `,"item":1,"way":"n_kg_per_m2","area_m2":1000}`,
		"lime":      `{"product":"` + limeOf(t) + `","ask":{"recommended_kg_per_m2":0.4,"area_m2":1000}}`,
		"judge":     `{"counts":{"found":[10,12,9],"sample_m2":0.1},"target":{"what":"seeds","density_per_m2":100},"units":"us"}`,
		"trip":      `{"plots":[{"name":"a","area_m2":1000,"mix":` + recipe + `}],"hopper":{"mass_kg":45},"units":"us"}`,
		"lookBack":  `{"sheet":` + doneSheet + `,"spreader":` + machine + `,"told":{"date":"2026-05-01","groups":[{"group":1,"used":[{"id":"oats","mass_kg":11}]}]},"units":"us"}`,
		"format":    `{"items":[{"as":"area","value":1000}],"units":"us"}`, "parse": `{"items":[{"kind":"area","text":"1 ac"}]}`,
		"legend": `{"ratios":[1],"rate_kg_per_m2":0.01,"units":"us"}`,
	}
}

// doneSheet is as much of a saved sheet as looking back needs.
const doneSheet = `{"ground":{"spread_m2":1000},"spreader":{"groups":[{"group":1,"contents":"oats","material":"oats","gate":"gate 5","gate_mark":5,"speed_mps":3}]},
	"drive":{"passes":[{"order":1,"length_m":120,"flow":1},{"order":2,"length_m":120,"flow":1}]},
	"materials":[{"id":"oats","material":"oats","group":1,"spread_kg":10}],"loads":[{"number":1,"group":1,"mass_kg":10}]}`

// limeOf is the id of some lime in the catalog.
func limeOf(t testing.TB) string {
	t.Helper()
	found, _ := asked[struct {
		Products []struct {
			Product struct{ ID, Class string }
		}
	}](t, "search", `{"text":""}`, nil)
	for _, p := range found.Products {
		if p.Product.Class == "lime" {
			return p.Product.ID
		}
	}
	t.Fatal("no lime in the catalog")
	return ""
}

func dataFor(name string) []byte {
	if name == "measure" {
		return bytesOf(square())
	}
	return nil
}

func TestEveryOperationAnswersItsRequest(t *testing.T) {
	for name, request := range requests(t) {
		t.Run(name, func(t *testing.T) {
			a, raw := ask(t, name, request, dataFor(name))
			if a.Fault != nil {
				t.Fatalf("%+v", *a.Fault)
			}
			if strings.Contains(string(raw.JSON), ":null") && name != "search" {
				t.Errorf("a list is null: %s", raw.JSON)
			}
		})
	}
}

// What the page cannot mean must not stop the core.
func TestSpoiltRequestsAreFaults(t *testing.T) {
	for name, request := range requests(t) {
		for what, spoilt := range map[string]string{
			"nothing": "", "no JSON": "{", "another kind": `"text"`, "a list": "[]", "null": "null", "empty": "{}",
			"cut short": request[:len(request)/2], "numbers as text": strings.ReplaceAll(request, "1", `"x"`),
			"huge": strings.ReplaceAll(request, "4", "4e300"), "negative": strings.ReplaceAll(request, ":", ":-"),
		} {
			t.Run(name+"/"+what, func(t *testing.T) {
				a, _ := ask(t, name, spoilt, dataFor(name))
				if a.Fault != nil && a.Fault.Code == "internal" {
					t.Errorf("it panicked: %s", a.Fault.What)
				}
			})
		}
	}
	if a, _ := ask(t, "no such operation", "{}", nil); a.Fault == nil || a.Fault.Kind != "missing" {
		t.Errorf("got %+v", a.Fault)
	}
	if a, _ := ask(t, "measure", `{"corners":[1000000000]}`, bytesOf(square())); a.Fault == nil {
		t.Error("corners that are not there were read")
	}
}

func TestFaultsAreToldInThePersonsUnits(t *testing.T) {
	const lengths = `"tape":{"shape":"triangle","lengths_m":[10,20,30.48]},"at":[-95,44],"date":"2026-05-02"`
	for system, says := range map[string]string{"us": "100 ft", "metric": "30.48 m"} {
		a, _ := ask(t, "taped", `{`+lengths+`,"units":"`+system+`"}`, nil)
		if a.Fault == nil || !strings.Contains(a.Fault.What, says) {
			t.Errorf("%s: %+v", system, a.Fault)
		}
	}
	if a, _ := ask(t, "taped", `{`+lengths+`}`, nil); a.Fault == nil || !strings.Contains(a.Fault.What, "30.48 m") {
		t.Errorf("no units: %+v", a.Fault)
	}
}

func TestTrail(t *testing.T) {
	frame := geo.NewFrame(orb.Point{-95, 44})
	var data []byte
	for i, at := range []orb.Point{{0, 0}, {30, 0}, {30, 40}} {
		p := frame.ToLonLat(at)
		for _, n := range []float64{p[0], p[1], float64(20 * i), []float64{4, 4, 16}[i]} {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(n))
		}
	}
	type trailed struct {
		LineM                                 row
		BoundM                                [4]float64
		WalkedText, ToStartText, AccuracyText string
		Vague                                 bool
	}
	far, raw := asked[trailed](t, "trail", `{"units":"metric"}`, data)
	if far.WalkedText != "70 m" || far.ToStartText != "50 m" || far.AccuracyText != "16 m" || !far.Vague {
		t.Errorf("got %+v", far)
	}
	line := raw.Floats[far.LineM.F64[0]:][:far.LineM.F64[1]]
	for i, want := range []float64{0, 0, 30, 0, 30, 40} {
		if math.Abs(line[i]-want) > 1e-6 {
			t.Errorf("line %v", line)
		}
	}
	if math.Abs(far.BoundM[2]-30) > 1e-6 || math.Abs(far.BoundM[3]-40) > 1e-6 {
		t.Errorf("bound %v", far.BoundM)
	}
	near, _ := asked[trailed](t, "trail", `{"units":"us"}`, data[:64])
	if near.AccuracyText != "13 ft" || near.Vague {
		t.Errorf("got %+v", near)
	}
	none, _ := asked[trailed](t, "trail", `{"units":"us"}`, nil)
	if none.WalkedText != "" || none.LineM.F64 == nil {
		t.Errorf("got %+v", none)
	}
}

func FuzzCall(f *testing.F) {
	for name, request := range requests(f) {
		f.Add(name, []byte(request), dataFor(name))
	}
	f.Fuzz(func(t *testing.T, name string, request, data []byte) {
		if a, _ := ask(t, name, string(request), data); a.Fault != nil && a.Fault.Code == "internal" {
			t.Fatalf("%s %s: %s", name, request, a.Fault.What)
		}
	})
}

func BenchmarkQuickSheet(b *testing.B) { benchmarkSheet(b, `"quick":true`) }

func BenchmarkFullSheet(b *testing.B) { benchmarkSheet(b, `"quick":false`) }

func benchmarkSheet(b *testing.B, options string) {
	request := []byte(strings.Replace(requests(b)["prepare"], `"quick":true`, options, 1))
	b.ReportAllocs()
	for b.Loop() {
		if a := door.Call("prepare", request, nil); a.JSON[2] == 'f' {
			b.Fatal(string(a.JSON))
		}
	}
}

func TestLengthsCountedInPaces(t *testing.T) {
	request := func(pace string) string {
		return `{"tape":{"shape":"rectangle","lengths_m":[40,30]},"at":[-95,44],"method":"paced","date":"2026-04-30","units":"us"` + pace + `}`
	}
	a, _ := asked[struct {
		Survey     geo.Survey `json:"survey"`
		Dimensions geo.Tape   `json:"dimensions"`
	}](t, "taped", request(`,"paceM":0.762`), nil)
	if want := 40 * 30 * 0.762 * 0.762; math.Abs(a.Survey.AreaM2/want-1) > 1e-6 || math.Abs(a.Dimensions.LengthsM[0]-40*0.762) > 1e-9 {
		t.Errorf("40 by 30 paces of 0.762 m are %.1f m2, wanted %.1f, of %v", a.Survey.AreaM2, want, a.Dimensions)
	}
	if got, _ := ask(t, "taped", request(`,"paceM":7.62`), nil); got.Fault == nil || got.Fault.Where.Field != "pace_m" {
		t.Errorf("a pace of 7.62 m: %+v", got)
	}
}
