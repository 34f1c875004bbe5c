package geo

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// angle is one coordinate as people write it: decimal degrees, or degrees,
// minutes and seconds with their marks; a letter of the compass may stand
// before or after.
var angle = regexp.MustCompile(`(?i)([NSEW])?\s*([-+−]?\d+(?:\.\d+)?)(?:\s*[°d]\s*(?:(\d+(?:\.\d+)?)\s*['′m]\s*(?:(\d+(?:\.\d+)?)\s*(?:["″s]|''|′′))?)?)?\s*([NSEW])?`)

// between is what may stand between the coordinates of a line.
var between = regexp.MustCompile(`^[\s,;()\[\]]*$`)

// ParseCoordinates reads the corners of an outline from text: one position to
// a line, or several on a line parted by semicolons. Letters of the compass
// tell latitude from longitude; without them the order is longitude, latitude,
// or the reverse with latFirst. The ring is neither closed nor checked beyond
// its numbers. The fault's place counts lines.
func ParseCoordinates(text string, latFirst bool) (orb.Ring, error) {
	var ring orb.Ring
	for i, line := range strings.Split(text, "\n") {
		for _, one := range strings.Split(line, ";") {
			if between.MatchString(one) {
				continue
			}
			at, err := parsePosition(one, latFirst)
			if err != nil {
				return nil, err.At(fault.Place{Line: i + 1})
			}
			ring = append(ring, at)
			if len(ring) > MaxCorners {
				return nil, TooManyCorners()
			}
		}
	}
	if len(ring) == 0 {
		return nil, noOutline()
	}
	return ring, nil
}

// parsePosition reads two coordinates and nothing else.
func parsePosition(text string, latFirst bool) (orb.Point, *fault.Error) {
	found := angle.FindAllStringSubmatchIndex(text, -1)
	left := text
	for i := len(found) - 1; i >= 0; i-- {
		left = left[:found[i][0]] + " " + left[found[i][1]:]
	}
	if len(found) != 2 || !between.MatchString(left) {
		return orb.Point{}, fault.New("coordinates", fmt.Sprintf("%q is not a pair of coordinates", strings.TrimSpace(text)),
			"write two numbers to a line, such as -95.0012, 44.0031")
	}
	first, firstAxis, err := parseAngle(angle.FindStringSubmatch(text[found[0][0]:found[0][1]]))
	if err != nil {
		return orb.Point{}, err
	}
	second, secondAxis, err := parseAngle(angle.FindStringSubmatch(text[found[1][0]:found[1][1]]))
	if err != nil {
		return orb.Point{}, err
	}
	if firstAxis == secondAxis && firstAxis != "" {
		return orb.Point{}, fault.New("coordinates", "both numbers are a "+firstAxis, "give one latitude and one longitude")
	}
	if firstAxis == "latitude" || secondAxis == "longitude" || latFirst && firstAxis == "" && secondAxis == "" {
		first, second = second, first
	}
	return orb.Point{first, second}, nil
}

// parseAngle turns the parts of a coordinate into degrees, and tells which
// axis its letter names.
func parseAngle(part []string) (degrees float64, axis string, _ *fault.Error) {
	letter := strings.ToUpper(part[1] + part[5])
	if len(letter) > 1 {
		return 0, "", fault.New("coordinates", fmt.Sprintf("%q has two letters of the compass", part[0]), "give it one")
	}
	number := strings.Replace(part[2], "−", "-", 1)
	var figures [3]float64
	for i, text := range []string{number, part[3], part[4]} {
		if text == "" {
			continue
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || i > 0 && x >= 60 {
			return 0, "", fault.New("coordinates", fmt.Sprintf("%q is out of range", text), "minutes and seconds are below 60")
		}
		figures[i] = x
	}
	degrees = math.Abs(figures[0]) + figures[1]/60 + figures[2]/3600
	if strings.HasPrefix(number, "-") {
		degrees = -degrees
	}
	switch letter {
	case "S", "W":
		degrees = -degrees
	}
	switch letter {
	case "N", "S":
		axis = "latitude"
	case "E", "W":
		axis = "longitude"
	}
	return degrees, axis, nil
}
