// Package geo measures plots on the WGS84 ellipsoid and lays them flat in a
// local east/north frame. It knows nothing of seed, files or servers.
package geo

import "github.com/paulmach/orb"

// Plot is one piece of ground: an outer ring and holes, in degrees of
// longitude and latitude on WGS84 (RFC 7946 order). A Plot made by NewPlot is
// valid: rings closed and simple, the outer ring counter-clockwise, holes
// clockwise and inside it. Across the antimeridian longitudes run past 180 so
// that neighbouring corners stay neighbours.
type Plot struct {
	Name    string
	Polygon orb.Polygon
}
