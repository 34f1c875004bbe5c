package agronomy

import (
	"fmt"
	"math"
	"time"

	"github.com/paulmach/orb"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/passes"
)

// Plot is a plot with everything that was measured or said about it. Survey is
// the one in use; Surveys are all of them, the guesses among them.
type Plot struct {
	geo.Plot
	Property string
	Survey   geo.Survey
	Surveys  []geo.Survey
	KeepOff  []KeepOff
}

// Goods says which materials a keep-off line binds.
type Goods string

// What a keep-off line may bind.
const (
	FertilizerOnly Goods = "fertilizer"
	SeedOnly       Goods = "seed"
	Everything     Goods = "both"
)

// KeepOff is a line in longitude and latitude that material stays away from:
// water, a road, a neighbour. Local law decides the distance.
type KeepOff struct {
	Name     string         `json:"name"`
	Line     orb.LineString `json:"line"`
	Distance units.Length   `json:"distance_m"`
	For      Goods          `json:"for"`
}

// Options are the choices of the person for one job. The zero value of every
// field but Date means that Prepare chooses, and says what it chose.
type Options struct {
	Date       string       `json:"date"` // YYYY-MM-DD
	System     units.System `json:"units,omitempty"`
	Speed      units.Speed  `json:"speed_mps,omitempty"`
	Spacing    units.Length `json:"spacing_m,omitempty"`
	FirstInset units.Length `json:"first_inset_m,omitempty"`
	Clearance  units.Length `json:"clearance_m,omitempty"` // of the track from holes
	Gate       string       `json:"gate,omitempty"`        // words for the gate when no catch test tells
	Clockwise  bool         `json:"clockwise,omitempty"`
	Along      *float64     `json:"along_deg,omitempty"` // bearing of the straight passes, clockwise from true north
	Start      *orb.Point   `json:"start,omitempty"`     // longitude, latitude where the driver comes in
	Layers     int          `json:"layers,omitempty"`
	Scoop      units.Volume `json:"scoop_m3,omitempty"`
	DiscDepth  units.Length `json:"disc_depth_m,omitempty"` // the person's own, instead of the crops'
	Disc       *stand.Disc  `json:"disc,omitempty"`         // the implement, to know how long it takes

	// What the soil laboratory says, and how the fertilizer will lie.
	Soil      *soil.Report   `json:"soil,omitempty"`
	Credits   []soil.Credit  `json:"credits,omitempty"`
	Lime      *soil.LimeAsk  `json:"lime,omitempty"`
	Placement soil.Placement `json:"placement,omitzero"`

	// The search for passes. Plan names the one to drive among those found, in
	// the words of the last sheet; Habit asks for laps by habit and no search;
	// a spacing or a first inset of the person's own asks for laps at those.
	// Quick is a first plan at once, for a corner that is being dragged.
	Plan           string          `json:"plan,omitempty"`
	Priority       passes.Priority `json:"priority,omitempty"`
	Habit          bool            `json:"habit,omitempty"`
	Quick          bool            `json:"quick,omitempty"`
	Room           passes.Room     `json:"room,omitzero"` // to turn outside
	NoThrowOutside bool            `json:"no_throw_outside,omitempty"`
	OutsideMost    float64         `json:"outside_most,omitempty"`
	HalfRates      bool            `json:"half_rates,omitempty"`
	RightAngles    bool            `json:"right_angles,omitempty"`
	Budget         int             `json:"budget,omitempty"`

	Catalog *catalog.Catalog `json:"-"` // with the person's own entries; nil is the program's own
}

// What is taken when nothing better is known. Common practice, no source.
const (
	usualSpeed      units.Speed  = 6 * units.MPH
	usualTurnRadius units.Length = 8 * units.Foot
	usualClearance  units.Length = 3 * units.Foot
	turnSpeedShare               = 0.5 // of the working speed, in tight turns
)

// mostBudget is the most candidates that one sheet may try: seven times the
// usual number, beyond which plans hardly get better. Our own choice.
const mostBudget = 5000

