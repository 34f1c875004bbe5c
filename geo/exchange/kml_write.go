package exchange

import (
	"image/color"
	"io"

	"evenfall/geo"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-kml/v3"
)

// Styles of a KML document: an outline without fill, so that the picture
// underneath shows, and lines that stand out on it.
var (
	outlineColour = color.RGBA{R: 255, G: 255, B: 255, A: 255}
	passColour    = color.RGBA{R: 255, G: 176, B: 0, A: 255}
)

// WriteKML writes KML 2.2: one document with a placemark for each plot, line,
// place and area, in that order.
func WriteKML(w io.Writer, o Output) error {
	document := kml.Document(kml.Name(geo.CleanName(o.Name)))
	if o.Note != "" {
		document.Add(kml.Description(geo.CleanName(o.Note)))
	}
	document.Add(
		kml.SharedStyle("plot", kml.LineStyle(kml.Color(outlineColour), kml.Width(3)), kml.PolyStyle(kml.Fill(false))),
		kml.SharedStyle("pass", kml.LineStyle(kml.Color(passColour), kml.Width(2))),
	)
	for _, p := range o.Plots {
		document.Add(kmlMark(p.Name, "", "#plot", rolePlot, nil, kmlShape(writtenOutline(p.Polygon))))
	}
	for _, l := range o.Lines {
		line := kml.LineString(kml.Tessellate(true), kmlCoordinates(writtenLine(l.Points)))
		document.Add(kmlMark(l.Name, l.Kind, "#pass", rolePass, l.Properties, line))
	}
	for _, p := range o.Places {
		point := kml.Point(kmlCoordinates(orb.LineString{writtenPoint(p.Point)}))
		document.Add(kmlMark(p.Name, p.Kind, "", rolePlace, p.Properties, point))
	}
	for _, a := range o.Areas {
		document.Add(kmlMark(a.Name, a.Kind, "", roleArea, a.Properties, kmlShape(writtenArea(a.Polygon))))
	}
	return kml.KML(document).WriteIndent(w, "", " ")
}

// kmlMark is a placemark with its children in the order of the schema.
func kmlMark(name, kind, style, role string, properties map[string]any, geometry kml.Element) kml.Element {
	mark := kml.Placemark(kml.Name(geo.CleanName(name)))
	if text := described(kind, properties); text != "" {
		mark.Add(kml.Description(text))
	}
	if style != "" {
		mark.Add(kml.StyleURL(style))
	}
	data := kml.ExtendedData(kml.Data("role", kml.Value(role)))
	for _, p := range sortedProperties(properties) {
		data.Add(kml.Data(p.name, kml.Value(p.value)))
	}
	mark.Add(data, geometry)
	return mark
}

func kmlShape(polygon orb.Polygon) kml.Element {
	shape := kml.Polygon(kml.Tessellate(true))
	for i, ring := range polygon {
		boundary := kml.LinearRing(kmlCoordinates(orb.LineString(ring)))
		if i == 0 {
			shape.Add(kml.OuterBoundaryIs(boundary))
		} else {
			shape.Add(kml.InnerBoundaryIs(boundary))
		}
	}
	return shape
}

func kmlCoordinates(line orb.LineString) kml.Element {
	coordinates := make([]kml.Coordinate, len(line))
	for i, p := range line {
		coordinates[i] = kml.Coordinate{Lon: p.Lon(), Lat: p.Lat()}
	}
	return kml.Coordinates(coordinates...)
}
