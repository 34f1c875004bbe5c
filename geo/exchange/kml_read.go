package exchange

import (
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// kmlPlacemark is what is used of a placemark.
type kmlPlacemark struct {
	Name  string     `xml:"name"`
	Data  []kmlData  `xml:"ExtendedData>Data"`
	Typed []kmlTyped `xml:"ExtendedData>SchemaData>SimpleData"`
	kmlGeometry
}

type kmlData struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value"`
}

// kmlTyped is a value whose type a schema declares, as GDAL writes it.
type kmlTyped struct {
	Name  string `xml:"name,attr"`
	Value string `xml:",chardata"`
}

// role is the mark of ours, if the placemark has one.
func (p kmlPlacemark) role() string {
	for _, data := range p.Data {
		if data.Name == "role" {
			return strings.TrimSpace(data.Value)
		}
	}
	for _, data := range p.Typed {
		if data.Name == "role" {
			return strings.TrimSpace(data.Value)
		}
	}
	return ""
}

// kmlGeometry holds the geometries that may stand in a placemark or a
// MultiGeometry.
type kmlGeometry struct {
	Polygons []kmlPolygon  `xml:"Polygon"`
	Lines    []kmlLine     `xml:"LineString"`
	Rings    []kmlLine     `xml:"LinearRing"`
	Tracks   []kmlTrack    `xml:"Track"`            // of KML 2.3
	Multi    []kmlGeometry `xml:"MultiGeometry"`    // may nest; bounded by maxDepth
	Many     []kmlTrack    `xml:"MultiTrack>Track"` // of KML 2.3
}

type kmlPolygon struct {
	Outer kmlLine   `xml:"outerBoundaryIs>LinearRing"`
	Inner []kmlLine `xml:"innerBoundaryIs>LinearRing"`
}

type kmlLine struct {
	Coordinates string `xml:"coordinates"`
}

type kmlTrack struct {
	When  []string `xml:"when"`
	Coord []string `xml:"coord"`
}

type kmlReader struct {
	*collector
	stream *xmlStream
	links  []kmlLink
}

// kmlLink points to another document.
type kmlLink struct {
	Href string `xml:"Link>href"`
}

// readKML reads the placemarks of all folders and returns where links to
// other documents lead.
func readKML(data []byte, into *collector) (links []string, err error) {
	reader := &kmlReader{collector: into, stream: newXMLStream(data)}
	if err := reader.stream.each("kml", reader.start, func(string) {}); err != nil {
		return nil, err
	}
	for _, link := range reader.links {
		links = append(links, strings.TrimSpace(link.Href))
	}
	return links, nil
}

// readLoneKML reads a document that cannot have the documents beside it to
// which it may link.
func readLoneKML(data []byte, into *collector) error {
	links, err := readKML(data, into)
	if err == nil && len(links) > 0 && into.empty() {
		return fault.New("network_link", fmt.Sprintf("the file only points to another file, %.80q", links[0]),
			"open that file and send it itself")
	}
	return err
}

// start handles the start of an element.
func (r *kmlReader) start(token xml.StartElement) error {
	switch token.Name.Local {
	case "kml", "Document", "Folder":
		return nil
	case "name":
		var name string
		err := r.stream.DecodeElement(&name, &token)
		if r.name == "" {
			r.name = name
		}
		return err
	case "Placemark":
		return r.placemark(token)
	case "NetworkLink":
		var link kmlLink
		err := r.stream.DecodeElement(&link, &token)
		if len(r.links) < maxZipEntries { // an archive holds no more
			r.links = append(r.links, link)
		}
		return err
	}
	return r.stream.Skip()
}

