package print

import "strings"

// Lettering of the page, in points. Body text reads at arm's length; only
// cautions and sources are smaller.
var (
	titleText   = lettering{size: 23, bold: true}
	bigText     = lettering{size: 15, bold: true}
	valueText   = lettering{size: 13, bold: true}
	headingText = lettering{size: 10.5, bold: true}
	bodyText    = lettering{size: 10}
	strongText  = lettering{size: 10, bold: true}
	asideText   = lettering{size: 9}
	labelText   = lettering{size: 8.5}
	smallText   = lettering{size: 8}
	smallStrong = lettering{size: 8, bold: true}
	tinyText    = lettering{size: 6.5}
)

// leading is the distance between base lines over the size of the type.
const leading = 1.24

func lineHeight(l lettering) float64 { return l.size * mmPerPoint * leading }

// column is a strip of the page that text runs down; y is its next free line.
type column struct {
	s    surface
	x, y float64
	w    float64
}

// say sets words, broken into lines, and moves down.
func (c *column) say(words string, l lettering) {
	for _, line := range wrap(c.s, words, c.w, l) {
		c.y += lineHeight(l)
		c.s.text(point{c.x, c.y - 0.25*lineHeight(l)}, line, l)
	}
}

// heading sets a section's name over a rule.
func (c *column) heading(words string) {
	c.y += headingUp
	c.say(words, headingText)
	c.s.line([]point{{c.x, c.y + 0.2}, {c.x + c.w, c.y + 0.2}}, stroke{width: 0.5})
	c.y += 1
}

// figure sets a label and its value in large type, on one line where both fit.
func (c *column) figure(label, value string) {
	if value == "" {
		return
	}
	strong := valueText
	strong.align = right
	if c.s.width(label, labelText)+2+c.s.width(value, valueText) > c.w {
		c.say(label, labelText)
		c.y -= 0.4
		label = ""
	}
	c.y += lineHeight(valueText)
	base := c.y - 0.25*lineHeight(valueText)
	c.s.text(point{c.x, base}, label, labelText)
	c.s.text(point{c.x + c.w, base}, value, strong)
	c.y += 0.7
}

// pair sets words on the left and a figure against the right edge; the words
// wrap short of the figure.
func (c *column) pair(words, value string, l lettering) {
	strong := l
	strong.bold, strong.align = true, right
	taken := c.s.width(value, strong) + 3
	top := c.y
	narrow := column{s: c.s, x: c.x, y: c.y, w: c.w - taken}
	narrow.say(words, l)
	c.s.text(point{c.x + c.w, top + 0.75*lineHeight(l)}, value, strong)
	c.y = max(narrow.y, top+lineHeight(l))
}

func (c *column) gap(mm float64) { c.y += mm }

// bullet sets words with a dash hanging left of them.
func (c *column) bullet(words string, l lettering) {
	const hang = 2.6
	c.s.text(point{c.x, c.y + 0.75*lineHeight(l)}, "–", l)
	inner := column{s: c.s, x: c.x + hang, y: c.y, w: c.w - hang}
	inner.say(words, l)
	c.y = inner.y
}

// wrap breaks words into lines no wider than w; a single word that is wider is
// broken where it must be, so that nothing runs off the page.
func wrap(s surface, words string, w float64, l lettering) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(words) {
		joined := strings.TrimSpace(line + " " + word)
		if s.width(joined, l) <= w {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		var full []string
		full, line = split(s, word, w, l)
		lines = append(lines, full...)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// split cuts a word into full lines and a rest that fits.
func split(s surface, word string, w float64, l lettering) (full []string, rest string) {
	for _, r := range word {
		if rest != "" && s.width(rest+string(r), l) > w {
			full = append(full, rest)
			rest = ""
		}
		rest += string(r)
	}
	return full, rest
}

// blank measures like another surface and draws nothing; it tells how high a
// section will be.
type blank struct{ surface }

func (blank) line([]point, stroke)              {}
func (blank) area([][]point, fill, stroke)      {}
func (blank) disc(point, float64, fill, stroke) {}
func (blank) text(point, string, lettering)     {}

// heightOf is how far a section moves down a column of width w.
func heightOf(s surface, w float64, section func(*column)) float64 {
	c := &column{s: blank{s}, w: w}
	section(c)
	return c.y
}
