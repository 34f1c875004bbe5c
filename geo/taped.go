package geo

import (
	"fmt"
	"math"
	"slices"

	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// TapedShape names the shape that taped or paced lengths make.
type TapedShape string

// The shapes, each with what its lengths are.
const (
	Rectangle TapedShape = "rectangle" // length, width
	Triangle  TapedShape = "triangle"  // the three sides
	Circle    TapedShape = "circle"    // diameter
	// Baseline is a straight line along which, at several places, the distance
	// to the edge was taken on either side: along, left and right in turn.
	// Along rises from place to place.
	Baseline TapedShape = "baseline"
)

// Tape is what a person measured with a tape or by pacing: the lengths that
// Shape asks for, in metres.
type Tape struct {
	Shape    TapedShape `json:"shape"`
	LengthsM []float64  `json:"lengths_m"`
}

// circleCorners is how many corners stand for a circle. Their radius is a
// little more than the circle's, so that the area is exact.
const circleCorners = 72

// Ring is the outline in metres, closed and counter-clockwise, with the first
// side or the baseline running north from the origin. The fault's field is
// lengths_m or shape.
func (t Tape) Ring() (orb.Ring, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	var ring orb.Ring
	l := t.LengthsM
	switch t.Shape {
	case Rectangle:
		ring = orb.Ring{{0, 0}, {l[1], 0}, {l[1], l[0]}, {0, l[0]}}
	case Triangle:
		ring = triangle(l[0], l[1], l[2])
	case Circle:
		ring = circle(l[0] / 2)
	default:
		ring = fromBaseline(l)
	}
	return append(ring, ring[0]), nil
}

// AreaM2 is the area that the lengths enclose; zero when they make no shape.
func (t Tape) AreaM2() float64 {
	ring, err := t.Ring()
	if err != nil {
		return 0
	}
	return flatArea(ring)
}

// UncertaintyM2 is one standard deviation of the area when every length was
// taken independently with a standard deviation that is a share of itself.
// First-order propagation, the derivatives taken numerically; a triangle so
// flat that its sides no longer close counts the change to its own side alone.
func (t Tape) UncertaintyM2(share float64) float64 {
	const step = 1e-6 // relative: far above rounding, far below any tape
	variance, area := 0.0, t.AreaM2()
	for i := range t.LengthsM {
		moved := Tape{t.Shape, slices.Clone(t.LengthsM)}
		moved.LengthsM[i] *= 1 + step
		if changed := moved.AreaM2(); changed > 0 {
			slope := (changed - area) / step
			variance += slope * slope * share * share
		}
	}
	return math.Sqrt(variance)
}

// Plot puts the shape on the ground: the middle of its box at a point in
// degrees, its first side or baseline turned to a bearing in degrees from
// north, clockwise.
func (t Tape) Plot(name string, at orb.Point, bearing float64) (Plot, error) {
	if err := CheckLonLat(at); err != nil {
		return Plot{}, err.In("at")
	}
	if math.IsNaN(bearing) || math.IsInf(bearing, 0) {
		return Plot{}, fault.New("bearing", "the bearing is not a number", "give degrees from north, clockwise").In("bearing")
	}
	ring, err := t.Ring()
	if err != nil {
		return Plot{}, err
	}
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	for i, p := range ring {
		ring[i] = orb.Point{p[0]*cos + p[1]*sin, p[1]*cos - p[0]*sin}
	}
	middle := ring.Bound().Center()
	for i, p := range ring {
		ring[i] = orb.Point{p[0] - middle[0], p[1] - middle[1]}
	}
	return NewPlot(name, NewFrame(at).LonLatPolygon(orb.Polygon{ring}))
}

func triangle(a, b, c float64) orb.Ring {
	north := (a*a + c*c - b*b) / (2 * a) // of the third corner along the first side
	west := math.Sqrt(math.Max(0, c*c-north*north))
	return orb.Ring{{0, 0}, {0, a}, {-west, north}}
}

func circle(radiusM float64) orb.Ring {
	const sector = 2 * math.Pi / circleCorners
	out := radiusM * math.Sqrt(sector/math.Sin(sector))
	ring := make(orb.Ring, circleCorners)
	for i := range ring {
		sin, cos := math.Sincos(float64(i) * sector)
		ring[i] = orb.Point{out * cos, out * sin}
	}
	return ring
}

// fromBaseline goes up the right side and comes back down the left. A place
// without width is one corner.
func fromBaseline(l []float64) orb.Ring {
	var ring orb.Ring
	for i := 0; i < len(l); i += 3 {
		ring = append(ring, orb.Point{l[i+2], l[i]})
	}
	for i := len(l) - 3; i >= 0; i -= 3 {
		if at := (orb.Point{-l[i+1], l[i]}); at != (orb.Point{l[i+2], l[i]}) {
			ring = append(ring, at)
		}
	}
	return ring
}

// flatArea is the area of a closed ring in metres, counter-clockwise.
func flatArea(ring orb.Ring) float64 {
	twice := 0.0
	for i := 1; i < len(ring); i++ {
		twice += ring[i-1][0]*ring[i][1] - ring[i][0]*ring[i-1][1]
	}
	return twice / 2
}

func tapeFault(what, remedy string) *fault.Error {
	return fault.New("taped", what, remedy).In("lengths_m")
}

func (t Tape) check() error {
	for i, l := range t.LengthsM {
		least := t.Shape != Baseline // along a baseline and beside it zero is a length
		if !(l >= 0 && l <= MaxWidthM) || least && l == 0 {
			return tapeFault(fmt.Sprintf("length %d of %g m is out of range", i+1, l),
				fmt.Sprintf("give metres above zero, at most %d", MaxWidthM))
		}
	}
	count := map[TapedShape]int{Rectangle: 2, Triangle: 3, Circle: 1}
	if want, known := count[t.Shape]; known {
		if len(t.LengthsM) != want {
			return tapeFault(fmt.Sprintf("a %s takes %d lengths, not %d", t.Shape, want, len(t.LengthsM)), "give each of them once")
		}
		return t.checkSides()
	}
	if t.Shape != Baseline {
		return fault.New("shape", fmt.Sprintf("%q is not a shape that is known", t.Shape),
			"use rectangle, triangle, circle or baseline").In("shape")
	}
	return t.checkBaseline()
}

// checkSides refuses three sides that make no triangle.
func (t Tape) checkSides() error {
	if t.Shape != Triangle {
		return nil
	}
	sides := slices.Sorted(slices.Values(t.LengthsM))
	if sides[2] >= sides[0]+sides[1] {
		return tapeFault(fmt.Sprintf("the side of %g m is as long as the other two together", sides[2]),
			"measure the three sides again: two of them must reach past the third")
	}
	return nil
}

// checkBaseline refuses places out of order and plots without width between
// their ends.
func (t Tape) checkBaseline() error {
	l, wide := t.LengthsM, false
	if len(l)%3 != 0 || len(l) < 6 {
		return tapeFault(fmt.Sprintf("a baseline with %d figures", len(l)),
			"give at least two places, each with how far along it is and the distances to the left and the right")
	}
	for i := 0; i < len(l); i += 3 {
		place, width := i/3+1, l[i+1]+l[i+2]
		if i > 0 && l[i] <= l[i-3] {
			return tapeFault(fmt.Sprintf("place %d lies no further along the baseline than the one before", place),
				"put the places in order, each further along")
		}
		if width == 0 && i > 0 && i+3 < len(l) {
			return tapeFault(fmt.Sprintf("at place %d the plot has no width", place), "measure it as two plots")
		}
		wide = wide || width > 0
	}
	if !wide {
		return tapeFault("the plot has no width at either end", "give a place between the ends with its width")
	}
	return nil
}
