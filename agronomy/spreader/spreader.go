// Package spreader knows one machine: how it shares its drop across the throw,
// what comes out of its gate, how fast it may be driven; and from that the
// spacing, the gate and the speed of a job.
package spreader

import (
	"fmt"
	"math"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// What a driver does when nothing better is known. Common practice, no source.
const (
	DefaultSteeringError units.Length = units.Foot
	DefaultSpeedError                 = 0.10 // of the speed
)

// Spreader is one machine as it is stored and exchanged. Zero means not known,
// for every figure but the pattern's.
type Spreader struct {
	Name          string       `json:"name"`
	Patterns      Patterns     `json:"patterns"`
	HopperVolume  units.Volume `json:"hopper_m3,omitempty"`
	HopperMass    units.Mass   `json:"hopper_kg,omitempty"` // what the maker allows
	SpeedMin      units.Speed  `json:"speed_min_mps,omitempty"`
	SpeedMax      units.Speed  `json:"speed_max_mps,omitempty"`
	TurnRadius    units.Length `json:"turn_radius_m,omitempty"`   // of the machine that carries or pulls it
	BacksUp       bool         `json:"backs_up,omitempty"`        // it rides on a machine that can be backed up; not towed
	ThrowBehind   units.Length `json:"throw_behind_m,omitempty"`  // from the driver to where the drop lands
	SteeringError units.Length `json:"steering_error_m,omitzero"` // one standard deviation
	SpeedError    float64      `json:"speed_error,omitempty"`     // one standard deviation over the speed
	Gate          GateScale    `json:"gate_scale,omitzero"`
	CatchTests    []CatchTest  `json:"catch_tests,omitempty"`
	Corrections   []Correction `json:"corrections,omitempty"` // at most one per material
	Note          string       `json:"note,omitempty"`
}

// Patterns are the patterns of one machine. Usual serves whatever has none of
// its own: seed often flies less far than fertilizer.
type Patterns struct {
	Usual      Pattern  `json:"usual"`
	Seed       *Pattern `json:"seed,omitempty"`
	Fertilizer *Pattern `json:"fertilizer,omitempty"`
}

// For is the pattern for a class of material: seed, or anything else, lime
// too, as fertilizer.
func (p Patterns) For(class string) Pattern {
	switch {
	case class == "seed" && p.Seed != nil:
		return *p.Seed
	case class != "seed" && p.Fertilizer != nil:
		return *p.Fertilizer
	default:
		return p.Usual
	}
}

// GateScale is how the machine's gate is marked, such as a lever's notches
// from 0 (shut) to 10 (wide open) in steps of a half. Some scales count down:
// Open is then the lower mark.
type GateScale struct {
	Name string  `json:"name,omitempty"` // what the marks are called: notch, hole, number
	Shut float64 `json:"shut"`
	Open float64 `json:"open"`           // wide open
	Step float64 `json:"step,omitempty"` // the finest that can be set; zero means any
}

func (g GateScale) known() bool { return g.Open != g.Shut }

// Nearest is the nearest setting that the scale allows.
func (g GateScale) Nearest(gate float64) float64 {
	if g.Step > 0 {
		gate = g.Shut + math.Round((gate-g.Shut)/g.Step)*g.Step
	}
	if g.known() {
		gate = min(max(gate, min(g.Shut, g.Open)), max(g.Shut, g.Open))
	}
	return gate
}

// Format writes a setting as a person reads it off the machine.
func (g GateScale) Format(gate float64) string {
	text := units.Bags(gate)
	if off := math.Abs(gate*4 - math.Round(gate*4)); off > 1e-6 {
		text = fmt.Sprintf("%.3g", gate)
	}
	if g.known() && gate == g.Open {
		text += " (wide open)"
	}
	if g.Name == "" {
		return "gate " + text
	}
	return g.Name + " " + text
}

// Validate returns a fault that names the field, or nil.
func (s Spreader) Validate() error {
	if s.Name == "" {
		return fault.New("missing", "the spreader has no name", "give it one to tell it from others").In("name")
	}
	if err := s.Patterns.validate(); err != nil {
		return err
	}
	if err := s.validateRanges(); err != nil {
		return err
	}
	if s.SpeedMax > 0 && s.SpeedMin > s.SpeedMax {
		return fault.New("range", "the slowest speed is above the fastest", "exchange them").In("speed_min_mps")
	}
	if err := s.Gate.validate(); err != nil {
		return err
	}
	for i, test := range s.CatchTests {
		if err := test.Validate(); err != nil {
			return inField(err, fmt.Sprintf("catch_tests[%d]", i))
		}
	}
	return s.validateCorrections()
}

func (p Patterns) validate() error {
	if err := p.Usual.Validate(); err != nil {
		return inField(err, "patterns.usual")
	}
	if p.Seed != nil {
		if err := p.Seed.Validate(); err != nil {
			return inField(err, "patterns.seed")
		}
	}
	if p.Fertilizer != nil {
		if err := p.Fertilizer.Validate(); err != nil {
			return inField(err, "patterns.fertilizer")
		}
	}
	return nil
}

// validateRanges refuses figures that no machine of this trade has.
func (s Spreader) validateRanges() error {
	ranges := []struct {
		field string
		value float64
		most  float64
		says  string
	}{
		{"hopper_m3", float64(s.HopperVolume), 20, "20 m3"},
		{"hopper_kg", float64(s.HopperMass), 20000, "20 t"},
		{"speed_min_mps", float64(s.SpeedMin), 20, "45 mph"},
		{"speed_max_mps", float64(s.SpeedMax), 20, "45 mph"},
		{"turn_radius_m", float64(s.TurnRadius), 30, "100 ft"},
		{"throw_behind_m", float64(s.ThrowBehind), 30, "100 ft"},
		{"steering_error_m", float64(s.SteeringError), 3, "10 ft"},
		{"speed_error", s.SpeedError, 0.5, "half the speed"},
	}
	for _, r := range ranges {
		if !(r.value >= 0 && r.value <= r.most) {
			return fault.New("range", "the figure must lie between zero and "+r.says, "check its unit").In(r.field)
		}
	}
	return nil
}

func (g GateScale) validate() error {
	if g == (GateScale{Name: g.Name}) {
		return nil
	}
	reach := math.Abs(g.Open - g.Shut)
	if !(reach > 0 && reach <= 1e4) {
		return fault.New("range", "the gate scale must run from shut to wide open", "give the mark of the shut gate and that of the open one").In("gate_scale.open")
	}
	if !(g.Step >= 0 && g.Step <= reach) {
		return fault.New("range", "the step of the gate scale must fit into it", "leave it out when any setting can be made").In("gate_scale.step")
	}
	return nil
}
