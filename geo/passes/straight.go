package passes

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
)

// StraightOptions say how straight passes are driven. Lengths are metres.
type StraightOptions struct {
	SpacingM     float64    // between neighbouring passes, and between headland laps
	BearingRad   float64    // of the passes, clockwise from north
	PhaseM       float64    // from the leftmost reach of the field, seen along the bearing, to the first pass
	TurnRadiusM  float64    // the tightest that the machine turns
	ClearanceM   float64    // from any hole to the track
	HeadlandLaps int        // laps driven before the straight passes, 0 to 2
	FirstInsetM  float64    // from the edge to the first of those laps
	StopM        float64    // from the last lap's track (the edge without laps) back to where the gate opens and closes; negative runs on past it
	TurnOutside  bool       // there is room to turn outside the edge
	Clockwise    bool       // the way round of the laps
	Start        *orb.Point // where the driver comes in
}

// mostHeadlandLaps is as many laps as are ever driven to turn on.
const mostHeadlandLaps = 2

func (o StraightOptions) check() error {
	if err := o.laps().check(); err != nil {
		return err
	}
	switch {
	case o.HeadlandLaps < 0 || o.HeadlandLaps > mostHeadlandLaps:
		return fault.New("range", fmt.Sprintf("%d laps before straight passes is not possible", o.HeadlandLaps), "give 0, 1 or 2").In("headland_laps")
	case math.IsNaN(o.BearingRad) || math.IsInf(o.BearingRad, 0):
		return fault.New("range", "the bearing is not a number", "give it in radians clockwise from north").In("bearing_rad")
	case !(math.Abs(o.StopM) <= mostSpacingM):
		return outOfRange("stop", "stop_m", o.StopM, -mostSpacingM, mostSpacingM)
	case !(o.PhaseM >= 0 && o.PhaseM <= mostSpacingM):
		return outOfRange("phase", "phase_m", o.PhaseM, 0, mostSpacingM)
	}
	return nil
}

// laps are the options of the headland laps.
func (o StraightOptions) laps() LapOptions {
	return LapOptions{
		SpacingM: o.SpacingM, FirstInsetM: o.FirstInsetM, TurnRadiusM: o.TurnRadiusM, ClearanceM: o.ClearanceM,
		MaxLaps: o.HeadlandLaps, Clockwise: o.Clockwise, Start: o.Start,
	}
}

// Field is where straight passes go: inside the last headland lap's track, or
// inside the ground's edge when there are no laps; holes out. It does not
// change once made, so that every bearing and phase can share it.
type Field struct {
	ground *Ground
	laps   []Pass
	room
}

// Straights covers the ground with straight passes, after headland laps if
// any. The ground is planar, in metres.
func Straights(ground orb.Polygon, o StraightOptions) (Plan, error) {
	g, err := NewGround(ground)
	if err != nil {
		return Plan{}, err
	}
	f, err := g.Field(o)
	if err != nil {
		return Plan{}, err
	}
	var l Lines
	f.StraightLines(&l, o)
	return f.Finish(&l, o)
}

// Field lays the headland laps and the room that they leave. It depends on the
// options' spacing, first inset, turning radius, clearance and laps only, not
// on bearing, phase or stop.
func (g *Ground) Field(o StraightOptions) (*Field, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if LeastM(g.areaM2, o.SpacingM) <= 0 {
		return nil, tooSmall(g.areaM2, o.SpacingM)
	}
	f := &Field{ground: g, room: room{radiusM: o.TurnRadiusM}}
	enclosed, err := g.enclose(o, f)
	if err != nil {
		return nil, err
	}
	for _, part := range enclosed {
		for i, ring := range part {
			f.rings, f.holes = append(f.rings, ring), append(f.holes, i > 0)
		}
	}
	f.turns, err = g.holeRings(o.ClearanceM + o.TurnRadiusM)
	return f, err
}

// enclose lays the field's headland laps and is what they enclose.
func (g *Ground) enclose(o StraightOptions, f *Field) (enclosed orb.MultiPolygon, err error) {
	if o.HeadlandLaps == 0 {
		return g.bare(o.ClearanceM)
	}
	if f.laps, err = g.LapRings(o.laps()); err != nil {
		return nil, err
	}
	last := o.FirstInsetM + float64(o.HeadlandLaps-1)*o.SpacingM
	return g.front(o.laps()).reach(last+o.TurnRadiusM, o.TurnRadiusM)
}

// Laps are the headland laps in driving order. The caller must not change them.
func (f *Field) Laps() []Pass { return f.laps }

// StraightLines fills l with the gate-open lines of one candidate: rows at the
// options' spacing, bearing, phase and stop. It reuses l's memory; options are
// not checked again.
func (f *Field) StraightLines(l *Lines, o StraightOptions) {
	l.clip(layRows(f.rings, o.SpacingM, o.BearingRad, o.PhaseM), &f.room, o.StopM, o.SpacingM/4)
}

// Finish makes a plan of the headland laps and a candidate's lines: order,
// turns and the travel between passes.
func (f *Field) Finish(l *Lines, o StraightOptions) (Plan, error) {
	p := Plan{Name: "straight", SpacingM: o.SpacingM, FirstInsetM: o.FirstInsetM, TurnRadiusM: o.TurnRadiusM}
	if len(f.laps) > 0 {
		p.Name = "laps then straight"
	}
	p.Passes = append(p.Passes, f.laps...)
	at := f.ground.polygon[0][0]
	if o.Start != nil {
		at = *o.Start
	}
	if n := len(f.laps); n > 0 {
		at = f.laps[n-1].Line[0]
	}
	for _, line := range driveRuns(runsOf(l.Stretches), o.SpacingM, o.TurnRadiusM, at) {
		p.Passes = append(p.Passes, newPass(Straight, line))
	}
	if len(p.Passes) == 0 {
		return Plan{}, tooSmall(f.ground.areaM2, o.SpacingM)
	}
	f.ground.addTravel(&p, o.laps(), o.TurnOutside)
	p.Total(f.ground.areaM2)
	return p, nil
}
