package geo_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// block is a ring of the given size in degrees, open, counter-clockwise.
func block(lon, lat, width, height float64) orb.Ring {
	return orb.Ring{{lon, lat}, {lon + width, lat}, {lon + width, lat + height}, {lon, lat + height}}
}

func closed(ring orb.Ring) orb.Ring { return append(slices.Clone(ring), ring[0]) }

func TestNewPlotRefuses(t *testing.T) {
	outer := block(12, 47, 0.004, 0.004)
	tests := []struct {
		name    string
		polygon orb.Polygon
		code    string
		kind    fault.Kind
		where   fault.Place
		says    string
	}{
		{"nothing", nil, "no_outline", fault.Invalid, fault.Place{}, "no outline"},
		{"empty ring", orb.Polygon{{}}, "no_outline", fault.Invalid, fault.Place{}, "no outline"},
		{"NaN", orb.Polygon{{{12, 47}, {12.1, math.NaN()}, {12, 47.1}}}, "not_finite", fault.Invalid, fault.Place{Ring: 1, Vertex: 2}, "finite"},
		{"infinite", orb.Polygon{{{math.Inf(-1), 47}, {12.1, 47}, {12, 47.1}}}, "not_finite", fault.Invalid, fault.Place{Ring: 1, Vertex: 1}, "finite"},
		{"swapped", orb.Polygon{{{44, -91}, {44, -91.001}, {44.001, -91}}}, "swapped_axes", fault.Invalid, fault.Place{Ring: 1, Vertex: 1}, "swapped"},
		{"metres", orb.Polygon{{{500000, 4900000}, {500100, 4900000}, {500100, 4900100}}}, "projected", fault.Invalid, fault.Place{Ring: 1, Vertex: 1}, "grid"},
		{"implausible", orb.Polygon{{{12, 47}, {400, 47}, {12, 47.1}}}, "implausible", fault.Invalid, fault.Place{Ring: 1, Vertex: 2}, "400"},
		{"two corners", orb.Polygon{{{12, 47}, {12.001, 47}, {12, 47}, {12, 47}}}, "too_few_corners", fault.Invalid, fault.Place{Ring: 1}, "the outline has too few corners: 2"},
		{"hole of one corner", orb.Polygon{outer, {{12.001, 47.001}}}, "too_few_corners", fault.Invalid, fault.Place{Ring: 2}, "too few corners: 1"},
		{"no width", orb.Polygon{{{12, 47}, {12.001, 47}, {12.002, 47}}}, "self_crossing", fault.Invalid, fault.Place{Ring: 1, Vertex: 1, LonLat: []float64{12, 47}}, "corner 3 to 1"},
		{
			"bow-tie", orb.Polygon{{{12, 47}, {12.002, 47.002}, {12.002, 47}, {12, 47.002}}},
			"self_crossing", fault.Invalid, fault.Place{Ring: 1, Vertex: 1, LonLat: []float64{12.001, 47.001}},
			"corner 1 to 2 meets the edge from corner 3 to 4",
		},
		{
			"touches itself", orb.Polygon{{{12, 47}, {12.002, 47}, {12.001, 47.001}, {12.002, 47.002}, {12, 47.002}, {12.001, 47.001}}},
			"self_crossing", fault.Invalid, fault.Place{Ring: 1, Vertex: 2, LonLat: []float64{12.001, 47.001}}, "corner 2 to 3",
		},
		{
			"spike", orb.Polygon{{{12, 47}, {12.002, 47}, {12.002, 47.004}, {12.002, 47.002}, {12, 47.002}}},
			"self_crossing", fault.Invalid, fault.Place{Ring: 1, Vertex: 2, LonLat: []float64{12.002, 47.004}}, "corner 2 to 3",
		},
		{"hole crosses", orb.Polygon{outer, block(12.003, 47.001, 0.002, 0.001)}, "hole_crosses", fault.Invalid, fault.Place{Ring: 2, Vertex: 1, LonLat: []float64{12.004, 47.001}}, "hole 1"},
		{"hole outside", orb.Polygon{outer, block(12.01, 47.001, 0.002, 0.001)}, "hole_outside", fault.Invalid, fault.Place{Ring: 2, Vertex: 1, LonLat: []float64{12.01, 47.001}}, "outside"},
		{
			"holes overlap", orb.Polygon{outer, block(12.001, 47.001, 0.001, 0.001), block(12.0015, 47.0015, 0.001, 0.001)},
			"holes_overlap", fault.Invalid, fault.Place{Ring: 3, Vertex: 1, LonLat: []float64{12.002, 47.0015}}, "hole 2 overlaps hole 1",
		},
		{
			"hole in hole", orb.Polygon{outer, block(12.001, 47.001, 0.002, 0.002), block(12.0015, 47.0015, 0.0005, 0.0005)},
			"holes_overlap", fault.Invalid, fault.Place{Ring: 3, Vertex: 1, LonLat: []float64{12.0015, 47.0015}}, "inside hole 1",
		},
		{
			"hole cuts the plot in two", orb.Polygon{outer, {{12, 47.002}, {12.002, 47.001}, {12.004, 47.002}, {12.002, 47.003}}},
			"hole_crosses", fault.Invalid, fault.Place{Ring: 2, Vertex: 1, LonLat: []float64{12, 47.002}}, "hole 1",
		},
		{"too wide", orb.Polygon{{{12, 47}, {13, 47}, {12, 47.1}}}, "too_wide", fault.Invalid, fault.Place{}, "50 kilometres"},
		{"too tall", orb.Polygon{{{12, 47}, {12.1, 47}, {12, 48}}}, "too_wide", fault.Invalid, fault.Place{}, "50 kilometres"},
		{"around a pole", orb.Polygon{{{0, 89.99}, {120, 89.99}, {-120, 89.99}}}, "around_pole", fault.Invalid, fault.Place{}, "pole"},
		{"too small", orb.Polygon{block(12, 47, 0.000005, 0.000005)}, "too_small", fault.Invalid, fault.Place{}, "square metres"},
		{"too many corners", orb.Polygon{circle(12, 47, 0.001, geo.MaxCorners+1)}, "too_many_corners", fault.TooLarge, fault.Place{Ring: 1}, "10000"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := geo.NewPlot("North", tt.polygon)
			found, ok := fault.From(err)
			if !ok {
				t.Fatalf("got %v, want a fault", err)
			}
			if found.Code != tt.code || found.Kind != tt.kind {
				t.Fatalf("got %s (%s), want %s (%s): %v", found.Code, found.Kind, tt.code, tt.kind, err)
			}
			if !samePlace(found.Where, tt.where) {
				t.Errorf("got place %+v, want %+v", found.Where, tt.where)
			}
			if !strings.Contains(found.What, tt.says) || found.Remedy == "" {
				t.Errorf("%q does not say %q and a remedy", err, tt.says)
			}
		})
	}
}

