// Package passes lays the lines that a driver follows over a plot: laps along
// the edge, straight passes, and both. Lengths are metres in a local
// east/north frame.
package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Kind tells how a pass runs.
type Kind string

// The kinds of pass.
const (
	Lap      Kind = "lap"      // follows the edge all the way round at a fixed inset
	Straight Kind = "straight" // a straight line with the gate open
	Core     Kind = "core"     // along the axis of what the laps leave in the middle
)

// Pass is one continuous line driven with the gate open, in driving order.
// Order counts from one. A closed pass repeats its first point at the end.
type Pass struct {
	Order     int            `json:"order"`
	Kind      Kind           `json:"kind"`
	Line      orb.LineString `json:"line_m"`
	Closed    bool           `json:"closed"`
	Direction string         `json:"direction"` // clockwise, counter-clockwise, or a compass word
	LengthM   float64        `json:"length_m"`
	Flow      float64        `json:"flow"` // against the full rate; 0.5 for a half-gate pass
}

// Plan is every pass over a plot and the travel between them. Travel[i] leads
// to Passes[i] with the gate closed; it is empty where pass i starts where
// pass i-1 ends. BoundRatio is the path with the gate open over the least that
// any path can be, (A - pi s^2/4)/s.
type Plan struct {
	Name        string           `json:"name"`
	SpacingM    float64          `json:"spacing_m"`
	FirstInsetM float64          `json:"first_inset_m"`
	TurnRadiusM float64          `json:"turn_radius_m"`
	Passes      []Pass           `json:"passes"`
	Travel      []orb.LineString `json:"travel_m"`
	LengthM     float64          `json:"length_m"` // gate open
	TravelM     float64          `json:"travel_length_m"`
	Turns       int              `json:"turns"`
	BoundRatio  float64          `json:"bound_ratio"`
}

// BearingRad is that of the longest straight pass, clockwise from north, from 0
// to pi; false where none is straight.
func (p Plan) BearingRad() (rad float64, ok bool) {
	longest := 0.0
	for _, pass := range p.Passes {
		if pass.Kind == Straight && pass.LengthM > longest {
			a, b := pass.Line[0], pass.Line[len(pass.Line)-1]
			longest, rad = pass.LengthM, math.Atan2(b[0]-a[0], b[1]-a[1])
		}
	}
	if rad < 0 {
		rad += math.Pi
	}
	return rad, longest > 0
}

// KeepOff is a line that material must stay away from by a distance: water, a
// road, a neighbour.
type KeepOff struct {
	Name      string         `json:"name"`
	Line      orb.LineString `json:"line_m"`
	DistanceM float64        `json:"distance_m"`
}

// compassWords name the eight headings from north, clockwise.
var compassWords = [8]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}

// CompassWord names the heading from one point to another, to the nearest of
// eight. Points that coincide read as north.
func CompassWord(from, to orb.Point) string {
	bearing := math.Atan2(to[0]-from[0], to[1]-from[1]) // clockwise from north
	eighth := int(math.Round(bearing/(math.Pi/4))+8) % 8
	return compassWords[eighth]
}

// windingWord names the way round that a closed line runs.
func windingWord(line orb.LineString) string {
	if signedArea(line) < 0 {
		return "clockwise"
	}
	return "counter-clockwise"
}

// signedArea is the area within a closed line, square metres, positive when it
// runs counter-clockwise. It is taken about the first point to keep digits.
func signedArea(line []orb.Point) float64 {
	var twice float64
	for i := 1; i+1 < len(line); i++ {
		ax, ay := line[i][0]-line[0][0], line[i][1]-line[0][1]
		bx, by := line[i+1][0]-line[0][0], line[i+1][1]-line[0][1]
		twice += ax*by - ay*bx
	}
	return twice / 2
}

// lineLength is the length of a line in metres.
func lineLength(line []orb.Point) float64 {
	var sum float64
	for i := 1; i < len(line); i++ {
		sum += apart(line[i-1], line[i])
	}
	return sum
}

// apart is the distance of two places. Metres on a plot neither overflow nor
// underflow when squared, so the dearer care of math.Hypot is not needed.
func apart(a, b orb.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	return math.Sqrt(dx*dx + dy*dy)
}

