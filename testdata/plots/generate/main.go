// Command generate writes the benchmark set of plots: six size classes of ten
// shapes, invented, one GeoJSON file per class, into the folder given (by
// default testdata/plots). Same program, same bytes:
//
//	go run ./testdata/plots/generate
package main

import (
	"encoding/json"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"evenfall/geo"
	"evenfall/testdata/plots/shapes"

	"github.com/paulmach/orb"
)

// sizeClass is one file. The origins lie apart so that the classes do not
// share a frame; the places mean nothing.
type sizeClass struct {
	Name   string
	Acres  float64
	Origin orb.Point // degrees
}

var sizeClasses = []sizeClass{
	{"tenth-acre", 0.1, orb.Point{-92.31, 38.12}},
	{"quarter-acre", 0.25, orb.Point{-89.74, 43.55}},
	{"half-acre", 0.5, orb.Point{-84.20, 33.08}},
	{"one-acre", 1, orb.Point{-78.66, 41.37}},
	{"two-acre", 2, orb.Point{-97.15, 46.21}},
	{"five-acre", 5, orb.Point{-95.42, 31.93}},
}

// columnsDeg is the distance between neighbouring plots in degrees of
// longitude; a five-acre strip is 350 m long.
const columnsDeg = 0.01

func main() {
	log.SetFlags(0)
	folder := "testdata/plots"
	if len(os.Args) > 1 {
		folder = os.Args[1]
	}
	for i, class := range sizeClasses {
		text, err := encoded(class, rand.New(rand.NewPCG(60, uint64(i))))
		if err != nil {
			log.Fatal(err)
		}
		name := filepath.Join(folder, class.Name+".geojson")
		if err := os.WriteFile(name, text, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}

type feature struct {
	Type       string         `json:"type"`
	Properties map[string]any `json:"properties"`
	Geometry   map[string]any `json:"geometry"`
}

// encoded is a FeatureCollection with a feature a line, so that a change of
// one plot shows as one line.
func encoded(class sizeClass, rng *rand.Rand) ([]byte, error) {
	text := []byte("{\"type\":\"FeatureCollection\",\"features\":[\n")
	for i, kind := range shapes.Kinds() {
		plot, err := drawn(class, kind, i, rng)
		if err != nil {
			return nil, err
		}
		line, err := json.Marshal(feature{"Feature",
			map[string]any{"name": plot.Name, "class": class.Name, "acres": class.Acres, "shape": kind.Name},
			map[string]any{"type": "Polygon", "coordinates": plot.Polygon}})
		if err != nil {
			return nil, err
		}
		if i > 0 {
			text = append(text, ",\n"...)
		}
		text = append(text, line...)
	}
	return append(text, "\n]}\n"...), nil
}

func drawn(class sizeClass, kind shapes.Kind, column int, rng *rand.Rand) (geo.Plot, error) {
	local, err := shapes.Draw(kind, class.Acres*shapes.SquareMetresPerAcre, rng)
	if err != nil {
		return geo.Plot{}, err
	}
	frame := geo.NewFrame(orb.Point{class.Origin[0] + columnsDeg*float64(column), class.Origin[1]})
	return geo.NewPlot(class.Name+" "+kind.Name, rounded(frame.LonLatPolygon(local)))
}

// rounded keeps eight decimals of a degree, which is a millimetre.
func rounded(polygon orb.Polygon) orb.Polygon {
	for _, ring := range polygon {
		for i, p := range ring {
			ring[i] = orb.Point{math.Round(p[0]*1e8) / 1e8, math.Round(p[1]*1e8) / 1e8}
		}
	}
	return polygon
}
