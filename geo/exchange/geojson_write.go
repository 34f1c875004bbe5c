package exchange

import (
	"encoding/json"
	"io"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

// jsonFeature is a GeoJSON feature as it is written: members in the order of
// RFC 7946's examples, properties sorted by the encoder.
type jsonFeature struct {
	Type       string         `json:"type"`
	Properties map[string]any `json:"properties"`
	Geometry   jsonGeometry   `json:"geometry"`
}

type jsonGeometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

type jsonCollection struct {
	Type     string        `json:"type"`
	Name     string        `json:"name,omitempty"`
	Note     string        `json:"note,omitempty"`
	Time     string        `json:"time,omitempty"`
	Features []jsonFeature `json:"features"`
}

// WriteGeoJSON writes one feature collection (RFC 7946): plots, lines, places,
// areas. Every feature has the properties name and role, lines also order.
// Rings that cross the antimeridian are not cut in two as section 3.1.9
// suggests; their longitudes jump from 180 to -180.
func WriteGeoJSON(w io.Writer, o Output) error {
	collection := jsonCollection{Type: "FeatureCollection", Name: geo.CleanName(o.Name), Note: o.Note, Features: []jsonFeature{}}
	if !o.Time.IsZero() {
		collection.Time = o.Time.UTC().Format(timeForm)
	}
	add := func(properties map[string]any, geometry orb.Geometry) {
		collection.Features = append(collection.Features,
			jsonFeature{"Feature", properties, jsonGeometry{geometry.GeoJSONType(), geometry}})
	}
	for _, p := range o.Plots {
		add(jsonProperties(nil, p.Name, "", rolePlot), writtenOutline(p.Polygon))
	}
	for _, l := range o.Lines {
		properties := jsonProperties(l.Properties, l.Name, l.Kind, rolePass)
		if l.Order > 0 {
			properties["order"] = l.Order
		}
		add(properties, writtenLine(l.Points))
	}
	for _, p := range o.Places {
		add(jsonProperties(p.Properties, p.Name, p.Kind, rolePlace), writtenPoint(p.Point))
	}
	for _, a := range o.Areas {
		add(jsonProperties(a.Properties, a.Name, a.Kind, roleArea), writtenArea(a.Polygon))
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	return encoder.Encode(collection)
}

// timeForm is RFC 3339 to the second, in UTC.
const timeForm = "2006-01-02T15:04:05Z"

func jsonProperties(given map[string]any, name, kind, role string) map[string]any {
	properties := map[string]any{}
	for key, value := range given {
		properties[key] = value
	}
	properties["name"], properties["role"] = geo.CleanName(name), role
	if kind != "" {
		properties["kind"] = kind
	}
	return properties
}