func (r *kmlReader) placemark(token xml.StartElement) error {
	place, err := r.nextFeature(r.stream.line())
	if err != nil {
		return err
	}
	var mark kmlPlacemark
	if err := r.stream.DecodeElement(&mark, &token); err != nil {
		return err
	}
	if skipped(mark.role()) {
		return nil
	}
	found := outline{name: mark.Name, place: place}
	if err := r.geometry(mark.kmlGeometry, &found); err != nil {
		return err
	}
	if len(found.parts) > 0 {
		r.areas = append(r.areas, found)
	}
	return nil
}

// geometry adds what a geometry encloses to an outline.
func (r *kmlReader) geometry(g kmlGeometry, found *outline) error {
	for _, p := range g.Polygons {
		if err := r.polygon(p, found); err != nil {
			return err
		}
	}
	for _, l := range append(g.Lines, g.Rings...) {
		line, err := r.line(l, found.place)
		if err != nil {
			return err
		}
		r.addLine(found.name, line, found.place)
	}
	for _, t := range append(g.Tracks, g.Many...) {
		if err := r.track(t, found); err != nil {
			return err
		}
	}
	for _, member := range g.Multi {
		if err := r.geometry(member, found); err != nil {
			return err
		}
	}
	return nil
}

func (r *kmlReader) polygon(p kmlPolygon, found *outline) error {
	var polygon orb.Polygon
	for i, boundary := range append([]kmlLine{p.Outer}, p.Inner...) {
		place := found.place
		place.Ring = i + 1
		line, err := r.line(boundary, place)
		if err != nil {
			return err
		}
		polygon = append(polygon, orb.Ring(line))
	}
	found.parts = append(found.parts, polygon)
	return nil
}

// line reads the tuples of a coordinates element: longitude, latitude and
// perhaps altitude with commas between, and white space between tuples.
func (r *kmlReader) line(l kmlLine, place fault.Place) (orb.LineString, error) {
	var line orb.LineString
	for tuple := range strings.FieldsSeq(l.Coordinates) {
		place.Vertex = len(line) + 1
		if place.Vertex > geo.MaxCorners+1 { // the closing point is not counted
			return nil, geo.TooManyCorners().At(place)
		}
		lon, rest, _ := strings.Cut(tuple, ",")
		lat, _, _ := strings.Cut(rest, ",")
		point, err := kmlPoint(lon, lat, place)
		if err != nil {
			return nil, err
		}
		line = append(line, point)
	}
	return line, r.addCorners(len(line), place)
}

func kmlPoint(lon, lat string, place fault.Place) (orb.Point, error) {
	x, err1 := strconv.ParseFloat(lon, 64)
	y, err2 := strconv.ParseFloat(lat, 64)
	if err1 != nil || err2 != nil {
		return orb.Point{}, fault.New("bad_coordinates", fmt.Sprintf("%.40q is not a longitude and a latitude", lon+","+lat),
			"write each corner as longitude,latitude without a blank after the comma").At(place)
	}
	return orb.Point{x, y}, nil
}

// track reads a recording: times and positions in two lists of one length.
func (r *kmlReader) track(t kmlTrack, found *outline) error {
	if len(t.When) != len(t.Coord) {
		return fault.New("bad_track", fmt.Sprintf("the track has %d times for %d positions", len(t.When), len(t.Coord)),
			"export the file again").At(found.place)
	}
	points := make([]TrackPoint, 0, len(t.When))
	for i := range t.When {
		place := found.place
		place.Vertex = i + 1
		fields := strings.Fields(t.Coord[i])
		if len(fields) < 2 {
			fields = []string{"", ""}
		}
		at, err := kmlPoint(fields[0], fields[1], place)
		if err != nil {
			return err
		}
		if err := r.addFix(at, place); err != nil {
			return err
		}
		time, err := moment(t.When[i], place)
		if err != nil {
			return err
		}
		points = append(points, TrackPoint{LonLat: at, Time: time, AccuracyM: math.NaN(), HDOP: math.NaN(), EleM: math.NaN()})
	}
	if len(points) > 0 {
		r.tracks = append(r.tracks, recording{found.name, points, found.place})
	}
	return nil
}
