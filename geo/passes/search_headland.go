package passes

import (
	"slices"

	"evenfall/geo/coverage"
)

// headland is the laps that are driven before straight passes, with what they
// throw; no laps is a headland too.
type headland struct {
	start   // its inset is where the search began
	field   *Field
	insetM  float64
	laps    []Pass  // inner the limits
	lapsM   float64 // driven
	laidM   float64 // let out, in metres at full flow
	heaps   float64 // see planner.heaps
	density []float64
}

// newHeadland lays headland laps.
func (pl *planner) newHeadland(s start, insetM float64) (*headland, error) {
	h := &headland{start: s, insetM: insetM}
	var err error
	if h.field, err = pl.newField(s.count, insetM); err != nil {
		return nil, err
	}
	laps := pl.widenedLaps(h.field.Laps(), s.bend)
	if s.square {
		laps = pl.allSides(laps)
	}
	h.laps = pl.limited(laps)
	h.lay(pl)
	return h, nil
}

// lay sets the flow of the laps and lays what they throw.
func (h *headland) lay(pl *planner) {
	pl.raster.Clear()
	for i := range h.laps {
		pass := &h.laps[i]
		pass.Flow *= h.flow
		h.lapsM += pass.LengthM
		h.laidM += pass.LengthM * pass.Flow
		h.heaps += pl.heaps(pass.Line, pass.Flow)
		pl.lapBrush.Lay(pl.raster, coverage.Stroke{Line: pass.Line, Flow: pass.Flow})
	}
	h.density = slices.Clone(pl.raster.Density)
}

// newField lays headland laps, half a throw apart, and the room inside them.
// Without laps, and where there is no room beyond any edge, the track keeps the
// clearance from all of them.
func (pl *planner) newField(count int, insetM float64) (*Field, error) {
	o := pl.straightOptions(&layout{spacingM: pl.evenM})
	o.HeadlandLaps, o.FirstInsetM = count, insetM
	if count > 0 || pl.o.Room.Any() {
		return pl.ground.Field(o)
	}
	f := &Field{ground: pl.ground, room: *pl.stand}
	f.radiusM = pl.o.TurnRadiusM
	var err error
	f.turns, err = pl.ground.holeRings(o.ClearanceM + o.TurnRadiusM)
	return f, err
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
