// Package print draws a sheet: one page of vectors for the ATV, and the same
// plot drawing as SVG for the screen. It computes nothing about seed or
// ground; all that it shows comes from the sheet.
package print

// point is a place on the paper in millimetres from its top left corner.
type point struct{ x, y float64 }

// rect is a box on the paper in millimetres.
type rect struct{ x, y, w, h float64 }

// stroke is how a line is inked: width in millimetres, grey from 0 (black) to
// 1 (white), and dashes in millimetres. A zero width draws no line.
type stroke struct {
	width float64
	grey  float64
	dash  []float64
}

// fill is how an area is inked; a negative grey leaves it bare.
type fill struct{ grey float64 }

var bare = fill{grey: -1}

// align is which part of a text stands at its point.
type align int

const (
	left align = iota
	centre
	right
)

// lettering is how text is set: size in points, one of two weights.
type lettering struct {
	size  float64
	bold  bool
	grey  float64
	align align
}

// surface is anything that a sheet can be drawn on. The paper, the screen and
// the tests' recorder are the three.
type surface interface {
	line(points []point, s stroke)
	area(rings [][]point, f fill, s stroke) // even-odd, so holes stay open
	disc(at point, radius float64, f fill, s stroke)
	text(at point, words string, l lettering) // at is on the base line
	width(words string, l lettering) float64  // millimetres
}

// millimetres per typographic point, by definition of the PDF point (1/72 in).
const mmPerPoint = 25.4 / 72
