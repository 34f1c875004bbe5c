package exchange

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

// Output is what is written for other programs. Lines are written in the order
// in which they stand, which should be the driving order. The same Output
// gives the same bytes.
type Output struct {
	Name   string
	Note   string    // one or two sentences
	Time   time.Time // when it was made; left out when zero
	Plots  []geo.Plot
	Lines  []Line
	Places []Place
	Areas  []Area
}

// Line is one pass, or another line such as a keep-off line. Points are
// degrees. Order is the place in driving order, from one; zero for none.
type Line struct {
	Name       string
	Kind       string // lap, straight, core, travel, keep_off, or another word
	Order      int
	Points     orb.LineString
	Properties map[string]any // strings, booleans and finite numbers
}

// Place is a single spot: the start, a refill point.
type Place struct {
	Name       string
	Kind       string
	Point      orb.Point
	Properties map[string]any
}

// Area is a patch with figures, such as a place that gets too much. GPX cannot
// hold it and leaves it out.
type Area struct {
	Name       string
	Kind       string
	Polygon    orb.Polygon
	Properties map[string]any
}

// writtenPerDegree is the grid of coordinates that were worked out: 1e-8
// degrees, about a millimetre. Corners of plots are written with every digit,
// so that a plot read back is the same plot.
const writtenPerDegree = 1e8

func writtenPoint(p orb.Point) orb.Point {
	return geo.WrapLongitude(orb.Point{
		math.Round(p[0]*writtenPerDegree) / writtenPerDegree,
		math.Round(p[1]*writtenPerDegree) / writtenPerDegree,
	})
}

func writtenLine(line orb.LineString) orb.LineString {
	out := make(orb.LineString, len(line))
	for i, p := range line {
		out[i] = writtenPoint(p)
	}
	return out
}

func writtenArea(polygon orb.Polygon) orb.Polygon {
	out := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		out[i] = orb.Ring(writtenLine(orb.LineString(ring)))
	}
	return out
}

// writtenOutline wraps longitudes into -180 to 180 and keeps every digit.
func writtenOutline(polygon orb.Polygon) orb.Polygon {
	out := make(orb.Polygon, len(polygon))
	for i, ring := range polygon {
		out[i] = make(orb.Ring, len(ring))
		for j, p := range ring {
			out[i][j] = geo.WrapLongitude(p)
		}
	}
	return out
}

// property is one named figure of a feature.
type property struct{ name, value string }

// sortedProperties lists properties as texts in the order of their names.
func sortedProperties(properties map[string]any) []property {
	list := make([]property, 0, len(properties))
	for name, value := range properties {
		list = append(list, property{geo.CleanName(name), geo.CleanName(fmt.Sprint(value))})
	}
	slices.SortFunc(list, func(a, b property) int { return cmp.Compare(a.name, b.name) })
	return list
}

// described puts kind and properties into one line of text.
func described(kind string, properties map[string]any) string {
	var parts []string
	if kind != "" {
		parts = append(parts, kind)
	}
	for _, p := range sortedProperties(properties) {
		parts = append(parts, p.name+": "+p.value)
	}
	return strings.Join(parts, "; ")
}
