package passes

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

// Priority is what a person wants most of a plan.
type Priority string

// The priorities.
const (
	MostEven     Priority = "most even"
	LeastOutside Priority = "least outside"
	Shortest     Priority = "shortest"
)

// Room says on which sides of the plot there is ground to turn on. A side is
// every edge that faces within 45 degrees of that point of the compass.
type Room struct {
	North bool `json:"north,omitempty"`
	East  bool `json:"east,omitempty"`
	South bool `json:"south,omitempty"`
	West  bool `json:"west,omitempty"`
}

// RoomAllRound is room to turn on every side.
var RoomAllRound = Room{North: true, East: true, South: true, West: true}

// Any tells whether there is room on some side.
func (r Room) Any() bool { return r.North || r.East || r.South || r.West }

// SearchOptions are the driver's limits and wishes. Lengths are metres. Zero
// figures take the defaults that are named; TurnRadiusM must be given.
type SearchOptions struct {
	TurnRadiusM     float64    `json:"turn_radius_m"`
	ClearanceM      float64    `json:"clearance_m,omitempty"` // from the track to a hole, and to an edge without room; default 0.75
	Room            Room       `json:"room"`
	BacksUp         bool       `json:"backs_up,omitempty"` // the machine may back up to turn; nothing is towed
	KeepOff         []KeepOff  `json:"keep_off,omitempty"` // those that hold for what is spread
	NoThrowOutside  bool       `json:"no_throw_outside,omitempty"`
	OutsideMost     float64    `json:"outside_most,omitempty"` // share of the material that may miss the plot before evenness must pay; default 0.06
	Priority        Priority   `json:"priority,omitempty"`     // default most even
	BehindM         float64    `json:"behind_m,omitempty"`     // how far behind the machine the material lands
	RampM           float64    `json:"ramp_m,omitempty"`       // driven while the gate opens or closes
	SteeringM       float64    `json:"steering_m,omitempty"`   // standard deviation off the line; default 0.3048
	SpeedShare      float64    `json:"speed_share,omitempty"`  // standard deviation of the speed, relative; default 0.10
	NoWander        bool       `json:"no_wander,omitempty"`    // rank by the perfect line
	Seed            uint64     `json:"seed,omitempty"`
	Runs            int        `json:"runs,omitempty"`   // of the wander per plan; default 10
	Budget          int        `json:"budget,omitempty"` // candidates; default 700, or 900 where there is not room all round
	Quick           bool       `json:"quick,omitempty"`  // a first plan at once, without alternatives or the habit
	Start           *orb.Point `json:"start_m,omitempty"`
	Clockwise       bool       `json:"clockwise,omitempty"`
	AlongRad        *float64   `json:"along_rad,omitempty"`     // bearing of the straight passes, clockwise from north; default the best
	HabitInsetM     float64    `json:"habit_inset_m,omitempty"` // default half the spacing
	WithHalfRates   bool       `json:"with_half_rates,omitempty"`
	WithRightAngles bool       `json:"with_right_angles,omitempty"`
}

// Defaults, common practice, no source.
const (
	usualClearanceM = 0.75 // a little more than half an ATV's width of 1.2 m
	usualOutside    = 0.06
	usualSteeringM  = 0.3048 // one foot
	usualSpeedShare = 0.10
	usualRuns       = 10
	usualBudget     = 700
	tightBudget     = 900 // where there is not room all round
)

func (o SearchOptions) filled() SearchOptions {
	fill := func(v *float64, usual float64) {
		if *v == 0 {
			*v = usual
		}
	}
	fill(&o.ClearanceM, usualClearanceM)
	fill(&o.OutsideMost, usualOutside)
	fill(&o.SteeringM, usualSteeringM)
	fill(&o.SpeedShare, usualSpeedShare)
	if o.Runs == 0 {
		o.Runs = usualRuns
	}
	switch {
	case o.Budget != 0:
	case o.Room == RoomAllRound:
		o.Budget = usualBudget
	default:
		o.Budget = tightBudget
	}
	if o.Priority == "" {
		o.Priority = MostEven
	}
	return o
}

func (o SearchOptions) check() error {
	for _, c := range []struct {
		name, field      string
		got, least, most float64
	}{
		{"turning radius", "turn_radius_m", o.TurnRadiusM, 0.01, mostRadiusM},
		{"clearance", "clearance_m", o.ClearanceM, 0, mostSpacingM},
		{"share outside", "outside_most", o.OutsideMost, 0, 1},
		{"throw-behind distance", "behind_m", o.BehindM, -mostSpacingM, mostSpacingM},
		{"gate ramp", "ramp_m", o.RampM, 0, mostSpacingM},
		{"steering error", "steering_m", o.SteeringM, 0, 5},
		{"speed error", "speed_share", o.SpeedShare, 0, 0.5},
		{"habit inset", "habit_inset_m", o.HabitInsetM, 0, mostSpacingM},
	} {
		if !(c.got >= c.least && c.got <= c.most) {
			return outOfRange(c.name, c.field, c.got, c.least, c.most)
		}
	}
	switch o.Priority {
	case MostEven, LeastOutside, Shortest:
	default:
		return fault.New("priority", fmt.Sprintf("%q is not a priority that is known", o.Priority), "choose most even, least outside or shortest").In("priority")
	}
	if o.AlongRad != nil && !finite(*o.AlongRad) {
		return fault.New("range", "the bearing of the passes is no number", "give degrees from north").In("along_rad")
	}
	if o.Budget < 0 || o.Runs < 0 {
		return fault.New("range", "a number of candidates or runs is negative", "give zero for the usual number").In("budget")
	}
	return nil
}

// Option is one plan with its figures. FlowWidthM times the rate is what the
// machine must let out per metre at full flow so that the whole amount, rate
// times area, is gone at the end of the plan.
type Option struct {
	Plan       Plan             `json:"plan"`
	Says       string           `json:"says"`
	Habit      bool             `json:"habit"`
	Best       []Priority       `json:"best,omitempty"` // the priorities that this plan serves best
	Figures    coverage.Figures `json:"figures"`
	Wander     Wandering        `json:"wander"`
	FlowWidthM float64          `json:"flow_width_m"`
}

// Result is what a search found: the chosen plan first, then the alternatives
// from better to worse by the priority; the habit is always among them.
type Result struct {
	Options    []Option `json:"options"`
	Candidates int      `json:"candidates"`
	GroundM2   float64  `json:"ground_m2"` // to be covered: the plot less what is kept off
	Says       []string `json:"says,omitempty"`
}

// Strokes are the plan's gate-open lines as coverage takes them.
func (p Plan) Strokes() []coverage.Stroke {
	out := make([]coverage.Stroke, len(p.Passes))
	for i, pass := range p.Passes {
		out[i] = coverage.Stroke{Line: pass.Line, Flow: pass.Flow}
	}
	return out
}

// habitSpacingM is half the throw: the edge of the throw on the last tracks.
func habitSpacingM(p coverage.Profile) float64 { return p.ThrowM() / 2 }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
