package passes

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// layout is one candidate of straight passes inside a headland.
type layout struct {
	head                             *headland
	bearing, spacingM, phaseM, stopM float64
	flow                             float64
	score                            score
}

func (pl *planner) straightOptions(c *layout) StraightOptions {
	o := StraightOptions{
		SpacingM: c.spacingM, BearingRad: c.bearing, PhaseM: c.phaseM, StopM: c.stopM,
		TurnRadiusM: pl.o.TurnRadiusM, ClearanceM: pl.o.ClearanceM, TurnOutside: pl.o.Room.Any(), Clockwise: pl.o.Clockwise,
	}
	if c.head != nil {
		o.HeadlandLaps, o.FirstInsetM = c.head.count, c.head.insetM
	}
	if pl.o.Start != nil {
		at := pl.axis.to(*pl.o.Start)
		o.Start = &at
	}
	return o
}

// try lays a candidate, keeps its lines in pl.lines and scores it.
func (pl *planner) try(c *layout) {
	pl.layLines(c)
	copy(pl.raster.Density, c.head.density)
	laid, path := c.head.laidM, c.head.lapsM
	for _, s := range pl.lines.Stretches {
		from, to := pl.facing(s)
		pl.brush.Lay(pl.raster, pl.twoPoint(from, to, c.flow))
		laid += s.LengthM() * c.flow
		path += s.LengthM()
	}
	c.score = pl.judgeRaster(laid, path, c.head.heaps)
}

// facing is how a stretch is taken to be driven while searching: back and
// forth by rows. Only a lopsided throw can tell.
func (pl *planner) facing(s Stretch) (from, to orb.Point) {
	if pl.symmetric || s.Row%2 == 0 {
		return s.From, s.To
	}
	return s.To, s.From
}

// layLines fills pl.lines with a candidate's passes, cut to the limits and
// drawn back where the machine could not turn.
func (pl *planner) layLines(c *layout) {
	c.head.field.StraightLines(&pl.lines, pl.straightOptions(c))
	least := pl.evenM // nobody opens a gate for less; of the evenness it costs nothing (make evenness)
	if pl.limits.any() {
		pl.cutLines(least)
	}
	kept := pl.lines.Stretches[:0]
	for _, s := range pl.lines.Stretches {
		if s, ok := pl.drawBack(s, least); ok {
			kept = append(kept, s)
		}
	}
	pl.lines.Stretches = kept
}

func (pl *planner) cutLines(leastM float64) {
	var kept []Stretch
	for _, s := range pl.lines.Stretches {
		for _, part := range pl.limits.trim(orb.LineString{s.From, s.To}, leastM) {
			kept = append(kept, Stretch{s.Row, part[0], part[len(part)-1]})
		}
	}
	pl.lines.Stretches = append(pl.lines.Stretches[:0], kept...)
}

// drawBackM is the step by which an end is drawn back to where it can be
// turned.
const drawBackM = 0.25

func (pl *planner) drawBack(s Stretch, leastM float64) (Stretch, bool) {
	length := s.LengthM()
	if length < leastM {
		return s, false
	}
	h := orb.Point{(s.To[0] - s.From[0]) / length, (s.To[1] - s.From[1]) / length}
	back := orb.Point{-h[0], -h[1]}
	for !pl.canTurn(s.To, h) {
		if length -= drawBackM; length < leastM {
			return s, false
		}
		s.To = orb.Point{s.To[0] - drawBackM*h[0], s.To[1] - drawBackM*h[1]}
	}
	for !pl.canTurn(s.From, back) {
		if length -= drawBackM; length < leastM {
			return s, false
		}
		s.From = orb.Point{s.From[0] + drawBackM*h[0], s.From[1] + drawBackM*h[1]}
	}
	return s, true
}

// canTurn tells whether the machine, its gate just closed at a place with a
// heading, has room to turn: a quarter of a circle to the left or to the right
// keeps clear of holes and stays on the plot, or leaves it where there is room.
// The gate closes behindM after the place where the last of the material lands.
// A machine that backs up needs only its own length ahead.
func (pl *planner) canTurn(at, heading orb.Point) bool {
	if pl.allRoom() && !pl.nearHole(at) {
		return true
	}
	lead := math.Max(0, pl.o.BehindM-pl.o.RampM/2)
	at = orb.Point{at[0] + lead*heading[0], at[1] + lead*heading[1]}
	if pl.o.BacksUp {
		clear := pl.o.ClearanceM - strayM
		return pl.mayStand(at, orb.Point{at[0] + clear*heading[0], at[1] + clear*heading[1]})
	}
	return pl.turnFits(at, heading, 1) || pl.turnFits(at, heading, -1)
}

