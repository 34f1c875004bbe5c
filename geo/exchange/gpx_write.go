package exchange

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"io"

	"evenfall/geo"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-gpx"
)

// creator is what our files say they were made by.
const creator = "evenfall"

// WriteGPX writes GPX 1.1: places as waypoints, the outline of each plot and
// of its holes as routes, and each line as a track of its own, numbered and
// named, in driving order. Areas are left out, as GPX has no element for them.
func WriteGPX(w io.Writer, o Output) error {
	file := &gpx.GPX{Version: "1.1", Creator: creator}
	if !o.Time.IsZero() { // the library writes a time whenever there is metadata
		file.Metadata = &gpx.MetadataType{Name: geo.CleanName(o.Name), Desc: geo.CleanName(o.Note), Time: o.Time.UTC()}
	}
	for _, p := range o.Places {
		waypoint := gpxPoints(orb.LineString{writtenPoint(p.Point)})[0]
		waypoint.Name, waypoint.Desc, waypoint.Type = geo.CleanName(p.Name), described(p.Kind, p.Properties), rolePlace
		file.Wpt = append(file.Wpt, waypoint)
	}
	for _, p := range o.Plots {
		file.Rte = append(file.Rte, gpxRoutes(p)...)
	}
	for i, l := range o.Lines {
		file.Trk = append(file.Trk, &gpx.TrkType{
			Name:   cmp.Or(geo.CleanName(l.Name), fmt.Sprintf("Pass %d", i+1)),
			Desc:   described(l.Kind, l.Properties),
			Number: max(l.Order, 0),
			Type:   rolePass,
			TrkSeg: []*gpx.TrkSegType{{TrkPt: gpxPoints(writtenLine(l.Points))}},
		})
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	if err := file.WriteIndent(w, "", " "); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// gpxRoutes writes the rings of a plot as routes whose type tells the outer
// ring from the holes.
func gpxRoutes(p geo.Plot) []*gpx.RteType {
	var routes []*gpx.RteType
	for i, ring := range writtenOutline(p.Polygon) {
		route := &gpx.RteType{Name: p.Name, Type: rolePlot, RtePt: gpxPoints(orb.LineString(ring))}
		if i > 0 {
			route.Name, route.Type = p.Name+" (hole)", roleHole
		}
		routes = append(routes, route)
	}
	return routes
}

func gpxPoints(line orb.LineString) []*gpx.WptType {
	points := make([]*gpx.WptType, len(line))
	for i, p := range line {
		points[i] = &gpx.WptType{Lon: p.Lon(), Lat: p.Lat()}
	}
	return points
}
