package record

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
)

// Outline is a plot's shape in degrees of longitude and latitude. In JSON it
// is a GeoJSON Polygon (RFC 7946). Whether it crosses itself is for geo to
// say; here it is only well formed.
type Outline orb.Polygon

type polygonDocument struct {
	Type        string        `json:"type"`
	Coordinates [][][]float64 `json:"coordinates"`
}

// MarshalJSON writes a GeoJSON Polygon.
func (o Outline) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Type        string      `json:"type"`
		Coordinates orb.Polygon `json:"coordinates"`
	}{"Polygon", orb.Polygon(o)})
}

// UnmarshalJSON reads a GeoJSON Polygon; heights are dropped.
func (o *Outline) UnmarshalJSON(data []byte) error {
	var document polygonDocument
	if err := json.Unmarshal(data, &document); err != nil {
		return fault.New("outline_json", "the outline is not a GeoJSON Polygon",
			"send {\"type\":\"Polygon\",\"coordinates\":[[[lon,lat],...]]}").In("outline")
	}
	if document.Type != "Polygon" {
		return fault.New("outline_type", fmt.Sprintf("the outline is a %q and not a Polygon", document.Type),
			"send one Polygon for one plot").In("outline")
	}
	polygon := make(orb.Polygon, len(document.Coordinates))
	for i, positions := range document.Coordinates {
		line, err := lineOf(positions)
		if err != nil {
			err.Where.Ring = i + 1
			return err.In("outline")
		}
		polygon[i] = orb.Ring(line)
	}
	*o = Outline(polygon)
	return nil
}

// Bound is the box around the outer ring, in degrees.
func (o Outline) Bound() orb.Bound { return orb.Polygon(o).Bound() }

// checkOutline accepts none, or rings of at least four positions.
func checkOutline(o Outline) error {
	for i, ring := range o {
		if len(ring) < 4 {
			return fault.New("ring_short", fmt.Sprintf("the ring has %d positions and needs at least 4", len(ring)),
				"give at least three corners and repeat the first at the end").
				At(fault.Place{Ring: i + 1, Field: "outline"})
		}
		if err := checkPositions(orb.LineString(ring), fault.Place{Ring: i + 1, Field: "outline"}); err != nil {
			return err
		}
	}
	return nil
}

// checkPositions refuses what JSON cannot carry and no map can show. A plot
// across the antimeridian runs past 180, hence the room above it.
func checkPositions(line orb.LineString, place fault.Place) error {
	for i, point := range line {
		finite := !math.IsNaN(point[0]+point[1]) && !math.IsInf(point[0]+point[1], 0)
		if finite && math.Abs(point[0]) <= 360 && math.Abs(point[1]) <= 90 {
			continue
		}
		place.Vertex = i + 1
		return fault.New("position", fmt.Sprintf("[%v, %v] is no longitude and latitude", point[0], point[1]),
			"write longitude first, then latitude, in degrees").At(place)
	}
	return nil
}

func lineOf(positions [][]float64) (orb.LineString, *fault.Error) {
	line := make(orb.LineString, len(positions))
	for i, position := range positions {
		if len(position) < 2 || len(position) > 3 {
			return nil, fault.New("position", fmt.Sprintf("a position has %d numbers", len(position)),
				"write [longitude, latitude]").At(fault.Place{Vertex: i + 1})
		}
		line[i] = orb.Point{position[0], position[1]}
	}
	return line, nil
}
