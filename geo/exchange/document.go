// Package exchange reads outlines and tracks from the files that people have
// and writes plots and pass lines for other programs. It reads GeoJSON
// (RFC 7946), GPX 1.1, KML 2.2, KMZ and zipped shapefiles, told apart by their
// content, and writes GeoJSON, GPX and KML. Every reader works within stated
// limits, so that no input costs more than seconds and some hundred megabytes.
package exchange

import (
	"math"
	"time"

	"evenfall/geo"
	"evenfall/geo/walk"

	"github.com/paulmach/orb"
)

// Format names a file format.
type Format string

// The formats that Read recognises.
const (
	GeoJSON   Format = "GeoJSON"
	GPX       Format = "GPX"
	KML       Format = "KML"
	KMZ       Format = "KMZ"
	Shapefile Format = "zipped shapefile"
)

// Limits of one file. All are ours; they keep the worst file that we could
// make under two seconds and 300 MB.
const (
	DefaultMaxBytes  = 16 << 20 // bytes of a file, and of what a KMZ unpacks to
	MaxOutlinePoints = 30_000   // corners of all outlines together
	MaxTrackPoints   = 100_000  // recorded positions: a day at one a second
	maxFeatures      = 50_000   // features, placemarks, tracks, members of collections
	maxElements      = 700_000  // XML elements: 100,000 positions with seven figures each
	maxDepth         = 64       // XML elements inside one another
	maxZipEntries    = 1_000    // files in a KMZ or zipped shapefile
)

// ReadOptions say how to read. The zero value takes the defaults.
type ReadOptions struct {
	// MaxBytes replaces DefaultMaxBytes when it is above zero.
	MaxBytes int64
	// Split makes a plot of every part of an outline of several parts,
	// instead of refusing it.
	Split bool
	// Name is used for a lone plot that the file does not name.
	Name string
}

// Document is what a file holds: at least one plot or one track.
type Document struct {
	Format Format
	Name   string // of the file's content; may be empty
	Plots  []geo.Plot
	Tracks []Track // timed recordings; GPX tracks and KML Track elements
}

// Track is a recording of positions with times. Plot is the index into the
// document's plots of the outline that its bare points make, or -1 where they
// make none, as a noisy recording may cross itself.
type Track struct {
	Name   string
	Points []TrackPoint
	Plot   int
}

// TrackPoint is one recorded position. Time is zero, AccuracyM, HDOP and EleM
// are NaN where the file does not give them.
type TrackPoint struct {
	LonLat    orb.Point // degrees
	Time      time.Time
	AccuracyM float64 // radius in metres, as the receiver states it
	HDOP      float64 // horizontal dilution of precision, no unit
	EleM      float64 // metres above sea level
}

// Fixes gives the track as package walk takes it: seconds since the first
// point that has a time, NaN for points without, accuracy 0 where unknown.
func (t Track) Fixes() []walk.Fix {
	fixes := make([]walk.Fix, len(t.Points))
	var start time.Time
	for i, p := range t.Points {
		fixes[i] = walk.Fix{LonLat: p.LonLat, TimeS: math.NaN()}
		if !math.IsNaN(p.AccuracyM) {
			fixes[i].AccuracyM = p.AccuracyM
		}
		if p.Time.IsZero() {
			continue
		}
		if start.IsZero() {
			start = p.Time
		}
		fixes[i].TimeS = p.Time.Sub(start).Seconds()
	}
	return fixes
}

// timed tells whether a recording has times to speak of: two different ones.
func timed(points []TrackPoint) bool {
	var first time.Time
	for _, p := range points {
		switch {
		case p.Time.IsZero():
		case first.IsZero():
			first = p.Time
		case !p.Time.Equal(first):
			return true
		}
	}
	return false
}

func outlineOf(points []TrackPoint) orb.LineString {
	line := make(orb.LineString, len(points))
	for i, p := range points {
		line[i] = p.LonLat
	}
	return line
}
