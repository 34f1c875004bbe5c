package print

import (
	"fmt"
	"io"
	"time"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
)

// Paper is the size of the page.
type Paper string

// The two sizes, as the PDF library names them.
const (
	Letter Paper = "Letter"
	A4     Paper = "A4"
)

// Valid tells whether the size is one of the two.
func (p Paper) Valid() bool { return p == Letter || p == A4 }

// size is the page in millimetres (ISO 216; US Letter is 8.5 by 11 in).
func (p Paper) size() (w, h float64) {
	if p == A4 {
		return 210, 297
	}
	return 215.9, 279.4
}

const (
	margin     = 11  // mm, inside what common printers can reach
	gutter     = 5   // mm between columns
	settingsW  = 60  // mm, the column beside the drawing
	leastMapH  = 92  // mm; loads move to a second page before the map shrinks below
	cautionsUp = 1.5 // mm above the cautions
	footerH    = 4   // mm
)

// PDF writes the sheet as a document of one page, or of two when the loads do
// not fit on the first. The bytes depend on nothing but the sheet and the size.
func PDF(w io.Writer, sheet agronomy.Sheet, size Paper) error {
	p := newPaper(size)
	stamp(p, sheet)
	pageW, pageH := size.size()
	for _, drawPage := range compose(p, sheet, pageW, pageH) {
		p.pdf.AddPage()
		drawPage(p)
	}
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("writing the printed sheet: %w", err)
	}
	return nil
}

// stamp gives the document its title and, so that the bytes repeat, the date
// of the job instead of the clock's.
func stamp(p *paper, sheet agronomy.Sheet) {
	p.pdf.SetTitle(sheet.Plot+", "+units.Date(sheet.Date), true)
	p.pdf.SetCreator("Evenfall", true)
	p.pdf.SetLang("en")
	day, err := time.Parse(time.DateOnly, sheet.Date)
	if err != nil {
		day = time.Unix(0, 0).UTC()
	}
	p.pdf.SetCreationDate(day)
	p.pdf.SetModificationDate(day)
}

// compose decides what stands on which page. Each page draws itself.
func compose(s surface, sheet agronomy.Sheet, pageW, pageH float64) []func(surface) {
	full := pageW - 2*margin
	half := (full - gutter) / 2
	loads := func(c *column) { drawLoads(c, sheet) }
	after := func(c *column) { drawGroundCheck(c, sheet); drawAfterwards(c, sheet) }
	cautions := cautionsHeight(s, sheet, full) + cautionsUp + footerH
	headerH := heightOf(s, full, func(c *column) { drawHeader(c, sheet) })
	room := pageH - 2*margin - headerH - cautions - leastMapH
	lower := max(heightOf(s, half, loads), heightOf(s, half, after))
	fits := lower <= room
	if !fits {
		lower = heightOf(s, half, after)
	}
	first := layout{sheet: sheet, pageW: pageW, pageH: pageH, headerH: headerH, lowerH: lower, cautionsH: cautions, loadsHere: fits}
	pages := []func(surface){first.draw}
	if !fits {
		pages = append(pages, func(s surface) { drawLoadsPage(s, sheet, full) })
	}
	return pages
}

// layout holds the heights that the first page was composed with.
type layout struct {
	sheet                      agronomy.Sheet
	pageW, pageH               float64
	headerH, lowerH, cautionsH float64
	loadsHere                  bool
}

func (l layout) draw(s surface) {
	full := l.pageW - 2*margin
	half := (full - gutter) / 2
	drawHeader(&column{s: s, x: margin, y: margin, w: full}, l.sheet)
	top := margin + l.headerH + 2
	bottom := l.pageH - margin - l.cautionsH
	mapBox := rect{margin, top, full - settingsW - gutter, bottom - l.lowerH - top - 2}
	s.area([][]point{corners(mapBox)}, bare, hairline)
	drawMap(s, l.sheet, mapBox)
	side := &column{s: s, x: mapBox.x + mapBox.w + gutter, y: top - 1.6, w: settingsW}
	drawSettings(side, l.sheet)
	drawEvenness(side, l.sheet, mapBox.y+mapBox.h-side.y)
	lower := bottom - l.lowerH
	loads := &column{s: s, x: margin, y: lower, w: half}
	if l.loadsHere {
		drawLoads(loads, l.sheet)
	} else {
		loads.heading("Loads")
		loads.say("See the second page.", bodyText)
	}
	after := &column{s: s, x: margin + half + gutter, y: lower, w: half}
	drawGroundCheck(after, l.sheet)
	drawAfterwards(after, l.sheet)
	drawCautions(s, l.sheet, rect{margin, bottom + cautionsUp, full, l.cautionsH - cautionsUp})
}

func drawLoadsPage(s surface, sheet agronomy.Sheet, w float64) {
	c := &column{s: s, x: margin, y: margin, w: w}
	c.say(sheet.Plot+", "+units.Date(sheet.Date)+": loads", bigText)
	drawLoads(c, sheet)
}
