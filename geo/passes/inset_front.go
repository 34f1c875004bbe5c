package passes

import (
	"math"

	"github.com/paulmach/orb"
)

// front is the edge of the ground on its way inward, every point at the same
// depth from what it left: straight pieces that left walls, arcs that left
// tips. A point that is nearest to some wall keeps that wall as its nearest
// all the way back to it, so a piece that another front has cut off never
// returns. Each depth therefore starts from the pieces of the one before, and
// only has to cut them shorter.
type front struct {
	walls  []wall
	tips   []tip
	wide   []int32 // tips that keep more room than their walls, and so cut others
	groups []box   // of groupSize walls each, to pass over far ones at once
	most   float64 // the largest extra room
	holeM  float64 // the extra room of holes

	pieces, next []piece
	cuts         []span
	near         []int32
	links        []int32
	taken        []bool
	rings        []chain
	order        []int32

	depth, area, edge float64 // of the last depth reached: metres, square metres, metres
	spread            float64 // by how much the edge can lengthen per metre of depth
	started           bool
	refuges           int // depths that the library had to stand in for
	ground            orb.Polygon
}

// piece is what is left of the front of one wall (part >= 0) or of tip ^part.
type piece struct {
	part     int32
	span     span
	from, to orb.Point
}

// chain is one ring of the front: a stretch of order, and its signed area.
type chain struct {
	from, to int32
	area     float64
}

const (
	groupSize   = 8
	leastPieceM = 1e-6 // shorter straight pieces are dropped: far below a survey's millimetre
	joinM       = 2e-5 // how far apart ends that meet may be computed
	leastRingM2 = 1e-4 // smaller rings are dropped: a square centimetre
)

func newFront(ground orb.Polygon, holeM, tipM float64) *front {
	f := &front{ground: ground, holeM: holeM, most: math.Max(holeM, tipM)}
	f.walls, f.tips = wallsAndTips(ground, holeM, tipM)
	for i := range f.walls {
		if i%groupSize == 0 {
			f.groups = append(f.groups, f.walls[i].box)
		}
		f.groups[len(f.groups)-1].add(f.walls[i].box)
	}
	for _, ring := range ground {
		f.area += signedArea(ring)
	}
	f.begin()
	return f
}

// begin puts a piece on every wall and tip, in their order round the rings.
func (f *front) begin() {
	f.pieces = make([]piece, 0, 2*(len(f.walls)+len(f.tips)))
	f.next = make([]piece, 0, cap(f.pieces))
	tipAt := 0
	for i := range f.walls {
		f.edge += f.walls[i].length
		f.pieces = append(f.pieces, piece{part: int32(i), span: span{0, f.walls[i].length}})
		if tipAt == len(f.tips) || f.tips[tipAt].before != int32(i) {
			continue
		}
		t := &f.tips[tipAt]
		f.pieces = append(f.pieces, piece{part: ^int32(tipAt), span: span{0, t.span}})
		f.spread += t.span
		if t.extraM > t.wallM {
			f.wide = append(f.wide, int32(tipAt))
			f.spread += math.Pi // its arc runs past the normals by less than a quarter turn each way
		}
		tipAt++
	}
}

// advance moves the front to a depth, not less than the last. It reports false,
// and stays where it was, when the pieces at that depth do not join into rings
// that could follow from the ones before.
func (f *front) advance(depth float64) bool {
	f.next = f.next[:0]
	for i := range f.pieces {
		f.cut(f.pieces[i], depth)
	}
	if !f.started && f.most > 0 {
		f.dropOutside(depth)
	}
	if !f.link() {
		return false
	}
	area, edge := f.measure(depth)
	if !f.follows(area, edge, depth-f.depth) {
		return false
	}
	f.pieces, f.next = f.next, f.pieces
	f.depth, f.area, f.edge, f.started = depth, area, edge, true
	return true
}

