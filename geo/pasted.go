package geo

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// ParseCoordinates reads the corners of an outline from text: one position to
// a line, or several on a line parted by semicolons. A coordinate is decimal
// degrees, or degrees, minutes and seconds with their marks. Letters of the
// compass tell latitude from longitude; without them the order is longitude,
// latitude, or the reverse with latFirst. The ring is neither closed nor
// checked beyond its numbers. The fault's place counts lines.
func ParseCoordinates(text string, latFirst bool) (orb.Ring, error) {
	var ring orb.Ring
	for i, line := range strings.Split(text, "\n") {
		for _, one := range strings.Split(line, ";") {
			p := position{rest: one, latFirst: latFirst}
			if p.skip(apart); p.rest == "" {
				continue
			}
			at, err := p.parse()
			if err != nil {
				return nil, err.At(fault.Place{Line: i + 1})
			}
			if ring = append(ring, at); len(ring) > MaxCorners {
				return nil, TooManyCorners()
			}
		}
	}
	if len(ring) == 0 {
		return nil, noOutline()
	}
	return ring, nil
}

const (
	apart     = " \t\r,()[]" // what may stand around the coordinates of a line
	blank     = " \t"
	latitude  = "latitude"
	longitude = "longitude"
)

// The marks of degrees, minutes and seconds. Doubled marks come first.
var (
	degreeMarks = []string{"°", "º", "d", "D"}
	minuteMarks = []string{"'", "′", "’", "m", "M"}
	secondMarks = []string{`"`, "″", "”", "''", "′′"}
)

// position is the text of one position, with what is left to read.
type position struct {
	rest     string
	latFirst bool
}

func (p *position) parse() (orb.Point, *fault.Error) {
	whole := strings.TrimSpace(p.rest)
	first, firstAxis, err := p.angle()
	if err != nil {
		return orb.Point{}, err
	}
	second, secondAxis, err := p.angle()
	if err != nil {
		return orb.Point{}, err
	}
	switch {
	case p.rest != "":
		return orb.Point{}, p.unread(whole)
	case firstAxis != "" && firstAxis == secondAxis:
		return orb.Point{}, fault.New("coordinates", "both numbers are a "+firstAxis, "give one latitude and one longitude")
	case firstAxis == latitude, secondAxis == longitude, p.latFirst && firstAxis == "" && secondAxis == "":
		first, second = second, first
	}
	return orb.Point{first, second}, nil
}

// unread says that a text is no position, with an example in the asked order.
func (p *position) unread(text string) *fault.Error {
	example := "-95.0012, 44.0031"
	if p.latFirst {
		example = "44.0031, -95.0012"
	}
	return fault.New("coordinates", fmt.Sprintf("%q is not a pair of coordinates", text), "write two numbers to a line, such as "+example)
}

// angle reads one coordinate and what stands after it, and tells which axis
// its letter names.
func (p *position) angle() (degrees float64, axis string, err *fault.Error) {
	all := p.rest
	sign, axis := p.letter()
	p.skip(blank)
	negative := p.take("-", "−")
	if !negative {
		p.take("+")
	}
	degrees, ok := p.number()
	if !ok {
		return 0, "", p.unread(strings.TrimSpace(all))
	}
	if p.skip(blank); p.take(degreeMarks...) {
		if err := p.parts(&degrees); err != nil {
			return 0, "", err
		}
	}
	if p.skip(blank); axis == "" {
		sign, axis = p.letter()
	}
	p.skip(apart)
	if negative {
		degrees = -degrees
	}
	return sign * degrees, axis, nil
}

// parts adds the minutes and seconds that follow the mark of degrees.
func (p *position) parts(degrees *float64) *fault.Error {
	worth := 1.0 / 60
	for _, marks := range [][]string{minuteMarks, secondMarks} {
		before := p.rest
		p.skip(blank)
		x, ok := p.number()
		p.skip(blank)
		if !ok || !p.take(marks...) {
			p.rest = before // the next coordinate's degrees
			return nil
		}
		if x >= 60 {
			return fault.New("coordinates", fmt.Sprintf("%g minutes or seconds are out of range", x), "minutes and seconds are below 60")
		}
		*degrees += x * worth
		worth /= 60
	}
	return nil
}

// letter takes a letter of the compass.
func (p *position) letter() (sign float64, axis string) {
	switch {
	case p.take("N", "n"):
		return 1, latitude
	case p.take("S", "s"):
		return -1, latitude
	case p.take("E", "e"):
		return 1, longitude
	case p.take("W", "w"):
		return -1, longitude
	}
	return 1, ""
}

// take drops the first of the words that the rest starts with.
func (p *position) take(words ...string) bool {
	for _, w := range words {
		if after, ok := strings.CutPrefix(p.rest, w); ok {
			p.rest = after
			return true
		}
	}
	return false
}

func (p *position) skip(characters string) { p.rest = strings.TrimLeft(p.rest, characters) }

// number takes digits with at most one point among them.
func (p *position) number() (float64, bool) {
	n := strings.IndexFunc(p.rest, func(r rune) bool { return r != '.' && (r < '0' || r > '9') })
	if n < 0 {
		n = len(p.rest)
	}
	x, err := strconv.ParseFloat(p.rest[:n], 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, false
	}
	p.rest = p.rest[n:]
	return x, true
}
