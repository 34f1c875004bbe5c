package print

import (
	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
	"evenfall/geo/coverage"
)

// shade is one step of the evenness picture: what lies below the limit, in
// ratios to the target, prints in this grey. Heavier is darker.
type shade struct {
	below float64
	grey  float64
	words string
}

var shades = []shade{
	{0.75, 1, "under 3/4"},
	{0.9, 0.86, ""},
	{1.1, 0.68, "on target"},
	{1.25, 0.45, ""},
	{1e9, 0.15, "over 1 1/4"},
}

// drawEvenness says how even the chosen plan is.
func drawEvenness(c *column, sheet agronomy.Sheet) {
	e := sheet.Evenness
	c.heading("Evenness")
	c.pair("uneven by (CV)", units.Percent(e.CV), bodyText)
	c.pair("on target within 1/4", units.Percent(e.Within25), bodyText)
	c.pair("falls outside", units.Percent(e.OutsideShare), bodyText)
}

const (
	leastPictureH = 20 // mm; a smaller picture says nothing
	legendH       = 7  // mm
	scaleBarH     = 5  // mm, with what is written on it
)

// drawEvennessPicture shows what falls where, in the height that is left.
func drawEvennessPicture(c *column, sheet agronomy.Sheet, room float64) {
	picture := rect{c.x, c.y + 2, c.w, min(room-legendH-2, 0.8*c.w)}
	drawPicture(c.s, sheet, picture)
	c.y += picture.h + 2
	drawLegend(c)
}

const (
	insetW, insetH = 34, 27 // mm, the picture in a corner of the drawing
	insetGap       = 2.0    // mm from the frame
)

// freeCorner finds a corner of the frame that the plot leaves free for the
// inset; ok is false when there is none, and then the lower right is named.
func freeCorner(sheet agronomy.Sheet, v view, frame rect) (r rect, ok bool) {
	right, low := frame.x+frame.w-insetW-insetGap, frame.y+frame.h-insetH-insetGap
	for _, at := range []point{{right, low}, {frame.x + insetGap, frame.y + insetGap}, {frame.x + insetGap, low - scaleBarH}} {
		r = rect{at.x, at.y, insetW, insetH}
		if !v.meets(sheet.Ground.Local[0], r) {
			return r, true
		}
	}
	return rect{right, low, insetW, insetH}, false
}

// drawEvennessInset shows what falls where inside the drawing, for a page that
// has no other room for it.
func drawEvennessInset(s surface, sheet agronomy.Sheet, r rect) {
	drawPicture(s, sheet, rect{r.x, r.y, r.w, r.h - legendH - 1})
	drawLegend(&column{s: s, x: r.x, y: r.y + r.h - legendH, w: r.w})
}

func drawPicture(s surface, sheet agronomy.Sheet, r rect) {
	v := fit(sheet.Ground.Local[0], r)
	raster := sheet.Evenness.Picture
	for row := range raster.Rows {
		for col := range raster.Cols {
			if ratio := raster.Density[row*raster.Cols+col]; ratio >= 0 {
				s.area([][]point{v.line(cell(raster, col, row))}, fill{grey: greyOf(ratio)}, stroke{})
			}
		}
	}
	s.area(v.polygon(sheet.Ground.Local), bare, stroke{width: 0.4})
}

// cell is the ground square of one picture element.
func cell(r *coverage.Raster, col, row int) []orb.Point {
	x, y := r.OriginM[0]+float64(col)*r.CellM, r.OriginM[1]+float64(row)*r.CellM
	return []orb.Point{{x, y}, {x + r.CellM, y}, {x + r.CellM, y + r.CellM}, {x, y + r.CellM}}
}

func greyOf(ratio float64) float64 {
	for _, step := range shades {
		if ratio < step.below {
			return step.grey
		}
	}
	return 0
}

func drawLegend(c *column) {
	w := c.w / float64(len(shades))
	for i, step := range shades {
		x := c.x + float64(i)*w
		c.s.area([][]point{corners(rect{x, c.y + 0.8, w, 2.6})}, fill{grey: step.grey}, hairline)
		c.s.text(point{x + w/2, c.y + 6}, step.words, lettering{size: 6.5, align: centre})
	}
	c.y += 6.5
}
