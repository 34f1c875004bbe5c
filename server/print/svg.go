package print

import (
	"fmt"
	"html"
	"io"

	"evenfall/agronomy"
)

// SVG writes the drawing of the plot and its passes, as on the printed page,
// as one scalable image. The size of a unit is a millimetre of that page.
func SVG(w io.Writer, sheet agronomy.Sheet) error {
	const wide, high = 124, 142
	s, err := newScreen()
	if err != nil {
		return err
	}
	box := rect{w: wide, h: high}
	drawMap(s, sheet, box, fitMap(sheet, box, 0))
	_, err = fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-label="%s" font-family="sans-serif">`+"\n%s</svg>\n",
		wide, high, html.EscapeString("passes over "+sheet.Plot), s.b.String())
	return err
}
