package passes

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"
)

// madePlot is one of the plots made for tests, laid flat.
type madePlot struct {
	name  string
	acres float64
	local orb.Polygon
}

// madePlots reads testdata/plots. Laying them flat with the radii of curvature
// at their own latitude is good to a part in ten thousand, enough to lay
// passes on.
func madePlots(t testing.TB) []madePlot {
	t.Helper()
	files, err := filepath.Glob("../../testdata/plots/*.geojson")
	if err != nil || len(files) == 0 {
		t.Fatalf("no plots: %v", err)
	}
	var plots []madePlot
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var collection struct {
			Features []struct {
				Properties struct {
					Name  string  `json:"name"`
					Acres float64 `json:"acres"`
				} `json:"properties"`
				Geometry struct {
					Coordinates orb.Polygon `json:"coordinates"`
				} `json:"geometry"`
			} `json:"features"`
		}
		if err := json.Unmarshal(raw, &collection); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		for _, f := range collection.Features {
			plots = append(plots, madePlot{f.Properties.Name, f.Properties.Acres, flat(f.Geometry.Coordinates)})
		}
	}
	return plots
}

// flat lays degrees out in metres about the first corner (WGS84 radii of
// curvature).
func flat(p orb.Polygon) orb.Polygon {
	const a, e2, degree = 6378137.0, 0.00669437999014, math.Pi / 180
	base := p[0][0]
	sin, cos := math.Sincos(base[1] * degree)
	w := math.Sqrt(1 - e2*sin*sin)
	east, north := a/w*cos*degree, a*(1-e2)/(w*w*w)*degree
	out := make(orb.Polygon, len(p))
	for i, ring := range p {
		for _, at := range ring {
			out[i] = append(out[i], orb.Point{(at[0] - base[0]) * east, (at[1] - base[1]) * north})
		}
	}
	return out
}

func TestMadePlotsHaveTheirAcres(t *testing.T) {
	for _, p := range madePlots(t) {
		g, err := NewGround(p.local)
		if err != nil {
			t.Fatalf("%s: %v", p.name, err)
		}
		if got := g.AreaM2() / 4046.8564224; math.Abs(got-p.acres) > 0.002*p.acres {
			t.Errorf("%s comes to %.4f acres laid flat", p.name, got)
		}
	}
}