// turnFits tries a quarter turn to one side (right +1).
func (pl *planner) turnFits(at, heading orb.Point, side float64) bool {
	r, clear := pl.o.TurnRadiusM, pl.o.ClearanceM
	for _, a := range [4]float64{math.Pi / 8, math.Pi / 4, 3 * math.Pi / 8, math.Pi / 2} {
		sin, cos := math.Sincos(a)
		across := side * r * (1 - cos)
		point := func(along float64) orb.Point {
			return orb.Point{at[0] + along*heading[0] + across*heading[1], at[1] + along*heading[1] - across*heading[0]}
		}
		if !pl.mayStand(at, point((r+clear)*sin)) {
			return false
		}
		for _, hole := range pl.ground.polygon[1:] {
			if p := point(r * sin); within(hole, p) || lineGap(hole, p) < clear-strayM {
				return false
			}
		}
	}
	return true
}

// nearHole tells whether a turn begun at a place could touch a hole.
func (pl *planner) nearHole(at orb.Point) bool {
	reach := 2*pl.o.TurnRadiusM + pl.o.ClearanceM + math.Abs(pl.o.BehindM)
	for _, hole := range pl.ground.polygon[1:] {
		if hole.Bound().Pad(reach).Contains(at) {
			return true
		}
	}
	return false
}

func (pl *planner) allRoom() bool { return !slices.Contains(pl.rooms, false) }

// mayStand tells whether the machine may be at p, coming from a place: on the
// plot, or beyond an edge with room.
func (pl *planner) mayStand(from, p orb.Point) bool {
	ring := pl.ground.polygon[0]
	if pl.allRoom() || pl.wellInside(p) || within(ring, p) {
		return true
	}
	if !pl.o.Room.Any() {
		return false
	}
	crossed := false
	for i := 1; i < len(ring); i++ {
		if side(from, p, ring[i-1])*side(from, p, ring[i]) < 0 && side(ring[i-1], ring[i], from)*side(ring[i-1], ring[i], p) < 0 {
			if !pl.rooms[i-1] {
				return false
			}
			crossed = true
		}
	}
	return crossed || pl.nearestRoomy(p)
}

// wellInside tells at once of most places that they are on the plot: the cell of
// the raster that they lie in is.
func (pl *planner) wellInside(p orb.Point) bool {
	r := pl.raster
	col, row := int((p[0]-r.OriginM[0])/r.CellM), int((p[1]-r.OriginM[1])/r.CellM)
	return col >= 0 && row >= 0 && col < r.Cols && row < r.Rows && pl.mask.Share(col, row) == 1
}

// nearestRoomy is for a machine that is outside already: the edge nearest to
// it decides.
func (pl *planner) nearestRoomy(p orb.Point) bool {
	ring := pl.ground.polygon[0]
	edge, _ := nearestOn(ring, p)
	return pl.rooms[edge]
}

// sameWay is how near to each other two bearings count as one.
const sameWay = 4 * math.Pi / 180

func alike(a, b float64) bool { return math.Abs(math.Remainder(a-b, math.Pi)) < sameWay }

// bearings lists the directions worth trying: along the edges, the longest
// first, and across them, none like another; or the one that the driver wants.
func (pl *planner) bearings(most int) []float64 {
	if pl.o.AlongRad != nil {
		return []float64{pl.axis.bearing(*pl.o.AlongRad)}
	}
	out := []float64{math.Pi / 2, 0} // the plot's own axis and across it
	for _, w := range edgeWays(pl.ground.polygon[0]) {
		for _, b := range [2]float64{w.bearing, w.bearing + math.Pi/2} {
			if len(out) < most && !slices.ContainsFunc(out, func(v float64) bool { return alike(v, b) }) {
				out = append(out, math.Mod(b, math.Pi))
			}
		}
	}
	return out
}

// edgeWay is a bearing with how much of a ring runs along it.
type edgeWay struct{ bearing, lengthM float64 }

