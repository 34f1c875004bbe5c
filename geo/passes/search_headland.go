package passes

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// headland is the laps that are driven before straight passes, with what they
// throw; no laps is a headland too.
type headland struct {
	field   *Field
	count   int
	insetM  float64
	laps    []Pass  // inner the limits
	lapsM   float64 // driven
	laidM   float64 // let out, in metres at full flow
	strokes []coverage.Stroke
	density []float64
}

// newHeadland lays headland laps at a flow against the full rate.
func (pl *planner) newHeadland(count int, insetM, flow float64, square bool) (*headland, error) {
	h := &headland{count: count, insetM: insetM}
	var err error
	if h.field, err = pl.newField(count, insetM); err != nil {
		return nil, err
	}
	laps := h.field.Laps()
	if square {
		var sides []Pass
		for _, lap := range laps {
			sides = append(sides, pl.sides(lap)...)
		}
		laps = sides
	}
	h.laps = pl.limited(laps)
	pl.raster.Clear()
	for i, pass := range h.laps {
		pass.Flow *= flow
		h.laps[i] = pass
		s := coverage.Stroke{Line: pass.Line, Flow: pass.Flow}
		h.strokes = append(h.strokes, s)
		h.lapsM += pass.LengthM
		h.laidM += pass.LengthM * pass.Flow
		pl.lapBrush.Lay(pl.raster, s)
	}
	h.density = slices.Clone(pl.raster.Density)
	return h, nil
}

// newField lays headland laps, half a throw apart, and the room inside them.
// Where the edge pokes in only a little the laps follow it, see easedFront.
func (pl *planner) newField(count int, insetM float64) (*Field, error) {
	o := pl.straightOptions(&layout{spacingM: pl.evenM})
	o.HeadlandLaps, o.FirstInsetM = count, insetM
	if err := o.check(); err != nil {
		return nil, err
	}
	if count == 0 {
		return pl.bareField(o)
	}
	lap := o.laps()
	outer, inner, err := pl.headlandNests(lap, count)
	if err != nil {
		return nil, err
	}
	d := lapDriver{ground: pl.ground, options: lap, at: pl.ground.polygon[0][0]}
	if lap.Start != nil {
		d.at = *lap.Start
	}
	d.driveAll(outer)
	return pl.fieldWithin(inner, d.passes)
}

// bareField is the room without laps: where there is no room beyond any edge
// the track keeps the clearance from all of them.
func (pl *planner) bareField(o StraightOptions) (*Field, error) {
	if pl.o.Room.Any() {
		return pl.ground.Field(o)
	}
	inner, err := newFront(pl.ground.polygon, 0, 0).reach(o.ClearanceM, 0)
	if err != nil {
		return nil, err
	}
	return pl.fieldWithin(inner, nil)
}

func (pl *planner) fieldWithin(inner orb.MultiPolygon, laps []Pass) (*Field, error) {
	f := &Field{ground: pl.ground, laps: laps, room: room{radiusM: pl.o.TurnRadiusM}}
	for _, part := range inner {
		for i, ring := range part {
			f.rings, f.holes = append(f.rings, ring), append(f.holes, i > 0)
		}
	}
	var err error
	f.turns, err = pl.ground.holeRings(pl.o.ClearanceM + pl.o.TurnRadiusM)
	return f, err
}

// headlandNests lays so many laps and returns the outermost, with the others
// inside them, and what the innermost enclose.
func (pl *planner) headlandNests(o LapOptions, count int) (outer []*nest, inner orb.MultiPolygon, err error) {
	front := pl.easedFront(o)
	var last []*nest
	for level := range count {
		inset := o.FirstInsetM + float64(level)*pl.evenM
		if inner, err = front.reach(inset+o.TurnRadiusM, o.TurnRadiusM); err != nil {
			return nil, nil, err
		}
		now := nestsOf(inner, last)
		if len(now) == 0 {
			return nil, nil, tooSmall(pl.ground.areaM2, pl.evenM)
		}
		if last = now; level == 0 {
			outer = now
		}
	}
	return outer, inner, nil
}

// easeM is how far off a lap a driver may come who takes a gentle bend at the
// machine's turning radius where the lap's own is tighter, metres: half of a
// usual steering error. Common practice, no source.
const easeM = 0.15

// easedFront is the ground's front, but a tip of the edge whose bend is gentle
// keeps no more room than the edge itself: taken at the turning radius the bend
// brings the machine (radius - inset)(1/cos(bend/2) - 1) nearer to the tip.
func (pl *planner) easedFront(o LapOptions) *front {
	f := pl.ground.front(o)
	short := o.TurnRadiusM - o.FirstInsetM
	f.wide = slices.DeleteFunc(f.wide, func(i int32) bool {
		t := &f.tips[i]
		gentle := t.wallM == 0 && t.span < math.Pi/2 && short*(1/math.Cos(t.span/2)-1) <= easeM
		if gentle {
			t.extraM = t.wallM
		}
		return gentle
	})
	return f
}

// limited cuts passes to what the limits allow.
func (pl *planner) limited(all []Pass) []Pass {
	if !pl.limits.any() {
		return all
	}
	var out []Pass
	for _, pass := range all {
		for _, part := range pl.limits.trim(pass.Line, pl.evenM/2) {
			cut := newPass(pass.Kind, part)
			cut.Flow = pass.Flow
			out = append(out, cut)
		}
	}
	return out
}
