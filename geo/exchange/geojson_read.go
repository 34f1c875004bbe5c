package exchange

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// jsonObject holds the members of any GeoJSON object, the large ones unread.
type jsonObject struct {
	Type        string          `json:"type"`
	Name        json.RawMessage `json:"name"`
	CRS         json.RawMessage `json:"crs"`
	Features    json.RawMessage `json:"features"`
	Geometry    json.RawMessage `json:"geometry"`
	Geometries  json.RawMessage `json:"geometries"`
	Properties  json.RawMessage `json:"properties"`
	Coordinates json.RawMessage `json:"coordinates"`
}

// maxCollectionDepth is how deep geometry collections may nest; RFC 7946
// section 3.1.8 advises against nesting them at all.
const maxCollectionDepth = 4

// jsonReader reads one GeoJSON text into a collector.
type jsonReader struct {
	*collector
	whole []byte
}

// readGeoJSON reads a FeatureCollection, a Feature or a bare geometry.
func readGeoJSON(data []byte, into *collector) error {
	reader := jsonReader{into, data}
	if err := reader.checkSyntax(); err != nil {
		return err
	}
	var top jsonObject
	if err := json.Unmarshal(data, &top); err != nil {
		return notGeoJSON("its members are not those of GeoJSON", fault.Place{})
	}
	if err := checkCRS(top.CRS); err != nil {
		return err
	}
	into.name = textOf(top.Name)
	switch top.Type {
	case "FeatureCollection":
		return reader.collection(top.Features)
	case "Feature":
		return reader.feature(top)
	}
	return reader.feature(jsonObject{Type: "Feature", Geometry: data})
}

// checkSyntax reads through the whole text once, so that what follows may
// take it for well-formed.
func (r jsonReader) checkSyntax() error {
	err := json.Unmarshal(r.whole, &struct{}{})
	var syntax *json.SyntaxError
	if !errors.As(err, &syntax) {
		return nil // an array or a number; jsonObject refuses it
	}
	at := min(int(syntax.Offset), len(r.whole))
	place := fault.Place{Line: 1 + bytes.Count(r.whole[:at], []byte("\n"))}
	word := strings.ToLower(wordAround(r.whole, at))
	switch {
	case strings.HasSuffix(syntax.Error(), "unexpected end of JSON input"):
		return truncated(place.Line)
	case strings.Contains(word, "nan") || strings.Contains(word, "inf"):
		return fault.New("not_finite", fmt.Sprintf("%q is not a number that JSON knows", word),
			"export the file again, or correct this coordinate").At(place)
	}
	return fault.New("json_syntax", "the JSON is broken: "+syntax.Error(), "export the file again").Of(fault.Unread).At(place)
}

// wordAround is the run of letters around a position.
func wordAround(text []byte, at int) string {
	letter := func(i int) bool { return text[i]|0x20 >= 'a' && text[i]|0x20 <= 'z' }
	from := max(at-1, 0)
	for from > 0 && at-from < 12 && letter(from-1) {
		from--
	}
	to := from
	for to < len(text) && to-from < 12 && letter(to) {
		to++
	}
	return string(text[from:to])
}

func notGeoJSON(why string, place fault.Place) *fault.Error {
	return fault.New("not_geojson", "this is JSON but not GeoJSON: "+why, accepted).Of(fault.Unread).At(place)
}

// checkCRS refuses the coordinate systems that older GeoJSON could name, but
// for WGS84 itself.
func checkCRS(raw json.RawMessage) error {
	var crs struct {
		Properties struct{ Name string }
	}
	if len(raw) == 0 || json.Unmarshal(raw, &crs) != nil || crs.Properties.Name == "" {
		return nil
	}
	for _, wgs84 := range []string{"CRS84", "EPSG::4326", "EPSG:4326"} {
		if strings.HasSuffix(crs.Properties.Name, wgs84) {
			return nil
		}
	}
	return fault.New("other_crs", fmt.Sprintf("the coordinates are in %.60q", crs.Properties.Name),
		"export the file again as WGS84 longitude and latitude (EPSG:4326)").In("crs")
}

// collection reads features one by one, so that memory holds one at a time.
func (r jsonReader) collection(raw json.RawMessage) error {
	stream := json.NewDecoder(bytes.NewReader(raw))
	if start, err := stream.Token(); err != nil || start != json.Delim('[') {
		return notGeoJSON("the collection has no list of features", fault.Place{})
	}
	for stream.More() {
		var feature jsonObject
		if err := stream.Decode(&feature); err != nil {
			return notGeoJSON("the feature is not an object as GeoJSON has it", fault.Place{Feature: r.features + 1})
		}
		if err := r.feature(feature); err != nil {
			return err
		}
	}
	return nil
}

func (r jsonReader) feature(feature jsonObject) error {
	place, err := r.nextFeature(0)
	if err != nil {
		return err
	}
	if feature.Type != "Feature" {
		return notGeoJSON(fmt.Sprintf("a feature of type %.40q", feature.Type), place)
	}
	var properties jsonNames
	if len(feature.Properties) > 0 && json.Unmarshal(feature.Properties, &properties) != nil {
		return notGeoJSON("the properties are not an object", place)
	}
	if skipped(textOf(properties.Role)) || len(feature.Geometry) == 0 {
		return nil
	}
	found := outline{name: properties.any(), place: place}
	if err := r.geometry(feature.Geometry, &found, 0); err != nil {
		return err
	}
	if len(found.parts) > 0 {
		r.areas = append(r.areas, found)
	}
	return nil
}

