package print

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
	"evenfall/geo/passes"
)

// Line weights of the drawing in millimetres, apart enough to be told on a
// grey, creased print.
var (
	edgeInk    = stroke{width: 0.9}
	holeInk    = stroke{width: 0.5}
	passInk    = stroke{width: 0.45}
	travelInk  = stroke{width: 0.25, grey: 0.35, dash: []float64{1, 1}}
	keepOffInk = stroke{width: 0.6, dash: []float64{3, 1, 0.6, 1}}
	hairline   = stroke{width: 0.2}
)

const (
	numberRadius = 2.4 // mm, the white disc behind a pass number
	arrowEvery   = 38  // mm of pass between arrows
	arrowLength  = 2.6 // mm
	mapMargin    = 6   // mm kept free round the plot for labels
)

// fitMap lays the plot into the box, some of whose right is kept free.
func fitMap(sheet agronomy.Sheet, box rect, free float64) view {
	return fit(sheet.Ground.Local[0], rect{box.x + mapMargin, box.y + mapMargin, box.w - 2*mapMargin - free, box.h - 2*mapMargin - 6})
}

// drawMap draws the plot with its passes into the box as the view lays it.
func drawMap(s surface, sheet agronomy.Sheet, box rect, v view) {
	drawGround(s, v, sheet.Ground)
	drawKeepOff(s, v, sheet.Ground, box)
	numbers := drawPasses(s, v, sheet.Drive.Plan, stopsOf(v, sheet.Drive))
	drawStops(s, v, sheet.Drive, numbers, box)
	drawNorth(s, v, point{box.x + box.w - 7, box.y + 9})
	drawScaleBar(s, v, sheet.System, point{box.x + 2, box.y + box.h - 3}, box.w/3)
}

func drawGround(s surface, v view, g agronomy.Ground) {
	s.area(v.polygon(g.Local), bare, edgeInk)
	for _, hole := range g.Local[1:] {
		ring := v.line(hole)
		s.area([][]point{ring}, fill{grey: 0.82}, holeInk)
		cross(s, middleOf(ring))
	}
}

// drawKeepOff draws what of the keep-off lines falls inside the box.
func drawKeepOff(s surface, v view, g agronomy.Ground, box rect) {
	inside := orb.Bound{Min: orb.Point{box.x + 1, box.y + 1}, Max: orb.Point{box.x + box.w - 1, box.y + box.h - 1}}
	for _, k := range g.KeepOff {
		for _, part := range clip.LineString(inside, paperLine(v.line(k.Line))) {
			line := make([]point, len(part))
			for i, p := range part {
				line[i] = point{p[0], p[1]}
			}
			s.line(line, keepOffInk)
			label(s, along(line, 0.5), k.Name, lettering{size: 8, align: centre})
		}
	}
}

func paperLine(points []point) orb.LineString {
	out := make(orb.LineString, len(points))
	for i, p := range points {
		out[i] = orb.Point{p.x, p.y}
	}
	return out
}

// cross marks an obstacle so that it reads even where grey prints white.
func cross(s surface, at point) {
	const arm = 1.2
	s.line([]point{{at.x - arm, at.y - arm}, {at.x + arm, at.y + arm}}, holeInk)
	s.line([]point{{at.x - arm, at.y + arm}, {at.x + arm, at.y - arm}}, holeInk)
}

// stopsOf are where the drive starts and where loads run out.
func stopsOf(v view, d agronomy.Drive) []point {
	stops := []point{v.at(d.Start)}
	for _, r := range d.Refills {
		stops = append(stops, v.at(r.At))
	}
	return stops
}

// drawPasses gives back where the passes' numbers stand, off the stops.
func drawPasses(s surface, v view, plan passes.Plan, stops []point) (numbers []point) {
	for _, leg := range plan.Travel {
		s.line(v.line(leg), travelInk)
	}
	lines := make([][]point, len(plan.Passes))
	for i, p := range plan.Passes {
		lines[i] = v.line(p.Line)
		s.line(lines[i], passInk)
	}
	for _, line := range lines {
		drawArrows(s, line)
	}
	taken := slices.Clone(stops)
	for i, line := range lines {
		at := freeSpot(line, taken)
		taken = append(taken, at)
		badge(s, at, fmt.Sprint(plan.Passes[i].Order))
	}
	return taken[len(stops):]
}

// badge is a number in a white disc that breaks the line under it.
func badge(s surface, at point, words string) {
	s.disc(at, numberRadius, fill{grey: 1}, hairline)
	s.text(point{at.x, at.y + 1.2}, words, lettering{size: 9.5, bold: true, align: centre})
}

// label is words on a white ground so that lines do not cross them.
func label(s surface, at point, words string, l lettering) {
	w, h := s.width(words, l)+1.4, l.size*mmPerPoint
	x := at.x - 0.7 - shift(l.align)*(w-1.4)
	s.area([][]point{{{x, at.y - h}, {x + w, at.y - h}, {x + w, at.y + 0.25*h}, {x, at.y + 0.25*h}}}, fill{grey: 1}, stroke{})
	s.text(at, words, l)
}

// freeSpot is the place along a line, early in its course, that is farthest
// from the numbers already set, so that neighbouring passes stay legible.
func freeSpot(line []point, taken []point) point {
	best, bestGap := along(line, 0.1), -1.0
	for _, share := range []float64{0.08, 0.2, 0.32, 0.44, 0.56, 0.68, 0.8} {
		at := along(line, share)
		gap := nearest(at, taken)
		if gap > 2.6*numberRadius {
			return at
		}
		if gap > bestGap {
			best, bestGap = at, gap
		}
	}
	return best
}

