package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"github.com/paulmach/orb"

	"evenfall/geo"
)

// plot is one plot of the benchmark set, laid flat.
type plot struct {
	name  string
	acres float64
	local orb.Polygon
}

// collection is the part of a GeoJSON FeatureCollection (RFC 7946) that the
// report needs.
type collection struct {
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

func readPlots(folder string) ([]plot, error) {
	files, err := filepath.Glob(filepath.Join(folder, "*.geojson"))
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no plots in %s", folder)
	}
	var plots []plot
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		var c collection
		if err := json.Unmarshal(raw, &c); err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		for _, f := range c.Features {
			plots = append(plots, plot{f.Properties.Name, f.Properties.Acres, flat(f.Geometry.Coordinates)})
		}
	}
	return plots, nil
}

func flat(polygon orb.Polygon) orb.Polygon {
	frame := geo.Plot{Polygon: polygon}.Frame()
	out := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		for _, p := range ring {
			out[i] = append(out[i], frame.ToLocal(p))
		}
	}
	return out
}
