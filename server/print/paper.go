package print

import (
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

const face = "sheet" // the one type family on the page

// paper is a surface of PDF pages.
type paper struct{ pdf *fpdf.Fpdf }

// newPaper opens a document in millimetres. Its font carries Latin, Greek and
// Cyrillic, because plots are named in the language of their owner.
func newPaper(size Paper) *paper {
	pdf := fpdf.New("P", "mm", string(size), "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCatalogSort(true)
	pdf.AddUTF8FontFromBytes(face, "", goregular.TTF)
	pdf.AddUTF8FontFromBytes(face, "B", gobold.TTF)
	pdf.SetLineJoinStyle("round")
	pdf.SetLineCapStyle("butt")
	return &paper{pdf: pdf}
}

func (p *paper) line(points []point, s stroke) {
	if len(points) < 2 || s.width == 0 {
		return
	}
	p.pen(s)
	p.pdf.MoveTo(points[0].x, points[0].y)
	for _, q := range points[1:] {
		p.pdf.LineTo(q.x, q.y)
	}
	p.pdf.DrawPath("D")
}

func (p *paper) area(rings [][]point, f fill, s stroke) {
	style := inkStyle(f, s)
	if style == "" {
		return
	}
	p.pen(s)
	p.brush(f)
	for _, ring := range rings {
		p.trace(ring)
	}
	if f.grey >= 0 {
		style += "*" // fills by the even-odd rule
	}
	p.pdf.DrawPath(style)
}

func (p *paper) trace(ring []point) {
	for i, q := range ring {
		if i == 0 {
			p.pdf.MoveTo(q.x, q.y)
		} else {
			p.pdf.LineTo(q.x, q.y)
		}
	}
	p.pdf.ClosePath()
}

func (p *paper) disc(at point, radius float64, f fill, s stroke) {
	p.pen(s)
	p.brush(f)
	p.pdf.Circle(at.x, at.y, radius, inkStyle(f, s))
}

func (p *paper) text(at point, words string, l lettering) {
	p.letter(l)
	grey := greyByte(l.grey)
	p.pdf.SetTextColor(grey, grey, grey)
	p.pdf.Text(at.x-shift(l.align)*p.pdf.GetStringWidth(words), at.y, words)
}

func (p *paper) width(words string, l lettering) float64 {
	p.letter(l)
	return p.pdf.GetStringWidth(words)
}

func (p *paper) letter(l lettering) {
	weight := ""
	if l.bold {
		weight = "B"
	}
	p.pdf.SetFont(face, weight, l.size)
}

func (p *paper) pen(s stroke) {
	grey := greyByte(s.grey)
	p.pdf.SetDrawColor(grey, grey, grey)
	p.pdf.SetLineWidth(s.width)
	p.pdf.SetDashPattern(s.dash, 0)
}

func (p *paper) brush(f fill) {
	grey := greyByte(f.grey)
	p.pdf.SetFillColor(grey, grey, grey)
}

// inkStyle is the PDF path operator for what is to be drawn.
func inkStyle(f fill, s stroke) string {
	switch {
	case f.grey >= 0 && s.width > 0:
		return "DF"
	case f.grey >= 0:
		return "F"
	case s.width > 0:
		return "D"
	}
	return ""
}

func greyByte(grey float64) int { return int(max(grey, 0)*255 + 0.5) }

// shift is the share of its width that a text moves left for its alignment.
func shift(a align) float64 {
	return map[align]float64{left: 0, centre: 0.5, right: 1}[a]
}
