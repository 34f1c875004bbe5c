package passes

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// gatedTrack is a line that is driven whole while the gate opens and closes on
// the way: the material of each piece is let out or not.
type gatedTrack struct {
	pass   Pass
	pieces []orb.LineString
	open   []bool
	heaps  []float64 // see planner.heaps
}

// piecesPerHalfThrow is how finely a gate is placed along a lap.
const piecesPerHalfThrow = 4

func (pl *planner) newGatedTrack(pass Pass, pieceM float64) gatedTrack {
	n := max(1, int(math.Round(pass.LengthM/pieceM)))
	t := gatedTrack{pass: pass, open: make([]bool, n)}
	for i := range n {
		t.pieces = append(t.pieces, stretchOf(pass.Line, float64(i)*t.pieceM(), float64(i+1)*t.pieceM()))
		t.open[i] = true
	}
	t.heaps = make([]float64, n)
	pl.eachHeap(pass.Line, func(alongM, heap float64) {
		t.heaps[min(int(alongM/t.pieceM()), n-1)] += heap * pass.Flow * pass.Flow
	})
	return t
}

// part is the track from one piece's start to another's, so many metres further
// on; a closed track goes round, an open one straight on beyond its ends.
func (t *gatedTrack) part(from, to int, aheadM float64) orb.LineString {
	line, length := t.pass.Line, t.pass.LengthM
	if t.pass.Closed {
		line = append(line.Clone(), line[1:]...)
		line = append(line, t.pass.Line[1:]...)
		aheadM += length
	} else if aheadM != 0 {
		reach := math.Abs(aheadM)
		line = append(orb.LineString{startPose(line).moved(-reach).at}, line...)
		line = append(line, endPose(line).moved(reach).at)
		aheadM += reach
	}
	pieceM := length / float64(len(t.open))
	return stretchOf(line, float64(from)*pieceM+aheadM, float64(to)*pieceM+aheadM)
}

func (t *gatedTrack) pieceM() float64 { return t.pass.LengthM / float64(len(t.open)) }

// slope is the change of the aim for a metre more let out at a place, to first
// order: for the density that lies there already, for the mass on the ground and
// for the mass that misses it.
type slope struct {
	perHeap, perMass, perLost, lost float64
}

func (pl *planner) slopeNow() slope {
	now := pl.tally.Spread()
	area, cv := pl.mask.AreaM2(), math.Max(now.CV, 0.001)
	price := 0.1
	outside := pl.tally.OutsideShare()
	if outside > pl.o.OutsideMost {
		price += outsidePrice
	}
	return slope{
		perHeap: 1 / (area * now.Mean * now.Mean * cv),
		perMass: -(1 + now.CV*now.CV) / (area * now.Mean * cv),
		perLost: price / pl.tally.Laid(), lost: outside,
	}
}

// worth is the slope of letting out (sign +1) or not (-1) at a place with a
// heading.
func (pl *planner) worth(s *slope, at, h orb.Point, sign float64) float64 {
	r := pl.tally.Raster()
	inv := 1 / r.CellM
	x, y := (at[0]-r.OriginM[0])*inv, (at[1]-r.OriginM[1])*inv
	heap, mass := 0.0, 0.0
	for k, share := range pl.probe.shares {
		u := (pl.probe.leftM + (float64(k)+0.5)*pl.probe.stepM) * inv
		col, row := int(x+u*h[1]), int(y-u*h[0])
		if col < 0 || row < 0 || col >= r.Cols || row >= r.Rows {
			continue
		}
		w := pl.mask.Share(col, row) * share
		heap += w * r.Density[row*r.Cols+col]
		mass += w
	}
	return s.perHeap*(heap+sign*pl.probe.ownHeap*mass) + s.perMass*mass + s.perLost*(1-mass-s.lost)
}

// probe is what the search for thin and thick places asks for again and again:
// the throw in a few samples from left to right.
type probe struct {
	leftM, stepM float64
	shares       [probeSamples]float64
	ownHeap      float64 // half of the square of the throw's own density
}

const probeSamples = 16

func newProbe(p coverage.Profile) probe {
	left, right := p.Reach()
	out := probe{leftM: left, stepM: (right - left) / probeSamples}
	for i, v := range p.Share {
		u := p.StartM + (float64(i)+0.5)*p.StepM
		out.shares[min(max(int((u-left)/out.stepM), 0), probeSamples-1)] += v
		out.ownHeap += v * v / p.StepM / 2
	}
	return out
}

// polishPrice is what closing the gate on a lap once more, or one more pass, must
// gain against the share of CV for each square half throw that it takes of the
// plot: a driver does not stop for less. A choice of the house.
const polishPrice = 0.05

// polishTrials is how many whole candidates a round of gates and added passes
// counts for: about what it costs.
const polishTrials = 12

