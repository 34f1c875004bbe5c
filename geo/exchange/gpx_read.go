package exchange

import (
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// gpxPoint is what is used of a GPX wptType. Texts are parsed here rather
// than by the decoder, so that a fault names the point and its line.
type gpxPoint struct {
	Lat      *string `xml:"lat,attr"`
	Lon      *string `xml:"lon,attr"`
	Ele      string  `xml:"ele"`
	Time     string  `xml:"time"`
	HDOP     string  `xml:"hdop"`
	Accuracy string  `xml:"extensions>accuracy"` // no part of GPX, but written by phones
}

// gpxLine is a track, a route, or all the waypoints.
type gpxLine struct {
	kind, name, role string
	points           []TrackPoint
	place            fault.Place
}

// gpxReader reads a GPX file element by element.
type gpxReader struct {
	*collector
	stream    *xmlStream
	current   *gpxLine  // the track or route that is being read
	lines     []gpxLine // tracks and routes in the order of the file
	waypoints gpxLine
}

// readGPX reads tracks, else routes, else waypoints in order.
func readGPX(data []byte, into *collector) error {
	reader := &gpxReader{collector: into, stream: newXMLStream(data)}
	if err := reader.stream.each("gpx", reader.start, reader.end); err != nil {
		return err
	}
	return reader.deliver()
}

// start handles the start of an element.
func (r *gpxReader) start(token xml.StartElement) error {
	switch name := token.Name.Local; name {
	case "gpx", "trkseg":
		return nil
	case "trk", "rte":
		place, err := r.nextFeature(r.stream.line())
		r.current = &gpxLine{kind: name, place: place}
		return err
	case "trkpt", "rtept":
		if r.current != nil {
			return r.point(token, r.current)
		}
	case "wpt":
		return r.point(token, &r.waypoints)
	case "metadata":
		var metadata struct {
			Name string `xml:"name"`
		}
		err := r.stream.DecodeElement(&metadata, &token)
		r.name = metadata.Name
		return err
	case "name", "type":
		return r.label(token)
	}
	return r.stream.Skip()
}

// end keeps the line that ends.
func (r *gpxReader) end(name string) {
	if (name == "trk" || name == "rte") && r.current != nil {
		r.lines = append(r.lines, *r.current)
		r.current = nil
	}
}

// label takes the name or type of the line that is being read.
func (r *gpxReader) label(token xml.StartElement) error {
	var text string
	if err := r.stream.DecodeElement(&text, &token); err != nil {
		return err
	}
	switch {
	case r.current == nil && token.Name.Local == "name":
		r.name = text // GPX 1.0 names the file in its root element
	case r.current == nil:
	case token.Name.Local == "name":
		r.current.name = text
	default:
		r.current.role = strings.TrimSpace(text)
	}
	return nil
}

// point reads one position.
func (r *gpxReader) point(token xml.StartElement, into *gpxLine) error {
	line := r.stream.line()
	var raw gpxPoint
	if err := r.stream.DecodeElement(&raw, &token); err != nil {
		return err
	}
	place := fault.Place{Feature: into.place.Feature, Vertex: len(into.points) + 1, Line: line}
	lon, err := degrees(raw.Lon, "lon", place)
	if err != nil {
		return err
	}
	lat, err := degrees(raw.Lat, "lat", place)
	if err != nil {
		return err
	}
	point := TrackPoint{LonLat: orb.Point{lon, lat}, AccuracyM: figure(raw.Accuracy), HDOP: figure(raw.HDOP), EleM: figure(raw.Ele)}
	if err := r.addFix(point.LonLat, place); err != nil {
		return err
	}
	if point.Time, err = moment(raw.Time, place); err != nil {
		return err
	}
	into.points = append(into.points, point)
	return nil
}

// degrees parses the value of an attribute that must be there.
func degrees(text *string, attribute string, place fault.Place) (float64, error) {
	place.Field = attribute
	if text == nil {
		return 0, fault.New("bad_coordinates", "the point has no "+attribute, "export the file again").At(place)
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(*text), 64)
	if err != nil {
		return 0, fault.New("bad_number", fmt.Sprintf("%.40q is not a number of degrees", *text), "correct this coordinate").At(place)
	}
	return x, nil
}

// figure parses a number that only helps; NaN when it is missing or broken.
func figure(text string) float64 {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}

// moment parses an XML Schema dateTime; without a zone it is taken as UTC,
// which GPX 1.1 prescribes. An empty text is the zero time.
func moment(text string, place fault.Place) (time.Time, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return time.Time{}, nil
	}
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05.999999999"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.UTC(), nil
		}
	}
	place.Field = "time"
	return time.Time{}, fault.New("bad_time", fmt.Sprintf("%.40q is not a date and time", text),
		"write times as 2026-04-30T17:05:00Z").At(place)
}

// deliver hands the lines over: the first kind that there is of tracks,
// routes and waypoints. Our own files say by the type of a line what it is.
func (r *gpxReader) deliver() error {
	lines := r.chosen()
	for _, line := range lines {
		if timed(line.points) && line.kind == "trk" {
			r.tracks = append(r.tracks, recording{line.name, line.points, line.place})
			continue
		}
		if err := r.addCorners(len(line.points), line.place); err != nil {
			return err
		}
		ring := orb.Ring(outlineOf(line.points))
		if n := len(r.areas); line.role == roleHole && n > 0 {
			r.areas[n-1].parts[0] = append(r.areas[n-1].parts[0], ring)
			continue
		}
		r.areas = append(r.areas, outline{line.name, orb.MultiPolygon{{ring}}, line.place})
	}
	return nil
}

func (r *gpxReader) chosen() []gpxLine {
	for _, kind := range []string{"trk", "rte"} {
		var lines []gpxLine
		for _, line := range r.lines {
			if line.kind == kind && len(line.points) > 0 && !skipped(line.role) {
				lines = append(lines, line)
			}
		}
		if len(lines) > 0 {
			return lines
		}
	}
	if len(r.waypoints.points) > 0 && len(r.lines) == 0 {
		r.waypoints.name = r.name
		return []gpxLine{r.waypoints}
	}
	return nil
}