// newPass makes a pass at full rate; a line that ends where it starts is
// closed.
func newPass(kind Kind, line orb.LineString) Pass {
	line = withoutRepeats(line)
	p := Pass{Kind: kind, Line: line, LengthM: lineLength(line), Flow: 1}
	p.Closed = kind == Lap && line[0] == line[len(line)-1]
	if p.Closed {
		p.Direction = windingWord(line)
	} else {
		p.Direction = CompassWord(line[0], line[len(line)-1])
	}
	return p
}

// withoutRepeats drops points that lie on the one before, as a cut on a corner
// leaves them: a pass has a heading at either end. A line without any is
// returned as it is.
func withoutRepeats(line orb.LineString) orb.LineString {
	for i := 1; i < len(line); i++ {
		if line[i] == line[i-1] {
			return slices.Compact(slices.Clone(line))
		}
	}
	return line
}

// LeastM is the least that any path can be driven with the gate open and still
// bring every point of an area within half a spacing: a disc of the spacing's
// diameter moved by L covers at most L s + pi s^2/4. It is not positive for a
// plot that one such disc could cover.
func LeastM(areaM2, spacingM float64) float64 {
	return (areaM2 - math.Pi*spacingM*spacingM/4) / spacingM
}

// Total numbers the passes in their order and works out the plan's lengths,
// turns and bound ratio for a plot's area in square metres. Call it again
// after changing passes or travel.
func (p *Plan) Total(areaM2 float64) {
	p.LengthM, p.TravelM, p.Turns = 0, 0, 0
	for i := range p.Passes {
		p.Passes[i].Order = i + 1
		p.LengthM += p.Passes[i].LengthM
	}
	for _, t := range p.Travel {
		p.TravelM += lineLength(t)
	}
	for _, b := range p.bends() {
		if b.angle >= sharpTurn {
			p.Turns++
		}
	}
	p.BoundRatio = 0
	if least := LeastM(areaM2, p.SpacingM); least > 0 {
		p.BoundRatio = p.LengthM / least
	}
}

// Time is how long the plan takes in seconds at a speed and at a slower one
// for the tight arcs of turns, both metres per second. Stops to refill are not
// counted.
func (p Plan) Time(speedMPS, turnSpeedMPS float64) float64 {
	if speedMPS <= 0 || turnSpeedMPS <= 0 {
		return math.Inf(1)
	}
	var turning float64
	for _, b := range p.bends() {
		turning += b.lengthM
	}
	return (p.LengthM+p.TravelM-turning)/speedMPS + turning/turnSpeedMPS
}

// sharpTurn is the least change of heading, radians, that a driver would call
// a turn: 45 degrees. Common practice, no source.
const sharpTurn = math.Pi / 4

// tightFactor says up to how many turning radii an arc makes a driver slow
// down. Common practice, no source.
const tightFactor = 2.1

// bend is one unbroken stretch of steering hard: its change of heading, summed
// without sign so that a pear-shaped turn is one, and its length.
type bend struct{ angle, lengthM float64 }

// bends finds the tight stretches along the whole drive, travel included. A
// bend ends where the machine runs straight for a turning radius.
func (p Plan) bends() []bend {
	var found []bend
	for i := range p.Passes {
		if i < len(p.Travel) {
			found = appendBends(found, p.Travel[i], p.TurnRadiusM, false)
		}
		found = appendBends(found, p.Passes[i].Line, p.TurnRadiusM, p.Passes[i].Closed)
	}
	return found
}

func appendBends(found []bend, line orb.LineString, radiusM float64, closed bool) []bend {
	var open bend
	n, since := len(line)-1, 0.0
	for i := 1; i < n || closed && i == n; i++ {
		next := i + 1
		if next > n {
			next = 1
		}
		since += apart(line[i-1], line[i])
		turn, reach := turnAt(line[i-1], line[i], line[next])
		if turn*radiusM*tightFactor < reach {
			continue
		}
		if since > radiusM && open.angle > 0 {
			found, open = append(found, open), bend{}
		}
		open.angle, open.lengthM, since = open.angle+turn, open.lengthM+reach, 0
	}
	if open.angle > 0 {
		found = append(found, open)
	}
	return found
}

// turnAt is the change of heading at b and the length of line that it stands
// for: the shorter neighbour's, because a lone corner is turned on the spot.
func turnAt(a, b, c orb.Point) (turn, reach float64) {
	ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], c[0]-b[0], c[1]-b[1]
	turn = math.Abs(math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy))
	return turn, math.Min(math.Hypot(ux, uy), math.Hypot(vx, vy))
}
