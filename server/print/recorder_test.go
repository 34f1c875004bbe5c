package print

import (
	"fmt"
	"strings"
)

// recorder is a surface that writes down what is drawn, a line each, to the
// tenth of a millimetre; the golden files are such records.
type recorder struct {
	measure surface // tells widths
	b       strings.Builder
}

func (r *recorder) note(format string, values ...any) { fmt.Fprintf(&r.b, format+"\n", values...) }

func (r *recorder) line(points []point, s stroke) {
	r.note("line %s width=%.2f grey=%.2f dash=%v", places(points), s.width, s.grey, s.dash)
}

func (r *recorder) area(rings [][]point, f fill, s stroke) {
	var all []string
	for _, ring := range rings {
		all = append(all, places(ring))
	}
	r.note("area %s fill=%.2f width=%.2f", strings.Join(all, " | "), f.grey, s.width)
}

func (r *recorder) disc(at point, radius float64, f fill, s stroke) {
	r.note("disc %s r=%.1f fill=%.2f width=%.2f", places([]point{at}), radius, f.grey, s.width)
}

func (r *recorder) text(at point, words string, l lettering) {
	r.note("text %s %q size=%.1f bold=%v align=%d grey=%.1f", places([]point{at}), words, l.size, l.bold, l.align, l.grey)
}

func (r *recorder) width(words string, l lettering) float64 { return r.measure.width(words, l) }

func places(points []point) string {
	var all []string
	for _, p := range points {
		all = append(all, fmt.Sprintf("%.1f,%.1f", p.x, p.y))
	}
	return strings.Join(all, " ")
}
