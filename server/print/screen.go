package print

import (
	"fmt"
	"html"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// screen is a surface that writes SVG; one user unit is one millimetre.
type screen struct {
	b    strings.Builder
	face font.Face // measures text at a size of 1,000 units
}

func newScreen() (*screen, error) {
	parsed, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("reading the built-in font: %w", err)
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: 1000, DPI: 72})
	if err != nil {
		return nil, fmt.Errorf("sizing the built-in font: %w", err)
	}
	return &screen{face: face}, nil
}

func (s *screen) line(points []point, k stroke) {
	if len(points) < 2 || k.width == 0 {
		return
	}
	fmt.Fprintf(&s.b, `<path d="%s" fill="none"%s/>`+"\n", svgPath(points, false), svgStroke(k))
}

func (s *screen) area(rings [][]point, f fill, k stroke) {
	var d strings.Builder
	for _, ring := range rings {
		d.WriteString(svgPath(ring, true))
	}
	fmt.Fprintf(&s.b, `<path d="%s" fill-rule="evenodd"%s%s/>`+"\n", d.String(), svgFill(f), svgStroke(k))
}

func (s *screen) disc(at point, radius float64, f fill, k stroke) {
	fmt.Fprintf(&s.b, `<circle cx="%.2f" cy="%.2f" r="%.2f"%s%s/>`+"\n", at.x, at.y, radius, svgFill(f), svgStroke(k))
}

func (s *screen) text(at point, words string, l lettering) {
	weight := ""
	if l.bold {
		weight = ` font-weight="700"`
	}
	anchor := map[align]string{left: "start", centre: "middle", right: "end"}[l.align]
	fmt.Fprintf(&s.b, `<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="%s" fill="%s"%s>%s</text>`+"\n",
		at.x, at.y, l.size*mmPerPoint, anchor, svgGrey(l.grey), weight, html.EscapeString(words))
}

// width is measured with the regular weight; bold runs a few percent wider,
// which the drawing's margins absorb.
func (s *screen) width(words string, l lettering) float64 {
	advance := font.MeasureString(s.face, words)
	return float64(advance) / float64(fixed.I(1)) / 1000 * l.size * mmPerPoint
}

func svgPath(points []point, closed bool) string {
	var b strings.Builder
	for i, p := range points {
		verb := "L"
		if i == 0 {
			verb = "M"
		}
		fmt.Fprintf(&b, "%s%.2f %.2f", verb, p.x, p.y)
	}
	if closed {
		b.WriteString("Z")
	}
	return b.String()
}

func svgFill(f fill) string {
	if f.grey < 0 {
		return ` fill="none"`
	}
	return fmt.Sprintf(` fill="%s"`, svgGrey(f.grey))
}

func svgStroke(k stroke) string {
	if k.width == 0 {
		return ""
	}
	out := fmt.Sprintf(` stroke="%s" stroke-width="%.2f" stroke-linejoin="round"`, svgGrey(k.grey), k.width)
	if len(k.dash) > 0 {
		out += ` stroke-dasharray="` + strings.Trim(fmt.Sprint(k.dash), "[]") + `"`
	}
	return out
}

func svgGrey(grey float64) string {
	n := greyByte(grey)
	return fmt.Sprintf("#%02x%02x%02x", n, n, n)
}