// follows says whether an area and an edge can come of the last ones a step
// further out. The area shrinks by the length of the edge at every depth
// between; the edge grows by no more than the tips' arcs do, and may shrink at
// once. A ring lost or invented breaks that. A first step with extra room is
// not a step from the ground's own edge, and says nothing.
func (f *front) follows(area, edge, step float64) bool {
	if !f.started && f.most > 0 {
		return true
	}
	grown := f.spread * step
	slack := 1e-6*f.area + 1e-3*step + leastRingM2*float64(1+len(f.walls))
	lost := f.area - area
	return lost <= step*(f.edge+grown)+slack && lost >= step*(edge-grown)-slack
}

// cut adds what is left of a piece at a depth to next.
func (f *front) cut(p piece, depth float64) {
	f.cuts = f.cuts[:0]
	if p.part < 0 {
		f.cutTip(p, depth)
	} else {
		f.cutWall(p, depth)
	}
}

// rivals lists the walls whose front could reach into a box at a depth.
func (f *front) rivals(here box, depth float64) []int32 {
	f.near = f.near[:0]
	for g := range f.groups {
		if here.apartBy(&f.groups[g], depth+f.most) {
			continue
		}
		for i := g * groupSize; i < min((g+1)*groupSize, len(f.walls)); i++ {
			if b := &f.walls[i]; !here.apartBy(&b.box, depth+b.extraM) {
				f.near = append(f.near, int32(i))
			}
		}
	}
	return f.near
}

func (f *front) cutWall(p piece, depth float64) {
	w := &f.walls[p.part]
	r := depth + w.extraM
	for _, i := range f.rivals(boxOf(w.point(p.span.lo, r), w.point(p.span.hi, r)), depth) {
		b := &f.walls[i]
		if i == p.part {
			continue
		}
		if c, ok := w.cutByWall(b, r, depth+b.extraM); ok {
			if c.lo <= p.span.lo && c.hi >= p.span.hi {
				return
			}
			f.cuts = append(f.cuts, c)
		}
	}
	for _, i := range f.wide {
		if c, ok := w.cutByDisc(f.tips[i].at, r, depth+f.tips[i].extraM); ok {
			f.cuts = append(f.cuts, c)
		}
	}
	f.keep(p.part, p.span, leastPieceM, depth)
}

func (f *front) cutTip(p piece, depth float64) {
	t := &f.tips[^p.part]
	r := depth + t.extraM
	whole := f.wholeTip(t, p.span, depth)
	middle, reach := t.point((whole.lo+whole.hi)/2, r), r*(whole.hi-whole.lo)/2
	here := box{middle[0] - reach, middle[1] - reach, middle[0] + reach, middle[1] + reach}
	for _, i := range f.rivals(here, depth) {
		b := &f.walls[i]
		if rho := depth + b.extraM; i != t.before && i != t.after && !b.beyond(middle, rho+reach) {
			f.cuts = t.cutByWall(f.cuts, b, r, rho)
		}
	}
	for _, i := range f.wide {
		if i != ^p.part {
			f.cuts = t.cutByPoint(f.cuts, f.tips[i].at, r, depth+f.tips[i].extraM)
		}
	}
	f.unwind((whole.lo + whole.hi) / 2)
	f.keep(p.part, whole, leastTipRad, depth)
}

// wholeTip is what a tip's own walls leave of its arc.
func (f *front) wholeTip(t *tip, was span, depth float64) span {
	slack := t.slack(depth)
	if slack == 0 {
		return was
	}
	if !f.started {
		return span{-slack, t.span + slack}
	}
	return span{math.Max(was.lo, -slack), math.Min(was.hi, t.span+slack)}
}

// unwind brings angular cuts to the turn nearest to a middle angle, and repeats
// those that reach round to the far side of it.
func (f *front) unwind(middle float64) {
	for i, n := 0, len(f.cuts); i < n; i++ {
		c := &f.cuts[i]
		shift := 2 * math.Pi * math.Round((middle-(c.lo+c.hi)/2)/(2*math.Pi))
		c.lo, c.hi = c.lo+shift, c.hi+shift
		if c.lo < middle-math.Pi {
			f.cuts = append(f.cuts, span{c.lo + 2*math.Pi, c.hi + 2*math.Pi})
		} else if c.hi > middle+math.Pi {
			f.cuts = append(f.cuts, span{c.lo - 2*math.Pi, c.hi - 2*math.Pi})
		}
	}
}