// polish works the gate on the laps and adds passes.
func (pl *planner) polish(f *finished) {
	pl.tried += polishTrials
	price := polishPrice * pl.evenM * pl.evenM / pl.ground.areaM2
	if f.extras == 0 && pl.o.AlongRad == nil {
		pl.cutCorners(f, price)
	}
	pl.gateLaps(f, price)
	pl.addStretches(f, price)
}

// mostClosings bounds how often the gate is closed on one lap.
const mostClosings = 12

// gateLaps closes the gate where a lap does more harm than good, and then moves
// the places where it opens and closes.
func (pl *planner) gateLaps(f *finished, price float64) {
	for i := range f.tracks {
		t := &f.tracks[i]
		pl.closeMost(f, t, mostClosings, price)
		for n := 0; n < piecesPerHalfThrow && pl.shiftGates(f, t); n++ {
		}
	}
}

// closeMost closes the gate over one stretch of a track after the other, so many
// times at most, while that is worth the price.
func (pl *planner) closeMost(f *finished, t *gatedTrack, most int, price float64) {
	for n := 0; n < most && pl.closeBest(f, t, price); n++ {
	}
}

func (pl *planner) setGate(t *gatedTrack, i int, open bool) {
	s := coverage.Stroke{Line: t.pieces[i], Flow: t.pass.Flow}
	if open {
		pl.tally.Lay(s)
		pl.heaped += t.heaps[i]
	} else {
		pl.tally.Lift(s)
		pl.heaped -= t.heaps[i]
	}
	t.open[i] = open
}

// closeBest closes the gate over the stretch of a track where that helps most,
// if it is worth the price.
func (pl *planner) closeBest(f *finished, t *gatedTrack, price float64) bool {
	from, to, worth := longestGain(pl.closingGains(t), t.pass.Closed)
	if worth < price {
		return false
	}
	n := len(t.open)
	for i := from; i < to; i++ {
		pl.setGate(t, i%n, false)
	}
	score := pl.judgeTally(f.score.pathM - t.pieceM()*float64(to-from))
	if score.aim < f.score.aim-price {
		f.score = score
		return true
	}
	for i := from; i < to; i++ {
		pl.setGate(t, i%n, true)
	}
	return false
}

// closingGains is what closing the gate over each piece gains, to first order;
// a piece that is closed already ends any stretch.
func (pl *planner) closingGains(t *gatedTrack) []float64 {
	s := pl.slopeNow()
	gains := make([]float64, len(t.pieces))
	for i, line := range t.pieces {
		if !t.open[i] {
			gains[i] = math.Inf(-1)
			continue
		}
		for k := 1; k < len(line); k++ {
			if d := apart(line[k-1], line[k]); d > repeatM {
				at := poseAlong(line[k-1], line[k], line[k-1]).moved(d / 2)
				gains[i] += d * t.pass.Flow * pl.worth(&s, at.at, at.heading, -1)
			}
		}
	}
	return gains
}

// longestGain is the stretch with the greatest sum, from its first to behind
// its last; round the end when the gains lie on a ring.
func longestGain(gains []float64, ring bool) (from, to int, most float64) {
	n, count := len(gains), len(gains)
	if ring {
		count = 2 * n
	}
	sum, start := 0.0, 0
	for i := 0; i < count && i-start < n; i++ {
		if sum += gains[i%n]; sum > most {
			from, to, most = start, i+1, sum
		}
		if sum <= 0 {
			sum, start = 0, i+1
		}
	}
	return from, to, most
}

// shiftGates moves every place where the gate opens or closes by a piece.
func (pl *planner) shiftGates(f *finished, t *gatedTrack) (better bool) {
	n := len(t.open)
	for i := range n {
		next := (i + 1) % n
		if t.open[i] == t.open[next] || next == 0 && !t.pass.Closed {
			continue
		}
		better = pl.flip(f, t, i) || pl.flip(f, t, next) || better
	}
	return better
}

// flip opens a closed piece or closes an open one when that is better.
func (pl *planner) flip(f *finished, t *gatedTrack, i int) bool {
	by := t.pieceM()
	if t.open[i] {
		by = -by
	}
	pl.setGate(t, i, !t.open[i])
	if score := pl.judgeTally(f.score.pathM + by); score.aim < f.score.aim-1e-7 {
		f.score = score
		return true
	}
	pl.setGate(t, i, !t.open[i])
	return false
}

// passesOf are the stretches of a track on which the gate is open, so many
// metres ahead of where their material lands, and the way along the track to
// each but the first.
func (t *gatedTrack) passesOf(leadM float64) (passes []Pass, rides []orb.LineString) {
	if leadM = t.lead(leadM); !slices.Contains(t.open, false) && (leadM == 0 || t.pass.Closed) {
		return []Pass{t.pass}, []orb.LineString{nil}
	}
	n, first := len(t.open), 0
	if t.pass.Closed {
		first = slices.Index(t.open, false)
	}
	last := 0
	for from := 0; from < n; {
		to := from + 1
		for to < n && t.open[(first+to)%n] == t.open[(first+from)%n] {
			to++
		}
		if t.open[(first+from)%n] {
			p := newPass(t.pass.Kind, t.part(first+from, first+to, leadM))
			p.Flow = t.pass.Flow
			var ride orb.LineString
			if len(passes) > 0 {
				ride = t.part(first+last, first+from, leadM)
			}
			passes, rides, last = append(passes, p), append(rides, ride), to
		}
		from = to
	}
	return passes, rides
}

