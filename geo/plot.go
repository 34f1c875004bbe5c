// Package geo measures plots on the WGS84 ellipsoid and lays them flat in a
// local east/north frame. It knows nothing of seed, files or servers.
package geo

import (
	"fmt"
	"strings"
	"unicode"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// Plot is one piece of ground: an outer ring and holes, in degrees of
// longitude and latitude on WGS84 (RFC 7946 order). A Plot made by NewPlot is
// valid: rings closed and simple, the outer ring counter-clockwise, holes
// clockwise and inside it. Across the antimeridian longitudes run past 180 so
// that neighbouring corners stay neighbours.
type Plot struct {
	Name    string
	Polygon orb.Polygon
}

// NewPlot checks an outline and brings it into the form that Plot promises.
// Rings may be open, wind either way and repeat a corner; coordinates are
// degrees of longitude and latitude. The polygon given is not changed. A plot
// that NewPlot made passes through it unchanged.
//
// The error is a *fault.Error whose code is one of: no_outline, not_finite,
// swapped_axes, projected, implausible, too_many_corners, too_few_corners,
// around_pole, too_wide, too_small, self_crossing, hole_crosses, hole_outside,
// holes_overlap, not_simple. Its place counts rings and corners as they were
// given.
func NewPlot(name string, polygon orb.Polygon) (Plot, error) {
	rings, err := checkedRings(polygon)
	if err != nil {
		return Plot{}, err
	}
	unroll(rings)
	if err := checkExtent(rings); err != nil {
		return Plot{}, err
	}
	if err := checkSimple(rings); err != nil {
		return Plot{}, err
	}
	plot := Plot{Name: CleanName(name), Polygon: wound(rings)}
	if area := plot.AreaM2(); area < minAreaM2 {
		return Plot{}, fault.New("too_small",
			fmt.Sprintf("the outline encloses %.2f square metres", max(area, 0)),
			"check that the coordinates are degrees and that the corners are those of a plot")
	}
	return plot, nil
}

// SplitPlots makes one plot of every polygon. Where there are several, each
// name gets its number.
func SplitPlots(name string, polygons orb.MultiPolygon) ([]Plot, error) {
	if len(polygons) == 0 {
		return nil, noOutline()
	}
	plots := make([]Plot, 0, len(polygons))
	for i, polygon := range polygons {
		part := name
		if len(polygons) > 1 {
			part = strings.TrimSpace(fmt.Sprintf("%s %d", name, i+1))
		}
		plot, err := NewPlot(part, polygon)
		if err != nil {
			if found, ok := fault.From(err); ok && len(polygons) > 1 {
				err = found.In(fmt.Sprintf("part %d", i+1))
			}
			return nil, err
		}
		plots = append(plots, plot)
	}
	return plots, nil
}

// OnePlot makes a plot of a multipolygon that holds a single polygon, and
// refuses one that holds several with the code several_parts.
func OnePlot(name string, polygons orb.MultiPolygon) (Plot, error) {
	if len(polygons) > 1 {
		return Plot{}, fault.New("several_parts",
			fmt.Sprintf("the outline has %d separate parts, and a plot is one piece of ground", len(polygons)),
			"ask for it to be split into separate plots, or keep one part")
	}
	plots, err := SplitPlots(name, polygons)
	if err != nil {
		return Plot{}, err
	}
	return plots[0], nil
}

// CornerCount is the number of distinct corners of all rings.
func (p Plot) CornerCount() int {
	n := 0
	for _, ring := range p.Polygon {
		n += len(ring) - 1
	}
	return n
}

// nameLimit keeps a name within one printed line.
const nameLimit = 120 // characters

// CleanName makes a name of one line: control characters and characters that
// XML cannot carry are dropped, runs of white space become one space, and
// what passes 120 characters is cut.
func CleanName(name string) string {
	kept := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == unicode.ReplacementChar, r == 0xFFFE, r == 0xFFFF:
			return -1
		}
		return r
	}, name)
	words := strings.Join(strings.Fields(kept), " ")
	if runes := []rune(words); len(runes) > nameLimit {
		words = strings.TrimSpace(string(runes[:nameLimit]))
	}
	return words
}
