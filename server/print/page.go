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
	settingsW  = 64  // mm, the column beside the drawing
	leastMapH  = 70  // mm; loads move to a second page before the drawing shrinks below
	cautionsUp = 1.5 // mm above the cautions
	footerH    = 4   // mm
	aroundMap  = 2   // mm above and below the drawing
	headingUp  = 1.6 // mm that a heading keeps above itself
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

// compose decides what stands on which page. Each page draws itself. Under the
// header the drawing stands above the loads, and beside them a column with the
// settings and what comes after; what does not fit moves to a second page.
func compose(s surface, sheet agronomy.Sheet, pageW, pageH float64) []func(surface) {
	l := layout{sheet: sheet, pageW: pageW, pageH: pageH}
	full, wide := l.widths()
	l.headerH = heightOf(s, full, l.header)
	l.cautionsH = cautionsHeight(s, sheet, full) + cautionsUp + footerH
	room := pageH - 2*margin - l.headerH - l.cautionsH - 2*aroundMap
	l.loadsH = heightOf(s, wide, l.loads)
	l.loadsHere = l.loadsH+leastMapH <= room
	l.fitAfter(s, room)
	if !l.loadsHere {
		l.loadsH = heightOf(s, wide, elsewhere("Pour"))
	}
	if l.loadsHere && l.afterHere {
		return []func(surface){l.draw}
	}
	return []func(surface){l.draw, l.drawSecond}
}

// layout holds what the pages were composed with.
type layout struct {
	sheet                      agronomy.Sheet
	pageW, pageH               float64
	headerH, loadsH, cautionsH float64
	loadsHere, afterHere       bool // on the first page
	aside                      lettering
}

// fitAfter finds whether what comes after stands on the first page: in the usual
// type, else in the small one.
func (l *layout) fitAfter(s surface, room float64) {
	room -= heightOf(s, settingsW, l.settings)
	for _, l.aside = range []lettering{asideText, smallText} {
		if l.afterHere = heightOf(s, settingsW, l.after) <= room; l.afterHere {
			return
		}
	}
	l.aside = asideText
}

// widths are of the whole page and of the drawing's column.
func (l layout) widths() (full, wide float64) {
	full = l.pageW - 2*margin
	return full, full - settingsW - gutter
}

func (l layout) header(c *column)   { drawHeader(c, l.sheet) }
func (l layout) settings(c *column) { drawSettings(c, l.sheet); drawEvenness(c, l.sheet) }
func (l layout) loads(c *column) {
	drawLoads(c, l.sheet)
	drawFindGate(c, l.sheet)
	drawMarks(c, l.sheet)
	drawSoilCheck(c, l.sheet)
}
func (l layout) after(c *column) {
	drawGroundCheck(c, l.sheet, l.aside)
	drawAfterwards(c, l.sheet, l.aside)
}

func (l layout) draw(s surface) {
	full, wide := l.widths()
	l.header(&column{s: s, x: margin, y: margin, w: full})
	top, bottom := margin+l.headerH+aroundMap, l.pageH-margin-l.cautionsH-aroundMap
	side := &column{s: s, x: margin + wide + gutter, y: top - headingUp, w: settingsW}
	l.settings(side)
	hereOr(l.afterHere, l.after, "Afterwards")(side)
	pictured := l.sheet.Evenness.Picture != nil
	beside := bottom-side.y >= leastPictureH+legendH
	if pictured && beside {
		drawEvennessPicture(side, l.sheet, bottom-side.y)
	}
	l.drawMapAndLoads(s, rect{margin, top, wide, bottom - top}, pictured && !beside)
	drawCautions(s, l.sheet, rect{margin, bottom + aroundMap + cautionsUp, full, l.cautionsH - cautionsUp})
}

// drawMapAndLoads draws the plot above the loads, with the evenness picture
// inset where it has no room beside them.
func (l layout) drawMapAndLoads(s surface, r rect, inset bool) {
	frame := rect{r.x, r.y, r.w, r.h - l.loadsH}
	s.area([][]point{corners(frame)}, bare, hairline)
	v := fitMap(l.sheet, frame, 0)
	if inset {
		corner, free := freeCorner(l.sheet, v, frame)
		if !free {
			v = fitMap(l.sheet, frame, insetW)
		}
		drawEvennessInset(s, l.sheet, corner)
	}
	drawMap(s, l.sheet, frame, v)
	hereOr(l.loadsHere, l.loads, "Pour")(&column{s: s, x: r.x, y: r.y + frame.h, w: r.w})
}

func hereOr(here bool, section func(*column), name string) func(*column) {
	if here {
		return section
	}
	return elsewhere(name)
}

// elsewhere stands for a section that moved to the second page.
func elsewhere(name string) func(*column) {
	return func(c *column) {
		c.heading(name)
		c.say("See the second page.", bodyText)
	}
}

func (l layout) drawSecond(s surface) {
	full, wide := l.widths()
	title := &column{s: s, x: margin, y: margin, w: full}
	title.say(l.sheet.Plot+", "+units.Date(l.sheet.Date)+", second page", bigText)
	l.loads(&column{s: s, x: margin, y: title.y, w: wide})
	if !l.afterHere {
		l.after(&column{s: s, x: margin + wide + gutter, y: title.y, w: settingsW})
	}
}
