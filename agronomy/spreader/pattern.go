package spreader

import (
	"fmt"
	"math"

	"evenfall/agronomy/units"
	"evenfall/geo/coverage"
	"evenfall/geo/fault"
)

// Shape names how the drop is shared across the throw.
type Shape string

// The shapes. All but Lopsided and Pans are the same left and right.
const (
	Flat      Shape = "flat"
	Triangle  Shape = "triangle"
	Trapezoid Shape = "trapezoid" // flat in the middle, see FlatShare
	Bell      Shape = "bell"      // Gaussian, see Sigma
	Oval      Shape = "oval"      // half an ellipse
	Parabola  Shape = "parabola"
	Lopsided  Shape = "lopsided" // a triangle with its peak on the track and unequal reach
	Pans      Shape = "pans"     // measured, see PanTest
)

// Limits of what a pattern may be; beyond them lies a slip of the unit.
const (
	leastThrow units.Length = 0.3
	mostThrow  units.Length = 120
	mostBins                = 20000
	// A bell has no edge. Its throw is taken as six sigma, which holds 99.7 %
	// of the drop, and it is worked out to five sigma each side (all but 6e-7).
	sigmasInThrow = 6
	sigmasKept    = 5
)

// Pattern is how the drop of one machine with one kind of material is shared
// across the throw. Throw is edge to edge and serves every shape but Lopsided,
// which has its two reaches, and Pans, whose throw is that of the pans. Offset
// moves the whole pattern to the right of the track (to the left if negative).
type Pattern struct {
	Shape      Shape        `json:"shape"`
	Throw      units.Length `json:"throw_m,omitempty"`
	FlatShare  float64      `json:"flat_share,omitempty"`    // trapezoid: flat part over the throw, 0 to 1
	Sigma      units.Length `json:"sigma_m,omitempty"`       // bell; zero means a sixth of the throw
	LeftReach  units.Length `json:"left_reach_m,omitempty"`  // lopsided
	RightReach units.Length `json:"right_reach_m,omitempty"` // lopsided
	Offset     units.Length `json:"offset_m,omitempty"`
	PanTest    *PanTest     `json:"pan_test,omitempty"`
}

// Validate returns a fault that names the field, or nil.
func (p Pattern) Validate() error {
	if p.Shape == Pans {
		return p.validatePans()
	}
	if err := p.validateExtent(); err != nil {
		return err
	}
	switch {
	case math.IsNaN(p.FlatShare) || p.FlatShare < 0 || p.FlatShare > 1:
		return fault.New("range", "the flat share must lie between 0 and 1", "give the flat part over the whole throw").In("flat_share")
	case !(abs(p.Offset) <= p.Width()/2):
		return fault.New("range", "the pattern lies wholly beside the track", "check the offset").In("offset_m")
	}
	return nil
}

func (p Pattern) validatePans() error {
	if p.PanTest == nil {
		return fault.New("missing", "a measured pattern needs its pan test", "enter the pans, or choose a named shape").In("pan_test")
	}
	return inField(p.PanTest.Validate(), "pan_test")
}

func (p Pattern) validateExtent() error {
	field := "throw_m"
	switch p.Shape {
	case Flat, Triangle, Trapezoid, Oval, Parabola:
	case Bell:
		if p.Throw == 0 {
			field = "sigma_m"
		}
		if !(p.Sigma >= 0) {
			return fault.New("range", "sigma must be above zero", "leave it out to use a sixth of the throw").In("sigma_m")
		}
	case Lopsided:
		if !(p.LeftReach > 0 && p.RightReach > 0) {
			return fault.New("range", "a lopsided pattern needs its reach to the left and to the right", "measure both from the track").In("left_reach_m")
		}
		field = "right_reach_m"
	default:
		return fault.New("unknown_shape", fmt.Sprintf("%q is not a pattern", p.Shape),
			"use flat, triangle, trapezoid, bell, oval, parabola, lopsided or pans").In("shape")
	}
	if w := p.Width(); !(w >= leastThrow && w <= mostThrow) {
		return fault.New("range", "the throw must lie between 1 ft and 390 ft (0.3 and 120 metres)", "give the full width, edge to edge").In(field)
	}
	return nil
}

// Width is the throw, edge to edge.
func (p Pattern) Width() units.Length {
	switch {
	case p.Shape == Lopsided:
		return p.LeftReach + p.RightReach
	case p.Shape == Bell && p.Throw == 0:
		return sigmasInThrow * p.Sigma
	case p.Shape == Pans && p.PanTest != nil:
		return p.PanTest.width()
	default:
		return p.Throw
	}
}

// Profile shares the pattern out over bins of stepM metres, each bin holding
// the exact integral of the shape over it, so that the shares sum to one. Bins
// start at a multiple of the step.
func (p Pattern) Profile(stepM float64) (coverage.Profile, error) {
	c, err := p.cross()
	if err != nil {
		return coverage.Profile{}, err
	}
	first, last := math.Floor(c.lo/stepM), math.Ceil(c.hi/stepM)
	if !(stepM > 0) || !(last-first <= mostBins) {
		return coverage.Profile{}, fault.New("range", "the step of the profile is too small for the throw", "use a step of a centimetre or more").In("step_m")
	}
	profile := coverage.Profile{StartM: first * stepM, StepM: stepM, Share: make([]float64, int(last-first))}
	below := 0.0
	for i := range profile.Share {
		upTo := c.below((first + float64(i) + 1) * stepM)
		profile.Share[i], below = upTo-below, upTo
	}
	return profile, nil
}

func abs(l units.Length) units.Length { return units.Length(math.Abs(float64(l))) }

// inField puts the name of the holding field before that of a fault's field.
func inField(err error, holder string) error {
	found, ok := fault.From(err)
	if !ok {
		return err
	}
	if found.Where.Field == "" {
		return found.In(holder)
	}
	return found.In(holder + "." + found.Where.Field)
}