// keep adds to next what the cuts leave of a span.
func (f *front) keep(part int32, whole span, least, depth float64) {
	cuts := f.cuts
	for i := 1; i < len(cuts); i++ {
		for j := i; j > 0 && cuts[j].lo < cuts[j-1].lo; j-- {
			cuts[j], cuts[j-1] = cuts[j-1], cuts[j]
		}
	}
	at := whole.lo
	for _, c := range cuts {
		if end := math.Min(c.lo, whole.hi); end-at > least {
			f.next = append(f.next, f.placed(part, span{at, end}, depth))
		}
		if at = math.Max(at, c.hi); at >= whole.hi {
			return
		}
	}
	if whole.hi-at > least {
		f.next = append(f.next, f.placed(part, span{at, whole.hi}, depth))
	}
}

func (f *front) placed(part int32, s span, depth float64) piece {
	return piece{part, s, f.at(part, s.lo, depth), f.at(part, s.hi, depth)}
}

// at is the place of a part's front at a parameter and a depth.
func (f *front) at(part int32, along, depth float64) orb.Point {
	if part < 0 {
		t := &f.tips[^part]
		return t.point(along, depth+t.extraM)
	}
	w := &f.walls[part]
	return w.point(along, depth+w.extraM)
}

func (w *wall) point(along, r float64) orb.Point {
	return orb.Point{w.from[0] + along*w.ux - r*w.uy, w.from[1] + along*w.uy + r*w.ux}
}

func (t *tip) point(angle, r float64) orb.Point {
	sin, cos := math.Sincos(t.phi - angle)
	return orb.Point{t.at[0] + r*cos, t.at[1] + r*sin}
}

// beyond says whether a point lies at least r from the wall.
func (w *wall) beyond(p orb.Point, r float64) bool {
	dx, dy := p[0]-w.from[0], p[1]-w.from[1]
	along := math.Max(0, math.Min(w.length, dx*w.ux+dy*w.uy))
	dx, dy = dx-along*w.ux, dy-along*w.uy
	return dx*dx+dy*dy >= r*r
}

// dropOutside removes pieces that start outside the ground: where a hole with
// extra room lies nearer to the edge than that, its front starts beyond it.
func (f *front) dropOutside(depth float64) {
	kept := f.next[:0]
	for _, p := range f.next {
		if f.extra(p.part) == 0 || f.inside(f.at(p.part, (p.span.lo+p.span.hi)/2, depth)) {
			kept = append(kept, p)
		}
	}
	f.next = kept
}

func (f *front) extra(part int32) float64 {
	if part < 0 {
		return f.tips[^part].extraM
	}
	return f.walls[part].extraM
}

func (f *front) inside(p orb.Point) bool {
	in := false
	for _, ring := range f.ground {
		if within(ring, p) {
			in = !in
		}
	}
	return in
}

// nudgeM is how much deeper a front is tried when its pieces do not join at
// the depth asked for: just there, several may vanish in one point. A
// thousandth of a millimetre.
const nudgeM = 1e-6

// reach moves the front to a depth, or a hair beyond, and draws it; with a
// radius, the track of a machine a radius outside it. Should the pieces not
// join, the general library stands in for this depth.
func (f *front) reach(depth, radiusM float64) (orb.MultiPolygon, error) {
	for try := 0.0; try < 4; try++ {
		if f.advance(depth + try*nudgeM) {
			return f.polygons(radiusM), nil
		}
	}
	f.refuges++
	return f.refuge(depth, radiusM)
}

// refuge is what reach gives, by the library. It gives tips no extra room.
func (f *front) refuge(depth, radiusM float64) (orb.MultiPolygon, error) {
	inset, err := libraryInset(f.ground, depth, depth+f.holeM)
	if err != nil || radiusM == 0 {
		return inset, err
	}
	return libraryGrow(inset, radiusM)
}