// jsonNames are the properties that are used. They match in upper and lower
// case alike, and may hold values of any type.
type jsonNames struct {
	Role  json.RawMessage `json:"role"`
	Name  json.RawMessage `json:"name"`
	Title json.RawMessage `json:"title"`
	Label json.RawMessage `json:"label"`
}

// any is the first of the usual properties that holds a text.
func (n jsonNames) any() string { return cmp.Or(textOf(n.Name), textOf(n.Title), textOf(n.Label)) }

// textOf reads a JSON string or number as a text; all else is empty.
func textOf(raw json.RawMessage) string {
	var text string
	if json.Unmarshal(raw, &text) == nil {
		return text
	}
	var number json.Number
	if json.Unmarshal(raw, &number) == nil {
		return number.String()
	}
	return ""
}

// geometry adds what a geometry encloses to an outline.
func (r jsonReader) geometry(raw json.RawMessage, found *outline, depth int) error {
	var g jsonObject
	if err := json.Unmarshal(raw, &g); err != nil {
		return notGeoJSON("the geometry is not an object as GeoJSON has it", found.place)
	}
	switch g.Type {
	case "":
		if string(raw) == "null" {
			return nil
		}
		return notGeoJSON("the geometry has no type", found.place)
	case "Point", "MultiPoint":
		return nil
	case "GeometryCollection":
		return r.geometries(g.Geometries, found, depth+1)
	case "Polygon", "MultiPolygon", "LineString", "MultiLineString":
		return r.shape(g, found)
	}
	return notGeoJSON(fmt.Sprintf("there is no geometry of type %.40q", g.Type), found.place)
}

func (r jsonReader) geometries(raw json.RawMessage, found *outline, depth int) error {
	if depth > maxCollectionDepth {
		return fault.New("too_deep", "geometry collections are nested too deep", "export the file again").
			Of(fault.TooLarge).At(found.place)
	}
	stream := json.NewDecoder(bytes.NewReader(raw))
	if start, err := stream.Token(); err != nil || start != json.Delim('[') {
		return notGeoJSON("the collection has no list of geometries", found.place)
	}
	for stream.More() {
		if r.members++; r.members > maxFeatures {
			return tooManyFeatures().At(found.place)
		}
		var member json.RawMessage
		if err := stream.Decode(&member); err != nil {
			return notGeoJSON(err.Error(), found.place)
		}
		if err := r.geometry(member, found, depth); err != nil {
			return err
		}
	}
	return nil
}

// shape reads the coordinates of a polygon or line. Every position opens one
// bracket, so counting brackets bounds the corners before they are decoded.
func (r jsonReader) shape(g jsonObject, found *outline) error {
	if err := r.addCorners(bytes.Count(g.Coordinates, []byte("[")), found.place); err != nil {
		return err
	}
	polygons, wrong := decodeCoordinates(g.Type, g.Coordinates)
	if wrong != nil {
		wrong.Where.Feature = found.place.Feature
		return wrong
	}
	if strings.HasSuffix(g.Type, "Polygon") {
		found.parts = append(found.parts, polygons...)
		return nil
	}
	for _, line := range polygons[0] {
		r.addLine(found.name, orb.LineString(line), found.place)
	}
	return nil
}

// position is one coordinate pair as it stands in the text. json.Number keeps
// a number out of range, and a null, apart from a zero.
type position []json.Number

// decodeCoordinates reads the coordinates of any of the four shapes. Lines
// come back as the rings of one polygon.
func decodeCoordinates(kind string, raw json.RawMessage) (orb.MultiPolygon, *fault.Error) {
	var polygons [][][]position
	var err error
	switch kind {
	case "MultiPolygon":
		err = json.Unmarshal(raw, &polygons)
	case "LineString":
		polygons = [][][]position{{nil}}
		err = json.Unmarshal(raw, &polygons[0][0])
	default:
		polygons = make([][][]position, 1)
		err = json.Unmarshal(raw, &polygons[0])
	}
	if err != nil {
		return nil, fault.New("bad_coordinates", fmt.Sprintf("the coordinates are not those of a %s", kind), "export the file again")
	}
	shape := make(orb.MultiPolygon, len(polygons))
	for i, rings := range polygons {
		shape[i] = make(orb.Polygon, len(rings))
		for j, ring := range rings {
			points, wrong := pointsOf(ring)
			if wrong != nil {
				wrong.Where.Ring = j + 1
				return nil, wrong
			}
			shape[i][j] = points
		}
	}
	return shape, nil
}

func pointsOf(positions []position) (orb.Ring, *fault.Error) {
	ring := make(orb.Ring, len(positions))
	for i, p := range positions {
		if len(p) < 2 {
			return nil, fault.New("bad_coordinates", "a corner needs a longitude and a latitude", "export the file again").
				At(fault.Place{Vertex: i + 1})
		}
		for axis := range 2 {
			x, err := p[axis].Float64()
			if err != nil {
				return nil, fault.New("bad_number", fmt.Sprintf("%.40q is not a number of degrees", p[axis].String()),
					"correct this coordinate").At(fault.Place{Vertex: i + 1})
			}
			ring[i][axis] = x
		}
	}
	return ring, nil
}
