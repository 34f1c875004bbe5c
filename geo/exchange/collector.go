package exchange

import (
	"fmt"
	"strings"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// Roles mark what is ours in the files that we write, so that reading them
// back finds the plots and leaves the pass lines alone.
const (
	rolePrefix = "evenfall "
	rolePlot   = rolePrefix + "plot"
	roleHole   = rolePrefix + "hole"
	rolePass   = rolePrefix + "pass"
	rolePlace  = rolePrefix + "place"
	roleArea   = rolePrefix + "area"
)

// skipped tells whether a role of ours is something other than a plot.
func skipped(role string) bool {
	return strings.HasPrefix(role, rolePrefix) && role != rolePlot && role != roleHole
}

// outline is what may become one plot, or several when it has several parts.
type outline struct {
	name  string
	parts orb.MultiPolygon
	place fault.Place // feature and line
}

// collector gathers what a decoder finds and enforces the limits of a
// document while it is read.
type collector struct {
	name     string
	features int
	members  int       // of geometry collections
	areas    []outline // polygons
	loops    []outline // lines that close, used when there is no polygon
	tracks   []recording
	corners  int
	fixes    int
	openLine fault.Place // the first line that does not close
	hasOpen  bool
}

// recording is a GPX track, a route, or a KML track.
type recording struct {
	name   string
	points []TrackPoint
	place  fault.Place
}

// empty tells whether nothing was found that could be a plot or a track.
func (c *collector) empty() bool {
	return len(c.areas)+len(c.loops)+len(c.tracks) == 0 && !c.hasOpen
}

// nextFeature counts a feature, placemark or track.
func (c *collector) nextFeature(line int) (fault.Place, error) {
	c.features++
	place := fault.Place{Feature: c.features, Line: line}
	if c.features > maxFeatures {
		return place, tooManyFeatures().At(place)
	}
	return place, nil
}

func tooManyFeatures() *fault.Error {
	return fault.New("too_many_features", fmt.Sprintf("the file has more than %d features", maxFeatures),
		"keep only the outlines of your plots in it").Of(fault.TooLarge)
}

// addCorners counts corners of outlines before they are kept.
func (c *collector) addCorners(n int, place fault.Place) error {
	if n > geo.MaxCorners+maxRings {
		return geo.TooManyCorners().At(place)
	}
	if c.corners += n; c.corners > MaxOutlinePoints {
		return fault.New("too_many_corners", fmt.Sprintf("the outlines together have more than %d corners", MaxOutlinePoints),
			"keep fewer plots in one file, or simplify their lines").Of(fault.TooLarge).At(place)
	}
	return nil
}

// maxRings allows for the closing points of this many rings above
// geo.MaxCorners, which does not count them.
const maxRings = 1000

// addFix counts one recorded position and checks that it lies on the earth.
func (c *collector) addFix(p orb.Point, place fault.Place) error {
	if c.fixes++; c.fixes > MaxTrackPoints {
		return fault.New("too_many_points", fmt.Sprintf("the file has more than %d recorded points", MaxTrackPoints),
			"keep one recording in it, or record a point a second").Of(fault.TooLarge).At(place)
	}
	if wrong := geo.CheckLonLat(p); wrong != nil {
		return wrong.At(place)
	}
	return nil
}

// addLine keeps a line that closes as an outline and notes one that does not.
func (c *collector) addLine(name string, line orb.LineString, place fault.Place) {
	if n := len(line); n > 3 && line[0] == line[n-1] {
		c.loops = append(c.loops, outline{name, orb.MultiPolygon{{orb.Ring(line)}}, place})
		return
	}
	if !c.hasOpen {
		c.openLine, c.hasOpen = place, true
	}
}

// document makes plots of what was collected.
func (c *collector) document(format Format, o ReadOptions) (Document, error) {
	doc := Document{Format: format, Name: geo.CleanName(c.name)}
	outlines := c.areas
	if len(outlines) == 0 {
		outlines = c.loops
	}
	for _, found := range outlines {
		plots, err := plotsOf(found, o)
		if err != nil {
			return Document{}, err
		}
		doc.Plots = append(doc.Plots, plots...)
	}
	for _, r := range c.tracks {
		c.addTrack(&doc, r)
	}
	if len(doc.Plots) == 0 && len(doc.Tracks) == 0 {
		return Document{}, c.nothing()
	}
	nameAll(doc, o)
	return doc, nil
}

// nothing says what was missing.
func (c *collector) nothing() *fault.Error {
	if c.hasOpen {
		return fault.New("open_line", "the line does not come back to where it starts, so it encloses no plot",
			"close the line, or send it as a polygon").At(c.openLine)
	}
	return fault.New("no_outline", "the file holds no outline of a plot",
		"send a polygon, a closed line, or a recorded track around the plot")
}

// plotsOf checks one outline and adds to a fault where the outline lies in
// the file.
func plotsOf(found outline, o ReadOptions) ([]geo.Plot, error) {
	var plots []geo.Plot
	var err error
	if o.Split {
		plots, err = geo.SplitPlots(found.name, found.parts)
	} else {
		var one geo.Plot
		one, err = geo.OnePlot(found.name, found.parts)
		plots = []geo.Plot{one}
	}
	if wrong, ok := fault.From(err); ok {
		wrong.Where.Feature, wrong.Where.Line = found.place.Feature, found.place.Line
	}
	if err != nil {
		return nil, err
	}
	return plots, nil
}

// addTrack keeps a recording and, where its bare points make a valid outline,
// the plot of it. A recording of a walk may cross itself; then package walk
// has to make the plot.
func (c *collector) addTrack(doc *Document, r recording) {
	track := Track{Name: geo.CleanName(r.name), Points: r.points, Plot: -1}
	if c.addCorners(len(r.points), r.place) == nil {
		if plot, err := geo.NewPlot(r.name, orb.Polygon{orb.Ring(outlineOf(r.points))}); err == nil {
			track.Plot = len(doc.Plots)
			doc.Plots = append(doc.Plots, plot)
		}
	}
	doc.Tracks = append(doc.Tracks, track)
}

// nameAll gives every plot and track a name: its own, that of the options for
// a lone plot, or a number.
func nameAll(doc Document, o ReadOptions) {
	for i := range doc.Plots {
		if doc.Plots[i].Name != "" {
			continue
		}
		doc.Plots[i].Name = fmt.Sprintf("Plot %d", i+1)
		if lone := geo.CleanName(o.Name); lone != "" && len(doc.Plots) == 1 {
			doc.Plots[i].Name = lone
		}
	}
	for i := range doc.Tracks {
		track := &doc.Tracks[i]
		if track.Name == "" && track.Plot >= 0 {
			track.Name = doc.Plots[track.Plot].Name
		} else if track.Name == "" {
			track.Name = fmt.Sprintf("Track %d", i+1)
		}
	}
}
