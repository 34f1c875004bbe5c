package passes

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// The largest cells of the rasters, as shares of the throw: coarse enough to
// score a quarter acre in tens of microseconds, and fine enough for the figures
// that are shown. On the plots made for tests a quick plan is as even, measured
// on the figures' cells, whether it was found on ten or on fourteen cells.
const (
	quickCell  = 1.0 / 10
	searchCell = 1.0 / 14
	figureCell = 1.0 / 42
)

// planner is one search, in the plot's own frame. It belongs to one goroutine.
type planner struct {
	ground  *Ground
	axis    turned
	o       SearchOptions
	profile coverage.Profile
	evenM   float64 // half the throw
	limits  *limits
	rooms   []bool // per edge of the outer ring: there is room beyond it

	mask      *coverage.Mask
	brush     *coverage.Brush // throws at once where the machine is
	lapBrush  *coverage.Brush // throws as the machine does
	raster    *coverage.Raster
	tally     *coverage.Tally
	cellM     float64
	lines     Lines
	line      orb.LineString // scratch of two points
	symmetric bool
	tried     int
	heaped    float64 // on the tally, see heaps
	reachM    float64 // of the throw, the wider side
	finer     float64 // natural logarithm of how much finer the cells of the figures are
	probe     probe
	stand     *room       // where the machine may be
	across    [][]Stretch // see acrossCorners; made when first needed
	inside    *wayfinder  // made when first needed
	outside   *wayfinder
}

func newPlanner(ground *Ground, p coverage.Profile, o SearchOptions) (*planner, error) {
	axis := ownAxis(ground.polygon)
	own, err := NewGround(axis.all(ground.polygon))
	if err != nil {
		return nil, err
	}
	pl := &planner{ground: own, axis: axis, o: o, profile: p, evenM: habitSpacingM(p), line: make(orb.LineString, 2)}
	pl.limits = newLimits(own, p, o, axis)
	pl.rooms = roomyEdges(own.polygon[0], axis, o.Room)
	pl.symmetric = isSymmetric(p)
	largest := searchCell
	if o.Quick {
		largest = quickCell
	}
	bounds, cell := pl.grid(p.ThrowM() * largest)
	pl.cellM = cell
	pl.raster = coverage.NewRaster(bounds, pl.cellM)
	pl.mask = coverage.NewMask(pl.raster, own.polygon, pl.limits.strips...)
	pl.brush = coverage.NewBrush(p, pl.cellM, coverage.DepositOptions{})
	pl.lapBrush = coverage.NewBrush(p, pl.cellM, pl.deposit())
	pl.tally = coverage.NewTally(pl.mask, pl.brush)
	pl.probe = newProbe(p)
	left, right := p.Reach()
	pl.reachM, pl.finer = math.Max(-left, right), math.Log(largest/figureCell)
	if pl.stand, err = own.standing(o.ClearanceM); err != nil {
		return nil, err
	}
	return pl, nil
}

func (pl *planner) deposit() coverage.DepositOptions {
	return coverage.DepositOptions{BehindM: pl.o.BehindM, RampM: pl.o.RampM}
}

// grid is the bounds and the cell of a raster that holds the plot and, where
// strips are kept off, all that a pass inside the plot, or run on past its edge
// by half a throw, can throw into them; else what falls beyond it is only
// counted as missed. Where the gate
// opens on the very edge, a cell astride the edge shows half the dose there
// though the ground gets all of it; so the cells start on the plot's west and
// south bounds, and of the sizes down to four fifths of the largest the one is
// taken that ends nearest to its east and north bounds.
func (pl *planner) grid(largest float64) (orb.Bound, float64) {
	b := pl.ground.polygon[0].Bound()
	width, height := b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]
	first := math.Ceil(width/largest - 1e-9)
	cell, least := width/first, math.Inf(1)
	for n := first; n <= 1.25*first; n++ {
		rows := height * n / width
		if off := math.Abs(rows - math.Round(rows)); off < least-0.01 {
			cell, least = width/n, off
		}
	}
	pad := 0.0
	if len(pl.limits.strips) > 0 {
		left, right := pl.profile.Reach()
		pad = math.Max(-left, right) + pl.evenM + math.Abs(pl.o.BehindM) + pl.o.RampM
	}
	return b.Pad(cell * (math.Ceil(pad/cell) + 3)), cell
}

func isSymmetric(p coverage.Profile) bool {
	m := p.Mirrored()
	if math.Abs(m.StartM-p.StartM) > 1e-6*p.ThrowM() {
		return false
	}
	for i, v := range p.Share {
		if math.Abs(v-m.Share[i]) > 1e-6 {
			return false
		}
	}
	return true
}

// roomyEdges tells for each edge of a ring in the plot's own frame whether the
// driver has room to turn beyond it.
func roomyEdges(ring orb.Ring, axis turned, room Room) []bool {
	roomy := make([]bool, len(ring)-1)
	for i := range roomy {
		a, b := axis.back(ring[i]), axis.back(ring[i+1])
		east, north := b[1]-a[1], a[0]-b[0] // outward of a counter-clockwise ring
		const half = 1 + 1e-9               // the diagonal faces both sides
		roomy[i] = room.North && north*half >= math.Abs(east) || room.South && -north*half >= math.Abs(east) ||
			room.East && east*half >= math.Abs(north) || room.West && -east*half >= math.Abs(north)
	}
	return roomy
}

// score is how good a candidate is, the less the better, with what it is made
// of.
type score struct {
	aim     float64
	cv      float64
	outside float64
	pathM   float64 // gate open
}

// Prices at which one figure is given up for another, by priority. They are
// choices of the house, not measurements: a point of material outside beyond
// the limit costs three points of CV; a path twice as long as needed costs two
// points of CV where evenness counts.
const (
	outsidePrice = 3.0
	cvLimit      = 0.25 // low-analysis products, the reference row CV-LIMIT
)

func (pl *planner) judge(cv, outside, pathM float64) score {
	s := score{cv: cv, outside: outside, pathM: pathM}
	path := pathM * pl.evenM / pl.ground.areaM2
	over := math.Max(0, outside-pl.o.OutsideMost)
	switch pl.o.Priority {
	case LeastOutside:
		s.aim = outside + 0.3*cv + 0.01*path
	case Shortest:
		s.aim = 0.25*path + 4*math.Max(0, cv-cvLimit) + outsidePrice*over + 0.05*cv
	default:
		s.aim = cv + outsidePrice*over + 0.1*outside + 0.02*path
	}
	return s
}

// judgeRaster scores what lies on the planner's raster.
func (pl *planner) judgeRaster(laidM, pathM, heaps float64) score {
	pl.tried++
	s := pl.mask.Spread(pl.raster)
	if !finite(s.CV) || laidM <= 0 {
		return score{aim: math.Inf(1)}
	}
	return pl.judge(pl.uneven(s, heaps), math.Max(0, 1-s.Inside/laidM), pathM)
}

// judgeTally scores what lies on the tally. Moving one end of one pass is not
// counted as a candidate: it costs a hundredth of laying a whole plan.
func (pl *planner) judgeTally(pathM float64) score {
	s := pl.tally.Spread()
	if !finite(s.CV) {
		return score{aim: math.Inf(1)}
	}
	return pl.judge(pl.uneven(s, pl.heaped), pl.tally.OutsideShare(), pathM)
}

// twoPoint is a stroke between two points that does not allocate; it is good
// until the next call.
func (pl *planner) twoPoint(a, b orb.Point, flow float64) coverage.Stroke {
	pl.line[0], pl.line[1] = a, b
	return coverage.Stroke{Line: pl.line, Flow: flow}
}