// lead is none for a core pass: its ends are not known to have room ahead.
func (t *gatedTrack) lead(leadM float64) float64 {
	if t.pass.Kind == Core {
		return 0
	}
	return leadM
}

// addTries is how many of the places found by their slope are really tried.
const addTries = 20

// place is where a pass might be added, with its worth to first order.
type place struct {
	Stretch
	worth float64
}

func (p place) middle() orb.Point {
	return orb.Point{(p.From[0] + p.To[0]) / 2, (p.From[1] + p.To[1]) / 2}
}

// addStretches lays straight passes where the plan is thin, the most promising
// first, each only if it is worth its price.
func (pl *planner) addStretches(f *finished, price float64) {
	var tried []orb.Point
	for _, found := range pl.thinPlaces(price) {
		if len(tried) == addTries {
			break
		}
		middle := found.middle()
		if lookedAt := slices.ContainsFunc(tried, func(p orb.Point) bool { return apart(p, middle) < pl.evenM/2 }); lookedAt {
			continue
		}
		tried = append(tried, middle)
		c, ok := pl.drawBack(found.Stretch, pl.evenM/2)
		if !ok || !pl.mayLie(c) {
			continue
		}
		c.Row = lastRow
		pl.layStretch(c, f.flowOf(c))
		score := pl.judgeTally(f.score.pathM + c.LengthM())
		if score.aim >= f.score.aim-price {
			pl.liftStretch(c, f.flowOf(c))
			continue
		}
		f.add(c, score)
	}
}

// lighter tells whether the gate is less open on the straight passes than on the
// laps.
func (f *finished) lighter() bool { return f.head.inner < 1 && f.flow == f.head.inner }

// flowOf is the flow of a straight pass against the full rate. Those that were
// added lie where the plan is thin, and are driven with the laps, before the
// gate is set for the others.
func (f *finished) flowOf(s Stretch) float64 {
	if s.Row >= lastRow && f.lighter() {
		return f.head.flow
	}
	return f.flow
}

// add keeps a stretch that is laid already.
func (f *finished) add(s Stretch, now score) {
	f.extras++
	s.Row = lastRow + 2*f.extras
	f.stretches, f.score = append(f.stretches, s), now
}

// thinPlaces looks along every bearing for the rows where a pass is worth more
// than a price, best first.
func (pl *planner) thinPlaces(price float64) []place {
	s := pl.slopeNow()
	var places []place
	var l Lines
	for _, bearing := range pl.bearings(bearingsTried) {
		l.clip(layRows(pl.stand.rings, pl.evenM/4, bearing, pl.evenM/8), pl.stand, 0, pl.evenM/2)
		for _, row := range l.Stretches {
			if c, worth := pl.thinnest(&s, row); worth > price {
				places = append(places, place{c, worth})
			}
		}
	}
	slices.SortStableFunc(places, func(a, b place) int { return cmp.Compare(b.worth, a.worth) })
	return places
}

// lastRow is beyond any row: stretches laid apart have rows of their own, none
// beside another.
const lastRow = 1 << 20

// thinnest is the part of a row where letting out helps most, and by how much
// to first order.
func (pl *planner) thinnest(s *slope, row Stretch) (Stretch, float64) {
	length, step := row.LengthM(), pl.evenM/piecesPerHalfThrow
	h := orb.Point{(row.To[0] - row.From[0]) / length, (row.To[1] - row.From[1]) / length}
	at := func(m float64) orb.Point { return orb.Point{row.From[0] + m*h[0], row.From[1] + m*h[1]} }
	best, run, start := 0.0, 0.0, 0
	var part Stretch
	for i := range int(length / step) {
		if run <= 0 {
			run, start = 0, i
		}
		run -= step * pl.worth(s, at((float64(i)+0.5)*step), h, 1)
		if run > best && i > start {
			best, part = run, Stretch{From: at(float64(start) * step), To: at(float64(i+1) * step)}
		}
	}
	return part, best
}

// standing is the ground that keeps clear of the edge and of holes.
func (g *Ground) standing(clearanceM float64) (*room, error) {
	parts, err := newFront(g.polygon, 0, 0).reach(math.Max(clearanceM, edgeM), 0)
	in := &room{}
	for _, part := range parts {
		for i, ring := range part {
			in.rings, in.holes = append(in.rings, ring), append(in.holes, i > 0)
		}
	}
	return in, err
}