// samePlace compares places, coordinates to 1e-9 degrees.
func samePlace(got, want fault.Place) bool {
	near := slices.EqualFunc(got.LonLat, want.LonLat, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	got.LonLat, want.LonLat = nil, nil
	return near && got.String() == want.String()
}

// A page marks the corners that the sentence names.
func TestCrossingNamesItsCorners(t *testing.T) {
	for name, tt := range map[string]struct {
		ring orb.Ring
		want []int
	}{
		"bow-tie":         {orb.Ring{{12, 47}, {12.002, 47.002}, {12.002, 47}, {12, 47.002}}, []int{1, 2, 3, 4}},
		"folded back":     {orb.Ring{{12, 47}, {12.002, 47}, {12.002, 47.004}, {12.002, 47.002}, {12, 47.002}}, []int{2, 3, 4}},
		"over the closer": {orb.Ring{{12, 47}, {12.002, 47}, {12.002, 47.002}, {11.999, 47.001}, {12.001, 47.002}}, []int{1, 3, 4, 5}},
	} {
		_, err := geo.NewPlot("North", orb.Polygon{tt.ring})
		if found, ok := fault.From(err); !ok || !slices.Equal(found.Where.Corners, tt.want) {
			t.Errorf("%s: got %+v, want the corners %v", name, found, tt.want)
		}
	}
}

func circle(lon, lat, radius float64, n int) orb.Ring {
	ring := make(orb.Ring, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = orb.Point{lon + radius*cos, lat + radius*sin}
	}
	return ring
}

func TestNewPlotNormalises(t *testing.T) {
	square := closed(block(12, 47, 0.004, 0.004))
	clockwise := slices.Clone(square)
	clockwise.Reverse()
	hole := closed(block(12.001, 47.001, 0.001, 0.001))
	holeClockwise := slices.Clone(hole)
	holeClockwise.Reverse()
	tests := []struct {
		name      string
		in, wants orb.Polygon
	}{
		{"already normal", orb.Polygon{square, holeClockwise}, orb.Polygon{square, holeClockwise}},
		{"open", orb.Polygon{square[:4]}, orb.Polygon{square}},
		{"clockwise, hole the wrong way", orb.Polygon{clockwise, hole}, orb.Polygon{square, holeClockwise}},
		{
			"repeated corners",
			orb.Polygon{{square[0], square[0], square[1], square[2], square[2], square[2], square[3], square[0], square[0]}},
			orb.Polygon{square},
		},
		{
			"a hole may touch the edge once",
			orb.Polygon{square, {{12, 47}, {12.001, 47.002}, {12.002, 47.001}, {12, 47}}},
			orb.Polygon{square, {{12, 47}, {12.001, 47.002}, {12.002, 47.001}, {12, 47}}},
		},
		{
			"across the antimeridian eastward",
			orb.Polygon{{{179.9990, 10}, {-179.9990, 10}, {-179.9990, 10.002}, {179.9990, 10.002}}},
			orb.Polygon{{{179.9990, 10}, {180.0010, 10}, {180.0010, 10.002}, {179.9990, 10.002}, {179.9990, 10}}},
		},
		{
			"across the antimeridian, first corner in the west",
			orb.Polygon{{{-179.9990, 10}, {-179.9990, 10.002}, {179.9990, 10.002}, {179.9990, 10}}, block(-179.9998, 10.001, 0.0001, 0.0001)},
			orb.Polygon{
				{{180.0010, 10}, {180.0010, 10.002}, {179.9990, 10.002}, {179.9990, 10}, {180.0010, 10}},
				{{180.0002, 10.001}, {180.0002, 10.0011}, {180.0003, 10.0011}, {180.0003, 10.001}, {180.0002, 10.001}},
			},
		},
		{
			"longitudes counted to 360",
			orb.Polygon{{{268.5, 44}, {268.51, 44}, {268.51, 44.01}}},
			orb.Polygon{{{-91.5, 44}, {-91.49, 44}, {-91.49, 44.01}, {-91.5, 44}}},
		},
		{
			"longitude 180 written both ways",
			orb.Polygon{{{180, 10}, {-179.9990, 10}, {-180, 10.002}}},
			orb.Polygon{{{-180, 10}, {-179.9990, 10}, {-180, 10.002}, {-180, 10}}},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			before := tt.in.Clone()
			plot, err := geo.NewPlot(" North\tplot ", tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if plot.Name != "North plot" {
				t.Errorf("got name %q", plot.Name)
			}
			if !nearPolygon(plot.Polygon, tt.wants, 1e-10) {
				t.Errorf("got  %v\nwant %v", plot.Polygon, tt.wants)
			}
			if !tt.in.Equal(before) {
				t.Error("the input was changed")
			}
			again, err := geo.NewPlot(plot.Name, plot.Polygon)
			if err != nil || again.Name != plot.Name || !again.Polygon.Equal(plot.Polygon) {
				t.Errorf("a second time gave %v, %v", again, err)
			}
		})
	}
}

func nearPolygon(a, b orb.Polygon, tolerance float64) bool {
	return slices.EqualFunc(a, b, func(r, s orb.Ring) bool {
		return slices.EqualFunc(r, s, func(p, q orb.Point) bool {
			return math.Abs(p[0]-q[0]) <= tolerance && math.Abs(p[1]-q[1]) <= tolerance
		})
	})
}

func TestFaultCountsCornersAsGiven(t *testing.T) {
	_, err := geo.NewPlot("", orb.Polygon{{{12, 47}, {12, 47}, {12.002, 47.002}, {12.002, 47.002}, {12.002, 47}, {12, 47.002}}})
	if err == nil || !strings.Contains(err.Error(), "from corner 1 to 3 meets the edge from corner 5 to 6") {
		t.Errorf("got %v", err)
	}
}

func TestSplitPlots(t *testing.T) {
	two := orb.MultiPolygon{{block(12, 47, 0.001, 0.001)}, {block(12.01, 47, 0.001, 0.001)}}
	plots, err := geo.SplitPlots("Ridge", two)
	if err != nil || len(plots) != 2 || plots[0].Name != "Ridge 1" || plots[1].Name != "Ridge 2" {
		t.Fatalf("got %v, %v", plots, err)
	}
	one, err := geo.OnePlot("Ridge", two[:1])
	if err != nil || one.Name != "Ridge" {
		t.Fatalf("got %v, %v", one, err)
	}
	if _, err := geo.OnePlot("Ridge", two); !hasCode(err, "several_parts") {
		t.Errorf("several parts: got %v", err)
	}
	if _, err := geo.OnePlot("Ridge", nil); !hasCode(err, "no_outline") {
		t.Errorf("no parts: got %v", err)
	}
	two[1][0] = two[1][0][:2]
	_, err = geo.SplitPlots("Ridge", two)
	if found, ok := fault.From(err); !ok || found.Where.Field != "part 2" {
		t.Errorf("broken part: got %v", err)
	}
}

func hasCode(err error, code string) bool {
	found, ok := fault.From(err)
	return ok && found.Code == code
}

func TestCleanName(t *testing.T) {
	tests := []struct{ in, want string }{
		{"", ""},
		{"  Creek\n bottom ", "Creek bottom"},
		{"a\x00b\uFFFEc\xff", "abc"},
		{"Étang – süd", "Étang – süd"},
		{strings.Repeat("long ", 60), strings.TrimSpace(strings.Repeat("long ", 24))},
	}
	for _, tt := range tests {
		got := geo.CleanName(tt.in)
		if got != tt.want || geo.CleanName(got) != got {
			t.Errorf("CleanName(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

// TestWorstOutlineAtTheLimit feeds the shape that is slowest to check, teeth
// whose boxes all overlap, at the limit; it must be accepted.
func TestWorstOutlineAtTheLimit(t *testing.T) {
	plot, err := geo.NewPlot("comb", orb.Polygon{comb(geo.MaxCorners)})
	if err != nil {
		t.Fatal(err)
	}
	if plot.CornerCount() != geo.MaxCorners {
		t.Errorf("got %d corners", plot.CornerCount())
	}
}

// comb is a valid outline of n corners made of long slanting teeth.
func comb(n int) orb.Ring {
	ring := make(orb.Ring, 0, n)
	teeth := n/2 - 1
	for i := range teeth {
		shift := float64(i) / float64(teeth) * 0.1
		low, high := orb.Point{12 + shift, 47 - shift}, orb.Point{12.1 + shift, 47.1 - shift}
		if i%2 == 0 {
			ring = append(ring, low, high)
		} else {
			ring = append(ring, high, low)
		}
	}
	return append(ring, orb.Point{12.05, 46.85}, orb.Point{11.9, 46.9})
}

func BenchmarkNewPlot60(b *testing.B)   { benchmarkNewPlot(b, circle(12, 47, 0.0004, 60)) }
func BenchmarkNewPlot5000(b *testing.B) { benchmarkNewPlot(b, circle(12, 47, 0.004, 5000)) }
func BenchmarkNewPlotWorst(b *testing.B) {
	benchmarkNewPlot(b, comb(geo.MaxCorners))
}

func benchmarkNewPlot(b *testing.B, ring orb.Ring) {
	for b.Loop() {
		if _, err := geo.NewPlot("", orb.Polygon{ring}); err != nil {
			b.Fatal(err)
		}
	}
}