func nearest(at point, taken []point) float64 {
	gap := math.Inf(1)
	for _, t := range taken {
		gap = min(gap, math.Hypot(at.x-t.x, at.y-t.y))
	}
	return gap
}

// along is the point at a share of a line's length.
func along(line []point, share float64) point {
	p, _ := station(line, share*lengthOf(line))
	return p
}

func lengthOf(line []point) float64 {
	var sum float64
	for i := 1; i < len(line); i++ {
		sum += math.Hypot(line[i].x-line[i-1].x, line[i].y-line[i-1].y)
	}
	return sum
}

// station is the point and the heading at a distance along a line.
func station(line []point, distance float64) (at, heading point) {
	for i := 1; i < len(line); i++ {
		dx, dy := line[i].x-line[i-1].x, line[i].y-line[i-1].y
		step := math.Hypot(dx, dy)
		if step == 0 {
			continue
		}
		heading = point{dx / step, dy / step}
		if distance <= step {
			return point{line[i-1].x + heading.x*distance, line[i-1].y + heading.y*distance}, heading
		}
		distance -= step
	}
	return line[len(line)-1], heading
}

func drawArrows(s surface, line []point) {
	total := lengthOf(line)
	count := max(1, int(total/arrowEvery))
	for i := range count {
		at, heading := station(line, total*(float64(i)+0.5)/float64(count))
		arrow(s, at, heading, arrowLength, 0)
	}
}

// arrow is a solid head pointing along the heading.
func arrow(s surface, at, heading point, length, grey float64) {
	side := point{-heading.y, heading.x}
	back := point{at.x - heading.x*length, at.y - heading.y*length}
	s.area([][]point{{
		at,
		{back.x + side.x*length*0.42, back.y + side.y*length*0.42},
		{back.x - side.x*length*0.42, back.y - side.y*length*0.42},
	}}, fill{grey: grey}, stroke{})
}

// drawStops marks the start and the places where a load runs out; the words keep
// off what is taken.
func drawStops(s surface, v view, d agronomy.Drive, taken []point, box rect) {
	if len(d.Passes) == 0 {
		return
	}
	for _, r := range d.Refills {
		at := v.at(r.At)
		s.disc(at, numberRadius, fill{grey: 0}, stroke{})
		s.text(point{at.x, at.y + 1.1}, fmt.Sprintf("R%d", r.AfterLoad), lettering{size: 8, bold: true, grey: 1, align: centre})
	}
	at := v.at(d.Start)
	s.area([][]point{{{at.x, at.y - 2.4}, {at.x + 2.4, at.y}, {at.x, at.y + 2.4}, {at.x - 2.4, at.y}}}, fill{grey: 0}, stroke{})
	place, l := startWordPlace(s, at, taken, box)
	label(s, place, startWord, l)
}

const startWord = "START"

// startWordPlace is beside, above or below the start, or between these, within
// the drawing, where the word stays farthest from the numbers.
func startWordPlace(s surface, start point, taken []point, box rect) (point, lettering) {
	l := lettering{size: 9, bold: true}
	w := s.width(startWord, l)
	const aside, up, down, middle = 3.4, -4.0, 6.4, 1.2 // mm to the baseline
	left, right, above, below := start.x-aside-w, start.x+aside, start.y+up, start.y+down
	best, bestGap := point{right, start.y + middle}, -1.0
	for _, at := range []point{
		best, {left, start.y + middle}, {start.x - w/2, above}, {start.x - w/2, below},
		{right, above}, {left, above}, {right, below}, {left, below},
	} {
		if at.x < box.x+1 || at.x+w > box.x+box.w-1 || at.y < box.y+4 || at.y > box.y+box.h-1 {
			continue
		}
		gap := math.Inf(1)
		for _, share := range []float64{0, 0.5, 1} {
			gap = min(gap, nearest(point{at.x + share*w, at.y - middle}, taken))
		}
		if gap = min(gap, 2*numberRadius); gap > bestGap {
			best, bestGap = at, gap
		}
	}
	return best, l
}

func drawNorth(s surface, v view, at point) {
	n := v.north()
	const arm = 5
	tip, tail := point{at.x + n.x*arm, at.y + n.y*arm}, point{at.x - n.x*arm, at.y - n.y*arm}
	s.line([]point{tail, tip}, stroke{width: 0.5})
	arrow(s, tip, n, 3.6, 0)
	s.text(point{tail.x - n.x*3, tail.y - n.y*3 + 1.3}, "N", lettering{size: 10, bold: true, align: centre})
}

// drawScaleBar draws the longest round length that fits the width.
func drawScaleBar(s surface, v view, system units.System, at point, room float64) {
	unit, name := float64(units.Foot), "ft"
	if system == units.Metric {
		unit, name = 1, "m"
	}
	length := roundDown(room / v.scale / unit)
	w := length * unit * v.scale
	s.area([][]point{corners(rect{at.x, at.y - 1.2, w / 2, 1.2})}, fill{grey: 0}, hairline)
	s.area([][]point{corners(rect{at.x + w/2, at.y - 1.2, w / 2, 1.2})}, fill{grey: 1}, hairline)
	s.text(point{at.x + w + 1.5, at.y}, fmt.Sprintf("%g %s", length, name), lettering{size: 9})
}

// roundDown is the largest of 1, 2 or 5 times a power of ten not above x.
func roundDown(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, step := range []float64{5, 2, 1} {
		if step*power <= x {
			return step * power
		}
	}
	return power
}

func corners(r rect) []point {
	return []point{{r.x, r.y}, {r.x + r.w, r.y}, {r.x + r.w, r.y + r.h}, {r.x, r.y + r.h}}
}

func middleOf(ring []point) point {
	c := paperLine(ring).Bound().Center()
	return point{c[0], c[1]}
}