// withDefaults fills in what the person left open.
func (o Options) withDefaults(m spreader.Spreader) Options {
	if o.System == "" {
		o.System = units.US
	}
	if o.Speed == 0 {
		o.Speed = middleSpeed(m)
	}
	if o.Clearance == 0 {
		o.Clearance = usualClearance
	}
	return o
}

// middleSpeed is the usual speed, moved into the machine's range.
func middleSpeed(m spreader.Spreader) units.Speed {
	v := max(usualSpeed, m.SpeedMin)
	if m.SpeedMax > 0 {
		v = min(v, m.SpeedMax)
	}
	return v
}

// checkInputs refuses what no sheet can be made of.
func checkInputs(p Plot, m spreader.Spreader, o Options) error {
	if len(p.Polygon) == 0 {
		return fault.New("no_outline", "the plot has no outline yet", "draw it, walk it, or upload it").In("plot")
	}
	if !(p.Survey.AreaM2 > 0) {
		return fault.New("no_area", "the plot has no measured area", "put one of its surveys in use").In("plot.survey")
	}
	if _, err := time.Parse(time.DateOnly, o.Date); err != nil {
		return fault.New("date", fmt.Sprintf("%q is not a date", o.Date), "write it as 2026-11-25").In("date")
	}
	if o.System != "" && o.System != units.US && o.System != units.Metric {
		return fault.New("units", fmt.Sprintf("units %q are not known", o.System), "say us or metric").In("units")
	}
	if o.Budget < 0 || o.Budget > mostBudget {
		return fault.New("budget", fmt.Sprintf("%d candidates do not lie between 0 and %d", o.Budget, mostBudget), "leave it out for the usual number").In("budget")
	}
	if o.Along != nil && !(*o.Along >= 0 && *o.Along <= 360) {
		return fault.New("bearing", fmt.Sprintf("passes along %g degrees lie nowhere on a compass", *o.Along), "give 0 to 360: 0 is north, 90 is east").In("along_deg")
	}
	if err := checkKeepOff(p.KeepOff); err != nil {
		return err
	}
	if err := checkSpeed(o.Speed, m, o.System); err != nil {
		return err
	}
	return m.Validate()
}

// mostKeptOff is the most that a line may keep material away, in metres; more
// is a slip of units.
const mostKeptOff units.Length = 1000

// checkKeepOff refuses a line that would keep nothing off without a word.
func checkKeepOff(lines []KeepOff) error {
	for i, k := range lines {
		at := func(field string) string { return fmt.Sprintf("plot.keep_off[%d].%s", i, field) }
		switch {
		case len(k.Line) == 0:
			return fault.New("keep_off", "the keep-off line "+k.Name+" has no points", "draw it again or take it away").In(at("line"))
		case !(k.Distance > 0 && k.Distance <= mostKeptOff):
			return fault.New("keep_off", "the distance to keep off "+k.Name+" does not lie between 0 and 1000 m", "local law decides how far; enter it").In(at("distance_m"))
		case k.For != "" && k.For != Everything && k.For != FertilizerOnly && k.For != SeedOnly:
			return fault.New("keep_off", fmt.Sprintf("a keep-off line for %q is not known", k.For), "say fertilizer, seed or both").In(at("for"))
		}
	}
	return nil
}

// checkSpeed keeps the speed within the machine's range, and names the nearest
// that is.
func checkSpeed(v units.Speed, m spreader.Spreader, sys units.System) error {
	switch {
	case v < 0 || math.IsNaN(float64(v)):
		return fault.New("speed", "the speed is below zero", "give a speed above zero").In("speed_mps")
	case v > 0 && v < m.SpeedMin:
		return fault.New("speed_low", v.Format(sys)+" is slower than the machine runs", "drive "+m.SpeedMin.Format(sys)).Of(fault.Refused).In("speed_mps")
	case m.SpeedMax > 0 && v > m.SpeedMax:
		return fault.New("speed_high", v.Format(sys)+" is faster than the machine may be driven", "drive "+m.SpeedMax.Format(sys)).Of(fault.Refused).In("speed_mps")
	}
	return nil
}