// edgeWays are the bearings of a ring's edges, the most of it first.
func edgeWays(ring orb.Ring) []edgeWay {
	var ways []edgeWay
	for i := 1; i < len(ring); i++ {
		b := math.Mod(math.Atan2(ring[i][0]-ring[i-1][0], ring[i][1]-ring[i-1][1])+2*math.Pi, math.Pi)
		l := apart(ring[i-1], ring[i])
		if k := slices.IndexFunc(ways, func(w edgeWay) bool { return alike(w.bearing, b) }); k >= 0 {
			ways[k].lengthM += l
		} else {
			ways = append(ways, edgeWay{b, l})
		}
	}
	slices.SortStableFunc(ways, func(a, b edgeWay) int {
		if math.Abs(a.lengthM-b.lengthM) <= 1e-6*math.Min(a.lengthM, b.lengthM) {
			return 0 // equal but for rounding: the first on the ring goes first
		}
		return cmp.Compare(b.lengthM, a.lengthM)
	})
	return ways
}

// spacingsTried is how many numbers of rows a wide plot tries, about.
const spacingsTried = 4

// seeds are the candidates that a headland and a bearing start from: every
// number of rows whose spacing is sensible, evenly laid between two margins.
func (pl *planner) seeds(h *headland, bearing, spacingM float64) []layout {
	r := layRows(h.field.rings, pl.evenM, bearing, 0)
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range h.field.rings {
		for _, p := range ring {
			v := p[0]*r.right[0] + p[1]*r.right[1]
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	width := high - low
	margins, stops := []float64{0.12, 0.35}, []float64{0}
	if h.count > 0 {
		margins, stops = []float64{0.75, 1}, []float64{0.3, 0.6}
	}
	var out []layout
	for _, stop := range stops {
		for _, margin := range margins {
			inner := width - 2*margin*pl.evenM
			fewest, most := int(math.Max(1, math.Floor(inner/(1.25*spacingM)))), int(inner/(0.8*spacingM))+1
			for n := fewest; n <= most; n += max(1, (most-fewest)/spacingsTried) {
				c := layout{head: h, bearing: bearing, flow: h.inner, stopM: stop * pl.evenM, spacingM: spacingM, phaseM: width / 2}
				if n > 1 {
					c.spacingM, c.phaseM = inner/float64(n-1), margin*pl.evenM
				}
				if c.spacingM <= 1.3*spacingM && c.spacingM >= 0.75*spacingM && c.phaseM >= 0 {
					out = append(out, c)
				}
			}
		}
	}
	return out
}

// settle moves a candidate's figures one by one while it gets better, with
// steps that shrink; at most so many trials.
func (pl *planner) settle(c layout, trials int) layout {
	step := 1.0
	for trials > 0 && step > 0.2 {
		better := false
		for k := 0; k < 10 && trials > 0; k++ {
			next, ok := pl.stepped(c, k/2, float64(1-2*(k%2))*step)
			if !ok {
				continue
			}
			pl.try(&next)
			trials--
			if next.score.aim < c.score.aim-1e-9 {
				c, better = next, true
			}
		}
		if !better {
			step /= 2
		}
	}
	return c
}

// stepped is a candidate with one of its figures moved by so many steps.
func (pl *planner) stepped(c layout, figure int, steps float64) (layout, bool) {
	switch figure {
	case 0:
		c.phaseM = math.Max(0, c.phaseM+steps*0.12*pl.evenM)
	case 1:
		c.spacingM *= 1 + steps*0.03
	case 2:
		c.stopM += steps * 0.2 * pl.evenM
	case 3:
		if pl.o.AlongRad != nil {
			return c, false
		}
		c.bearing += steps * 3 * math.Pi / 180
	default:
		return c, pl.shiftLaps(&c, steps*0.08*pl.evenM)
	}
	return c, true
}

// leastShift is the least shift of the laps that is worth laying them anew, in
// half throws.
const leastShift = 0.04

// shiftLaps moves the laps in by so much where there is no room beyond every
// edge: how near to it they run decides what falls outside.
func (pl *planner) shiftLaps(c *layout, byM float64) bool {
	if pl.allRoom() || pl.o.Quick || c.head.count == 0 || math.Abs(byM) < leastShift*pl.evenM {
		return false
	}
	inset := pl.leastInset(c.head.insetM + byM)
	if inset == c.head.insetM {
		return false
	}
	h, err := pl.newHeadland(c.head.start, inset)
	if err != nil {
		return false
	}
	c.head = h
	return true
}
