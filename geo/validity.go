package geo

import (
	"fmt"
	"math"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// Limits of what is taken for a plot. All are ours.
const (
	// MaxCorners bounds the work of checking: an outline of this many corners
	// whose edges all overlap each other's boxes is checked in half a second.
	// A walk of one fix a second reaches it after nearly three hours.
	MaxCorners = 10_000
	// MaxWidthM is the widest plot, east to west or north to south, in metres.
	MaxWidthM = 50_000
	// minAreaM2 is below anything that is planted by machine.
	minAreaM2 = 1.0
	// sameDeg is the distance in degrees below which two neighbouring corners
	// are one: a tenth of a millimetre, finer than any survey.
	sameDeg = 1e-9
)

// givenRing is a ring without its closing point that remembers which corner
// of the input each point was, so that faults name the corner the user knows.
type givenRing struct {
	points orb.Ring
	corner []int // 1-based, same length as points
}

func noOutline() *fault.Error {
	return fault.New("no_outline", "there is no outline", "draw or send at least one closed line around the plot")
}

// checkedRings checks each coordinate and drops closing points and repeats.
func checkedRings(polygon orb.Polygon) ([]givenRing, error) {
	if len(polygon) == 0 || len(polygon[0]) == 0 {
		return nil, noOutline()
	}
	total := 0
	for i, ring := range polygon {
		if total += len(ring); total > MaxCorners+len(polygon) {
			return nil, TooManyCorners().At(fault.Place{Ring: i + 1})
		}
	}
	rings := make([]givenRing, len(polygon))
	total = 0
	for i, ring := range polygon {
		for j, point := range ring {
			if err := CheckLonLat(point); err != nil {
				return nil, err.At(fault.Place{Ring: i + 1, Vertex: j + 1})
			}
		}
		rings[i] = distinct(ring)
		n := len(rings[i].points)
		if total += n; total > MaxCorners {
			return nil, TooManyCorners().At(fault.Place{Ring: i + 1})
		}
		if n < 3 {
			return nil, tooFewCorners(i, n).At(fault.Place{Ring: i + 1})
		}
	}
	return rings, nil
}

// TooManyCorners is the fault of an outline above MaxCorners, for decoders
// that stop before the whole outline is in memory.
func TooManyCorners() *fault.Error {
	return fault.New("too_many_corners",
		fmt.Sprintf("the outline has more than %d corners", MaxCorners),
		"simplify the line in the program it comes from; a corner every metre or two is plenty").Of(fault.TooLarge)
}

// CheckLonLat says what is wrong with a pair of degrees, or nil: not_finite,
// swapped_axes, projected or implausible. Longitudes up to 360 either way pass,
// because outlines that cross the antimeridian may count on.
func CheckLonLat(p orb.Point) *fault.Error {
	lon, lat := math.Abs(p.Lon()), math.Abs(p.Lat())
	switch {
	case math.IsNaN(lon) || math.IsNaN(lat) || math.IsInf(lon, 0) || math.IsInf(lat, 0):
		return fault.New("not_finite", "the coordinate is not a finite number", "export the file again, or correct this corner")
	case lat <= 90 && lon <= 360:
		return nil
	case lat <= 180 && lon <= 90:
		return fault.New("swapped_axes",
			fmt.Sprintf("%g cannot be a latitude: the axes look swapped", p.Lat()),
			"give longitude first, then latitude")
	case lat > 1000 || lon > 1000:
		return fault.New("projected",
			fmt.Sprintf("%g, %g look like metres or feet of a map grid, not degrees", p.Lon(), p.Lat()),
			"export the outline again as WGS84 longitude and latitude (EPSG:4326)")
	}
	return fault.New("implausible",
		fmt.Sprintf("%g, %g is not a longitude and latitude", p.Lon(), p.Lat()),
		"longitude lies within -180 to 180 and latitude within -90 to 90 degrees")
}

// tooFewCorners says so of the outline, or of what is left out.
func tooFewCorners(ring, corners int) *fault.Error {
	what, remedy := "the outline", "walk or draw all the way round it"
	if ring > 0 {
		what, remedy = "what is left out", "draw it with three corners or more, or take it away"
	}
	return fault.New("too_few_corners", fmt.Sprintf("%s has too few corners: %d, and 3 are needed", what, corners), remedy)
}

// distinct drops every point that repeats the one before it, and the closing
// point.
func distinct(ring orb.Ring) givenRing {
	kept := givenRing{make(orb.Ring, 0, len(ring)+1), make([]int, 0, len(ring)+1)}
	for i, p := range ring {
		if n := len(kept.points); n > 0 && same(kept.points[n-1], p) {
			continue
		}
		kept.points = append(kept.points, p)
		kept.corner = append(kept.corner, i+1)
	}
	for n := len(kept.points); n > 1 && same(kept.points[n-1], kept.points[0]); n-- {
		kept.points, kept.corner = kept.points[:n-1], kept.corner[:n-1]
	}
	return kept
}

func same(a, b orb.Point) bool {
	return math.Abs(math.Remainder(a[0]-b[0], 360)) < sameDeg && math.Abs(a[1]-b[1]) < sameDeg
}

// unroll shifts longitudes by whole turns so that neighbours lie less than
// half a turn apart, holes lie near the outer ring, and the westernmost
// corner of the outer ring lies from -180 up to 180.
func unroll(rings []givenRing) {
	outer := rings[0].points
	near := outer[0][0]
	for _, ring := range rings {
		last := near
		for i := range ring.points {
			last = nearTurn(ring.points[i][0], last)
			ring.points[i][0] = last
		}
	}
	west := outer.Bound().Min[0]
	turns := math.Round((west - wrapped(west)) / 360)
	if turns == 0 {
		return
	}
	for _, ring := range rings {
		for i := range ring.points {
			ring.points[i][0] -= 360 * turns
		}
	}
}

// nearTurn is the longitude that differs from lon by whole turns and lies
// nearest to the reference. It returns lon itself, bit for bit, where that
// is the answer.
func nearTurn(lon, reference float64) float64 {
	if turns := math.Round((lon - reference) / 360); turns != 0 {
		return lon - 360*turns
	}
	return lon
}

// wrapped brings a longitude into -180 up to 180.
func wrapped(lon float64) float64 {
	if lon = nearTurn(lon, 0); lon >= 180 {
		lon -= 360
	}
	return lon
}

// WrapLongitude brings a point that was unrolled across the antimeridian back
// to a longitude from -180 up to, but not including, 180 degrees.
func WrapLongitude(p orb.Point) orb.Point { return orb.Point{wrapped(p[0]), p[1]} }

// checkExtent refuses outlines that go around a pole or are too wide.
func checkExtent(rings []givenRing) error {
	outer := rings[0].points
	if math.Abs(outer[len(outer)-1][0]-outer[0][0]) > 180 {
		return fault.New("around_pole", "the outline goes around a pole", "keep plots away from the poles")
	}
	box := outer.Bound()
	if box.Max[0]-box.Min[0] < 180 && boxWidthM(box) < MaxWidthM {
		return nil
	}
	return fault.New("too_wide",
		fmt.Sprintf("the outline is wider than %d kilometres", MaxWidthM/1000),
		"check for a corner with a mistyped coordinate, or split the plot")
}

// boxWidthM is the larger side of a box of degrees in metres, taken on the
// parallel nearest the equator, where a degree of longitude is longest.
func boxWidthM(box orb.Bound) float64 {
	lat := 0.0
	if box.Min[1] > 0 || box.Max[1] < 0 {
		lat = math.Min(math.Abs(box.Min[1]), math.Abs(box.Max[1]))
	}
	eastWest := DistanceM(orb.Point{box.Min[0], lat}, orb.Point{box.Max[0], lat})
	northSouth := DistanceM(orb.Point{0, box.Min[1]}, orb.Point{0, box.Max[1]})
	return max(eastWest, northSouth)
}

// wound closes the rings and turns the outer one counter-clockwise and the
// holes clockwise (RFC 7946 section 3.1.6), each from its first corner.
func wound(rings []givenRing) orb.Polygon {
	polygon := make(orb.Polygon, len(rings))
	for i, given := range rings {
		ring := append(given.points, given.points[0])
		unwanted := orb.CCW
		if i == 0 {
			unwanted = orb.CW
		}
		if ring.Orientation() == unwanted {
			ring.Reverse()
		}
		polygon[i] = ring
	}
	return polygon
}
