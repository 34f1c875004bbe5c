package geo_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

var frameOrigins = []orb.Point{{0, 0}, {12, 47}, {-93.2, 31}, {24, 69.5}, {179.9999, -17}, {180.01, -17}, {-70, -55}}

// TestFrameDistances compares straight lines in the frame with geodesics, for
// pairs of points up to 5 km from the origin: less than 1 mm per km.
func TestFrameDistances(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	worst := 0.0
	for _, origin := range frameOrigins {
		frame := geo.NewFrame(origin)
		for range 400 {
			a, b := randomWithin(random, 5000), randomWithin(random, 5000)
			if math.Hypot(a[0]-b[0], a[1]-b[1]) < 1 {
				continue
			}
			flat := math.Hypot(a[0]-b[0], a[1]-b[1])
			geodesic := geo.DistanceM(frame.ToLonLat(a), frame.ToLonLat(b))
			worst = max(worst, math.Abs(flat-geodesic)/geodesic)
		}
	}
	t.Logf("worst %.3f mm per km", worst*1e6)
	if worst > 1e-6 {
		t.Errorf("worst distance error is %.3f mm per km", worst*1e6)
	}
}

func randomWithin(random *rand.Rand, radius float64) orb.Point {
	sin, cos := math.Sincos(2 * math.Pi * random.Float64())
	r := radius * math.Sqrt(random.Float64())
	return orb.Point{r * cos, r * sin}
}

func TestFrameThereAndBack(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	for _, origin := range frameOrigins {
		frame := geo.NewFrame(origin)
		for range 100 {
			p := randomWithin(random, 5000)
			degrees := frame.ToLonLat(p)
			if math.Abs(degrees[0]-origin[0]) > 1 {
				t.Fatalf("longitude %g is far from that of the origin %g", degrees[0], origin[0])
			}
			back := frame.ToLocal(degrees)
			if math.Hypot(back[0]-p[0], back[1]-p[1]) > 1e-6 {
				t.Fatalf("origin %v: %v came back as %v", origin, p, back)
			}
		}
		if at := frame.ToLocal(origin); math.Hypot(at[0], at[1]) > 1e-9 {
			t.Errorf("the origin %v lies at %v", origin, at)
		}
	}
}

// TestFrameBearings looks where north, east and a known spot lie.
func TestFrameBearings(t *testing.T) {
	frame := geo.NewFrame(orb.Point{12, 47})
	north := frame.ToLonLat(orb.Point{0, 1000})
	east := frame.ToLonLat(orb.Point{1000, 0})
	if math.Abs(north[0]-12) > 1e-12 || north[1] <= 47 {
		t.Errorf("north is %v", north)
	}
	if east[0] <= 12 || math.Abs(east[1]-47) > 1e-5 {
		t.Errorf("east is %v", east)
	}
	if frame.Origin() != (orb.Point{12, 47}) {
		t.Errorf("origin is %v", frame.Origin())
	}
}

func TestPlotFrame(t *testing.T) {
	plot, err := geo.NewPlot("", orb.Polygon{block(12.00003, 47, 0.002, 0.001), block(12.0005, 47.0002, 0.0002, 0.0002)})
	if err != nil {
		t.Fatal(err)
	}
	frame := plot.Frame()
	if got := frame.Origin(); math.Abs(got[0]-12.001) > 1e-12 || math.Abs(got[1]-47.0005) > 1e-12 {
		t.Errorf("origin is %v", got)
	}
	local := frame.LocalPolygon(plot.Polygon)
	if !nearPolygon(frame.LonLatPolygon(local), plot.Polygon, 1e-12) {
		t.Error("the polygon did not come back")
	}
	line := orb.LineString(plot.Polygon[1])
	if !nearPolygon(orb.Polygon{orb.Ring(frame.LonLatLine(frame.LocalLine(line)))}, orb.Polygon{plot.Polygon[1]}, 1e-12) {
		t.Error("the line did not come back")
	}
	if (geo.Plot{}).Frame().Origin() != (orb.Point{}) {
		t.Error("the frame of nothing lies at the origin of the world")
	}
}

func BenchmarkFrameLocal60(b *testing.B) {
	plot, err := geo.NewPlot("", orb.Polygon{circle(12, 47, 0.0004, 60)})
	if err != nil {
		b.Fatal(err)
	}
	frame := plot.Frame()
	for b.Loop() {
		frame.LocalPolygon(plot.Polygon)
	}
}

func BenchmarkFrameLonLat60(b *testing.B) {
	plot, err := geo.NewPlot("", orb.Polygon{circle(12, 47, 0.0004, 60)})
	if err != nil {
		b.Fatal(err)
	}
	frame := plot.Frame()
	local := frame.LocalPolygon(plot.Polygon)
	for b.Loop() {
		frame.LonLatPolygon(local)
	}
}
