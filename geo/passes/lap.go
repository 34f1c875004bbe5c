package passes

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"evenfall/geo/fault"
)

// LapOptions say how laps are driven. Lengths are metres.
type LapOptions struct {
	SpacingM    float64    // between neighbouring laps
	FirstInsetM float64    // from the edge to the first lap
	TurnRadiusM float64    // the tightest that the machine turns
	ClearanceM  float64    // from any hole to the track
	MaxLaps     int        // zero goes on until nothing is left
	Clockwise   bool       // the way round; counter-clockwise otherwise
	Core        bool       // cover what the laps leave with extra passes
	Start       *orb.Point // where the driver comes in; nil starts at the first corner
}

// Limits on options, metres: beyond them a figure is surely a slip of units.
// Common practice, no source: throws of hand-held to farm spreaders.
const (
	leastSpacingM = 0.2
	mostSpacingM  = 100
	mostRadiusM   = 50
)

func (o LapOptions) check() error {
	switch {
	case !(o.SpacingM >= leastSpacingM && o.SpacingM <= mostSpacingM):
		return outOfRange("spacing", "spacing_m", o.SpacingM, leastSpacingM, mostSpacingM)
	case !(o.FirstInsetM >= 0 && o.FirstInsetM <= mostSpacingM):
		return outOfRange("first inset", "first_inset_m", o.FirstInsetM, 0, mostSpacingM)
	case !(o.TurnRadiusM > 0 && o.TurnRadiusM <= mostRadiusM):
		return outOfRange("turning radius", "turn_radius_m", o.TurnRadiusM, 0.01, mostRadiusM)
	case !(o.ClearanceM >= 0 && o.ClearanceM <= mostSpacingM):
		return outOfRange("clearance", "clearance_m", o.ClearanceM, 0, mostSpacingM)
	case o.MaxLaps < 0:
		return fault.New("range", fmt.Sprintf("%d laps cannot be driven", o.MaxLaps), "give the number of laps, or 0 for as many as fit").In("max_laps")
	}
	return nil
}

func outOfRange(name, field string, got, low, high float64) error {
	return fault.New("range", fmt.Sprintf("a %s of %g m is not possible", name, got),
		fmt.Sprintf("give one between %g and %g m", low, high)).In(field)
}

// Laps covers the ground with laps from the edge inward: the first at the
// first inset, then one spacing apart, corners rounded to the turning radius,
// rings round holes kept until they merge with the others. With Core, what
// lies further than half a spacing from every lap gets extra passes along its
// axis. The ground is planar, in metres.
func Laps(ground orb.Polygon, o LapOptions) (Plan, error) {
	g, err := NewGround(ground)
	if err != nil {
		return Plan{}, err
	}
	return g.Laps(o)
}

// Laps is the function of the same name for ground that is ready.
func (g *Ground) Laps(o LapOptions) (Plan, error) {
	driven, err := g.LapRings(o)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Name: "laps", SpacingM: o.SpacingM, FirstInsetM: o.FirstInsetM, TurnRadiusM: o.TurnRadiusM, Passes: driven}
	g.addTravel(&p, o, false)
	p.Total(g.areaM2)
	return p, nil
}

// LapRings is the passes of Laps in driving order, without the travel between
// them: all that a trial of the evenness needs.
func (g *Ground) LapRings(o LapOptions) ([]Pass, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if LeastM(g.areaM2, o.SpacingM) <= 0 {
		return nil, tooSmall(g.areaM2, o.SpacingM)
	}
	nests, err := g.nests(o)
	if err != nil {
		return nil, err
	}
	d := lapDriver{ground: g, options: o, at: g.polygon[0][0]}
	if o.Start != nil {
		d.at = *o.Start
	}
	d.driveAll(nests)
	if err := d.driveRest(); err != nil {
		return nil, err
	}
	if len(d.passes) == 0 {
		return nil, tooSmall(g.areaM2, o.SpacingM)
	}
	for i := range d.passes {
		d.passes[i].Order = i + 1
	}
	return d.passes, nil
}

func tooSmall(areaM2, spacingM float64) error {
	return fault.New("too_small",
		fmt.Sprintf("the plot (%.0f m2) is too small to drive tracks %.1f m apart on", areaM2, spacingM),
		"use a hand spreader, or walk it with a bucket and throw by hand").Of(fault.Refused)
}

// nest is one lap's polygon with the laps inside it and what they all leave.
type nest struct {
	laps     orb.Polygon // outer ring and the rings round holes
	inner    []*nest
	leftover orb.MultiPolygon
}

// holeInset is how far the first ring round a hole keeps from it: never inside
// the clearance, and never so near that the machine could not turn about a
// corner of the hole.
func (o LapOptions) holeInset() float64 {
	return math.Max(o.FirstInsetM, math.Max(o.ClearanceM, o.TurnRadiusM))
}

// gentleM is how much nearer to a corner that pokes in than the first inset a
// lap may come, so as to pass it in one bend of the turning radius instead of
// swinging wide, metres: half of a usual steering error. Common practice, no
// source.
const gentleM = 0.15

// front is the edge of the ground as the laps see it: holes keep more room than
// the edge, and a tip that the first lap would round too tightly is passed at a
// turning radius unless its bend is gentle.
func (g *Ground) front(o LapOptions) *front {
	short := math.Max(0, o.TurnRadiusM-o.FirstInsetM)
	f := newFront(g.polygon, o.holeInset()-o.FirstInsetM, short)
	f.wide = slices.DeleteFunc(f.wide, func(i int32) bool {
		t := &f.tips[i]
		gentle := t.span < math.Pi/2 && short*(1/math.Cos(t.span/2)-1) <= gentleM
		if gentle {
			t.extraM = t.wallM
		}
		return gentle
	})
	return f
}

// nests lays the laps level by level, each inside the one before. A lap is the
// track a turning radius outside an inset that is deeper by the same radius,
// so that no bend of it is tighter.
func (g *Ground) nests(o LapOptions) ([]*nest, error) {
	var roots, last []*nest
	laps, leftover := g.front(o), g.front(o)
	for level := 0; o.MaxLaps == 0 || level < o.MaxLaps; level++ {
		inset := o.FirstInsetM + float64(level)*o.SpacingM
		tracks, err := laps.reach(inset+o.TurnRadiusM, o.TurnRadiusM)
		if err != nil {
			return nil, err
		}
		now := nestsOf(tracks, last)
		if level == 0 {
			roots = now
		} else if o.Core {
			left, err := leftover.reach(inset-o.SpacingM/2, 0)
			if err != nil {
				return nil, err
			}
			shareLeftover(left, last, o)
		}
		if last = now; len(now) == 0 {
			break
		}
	}
	return roots, nil
}

// nestsOf makes nests of one level's tracks and hangs each on the nest of the
// level above that holds it.
func nestsOf(tracks orb.MultiPolygon, above []*nest) []*nest {
	nests := make([]*nest, len(tracks))
	for i, t := range tracks {
		nests[i] = &nest{laps: t}
		if parent := around(above, t[0][0]); parent != nil {
			parent.inner = append(parent.inner, nests[i])
		}
	}
	return nests
}

// around finds the nest whose outer lap holds a point.
func around(nests []*nest, p orb.Point) *nest {
	for _, n := range nests {
		if within(n.laps[0], p) {
			return n
		}
	}
	return nil
}
