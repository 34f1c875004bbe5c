package record

import (
	"fmt"

	"evenfall/geo"
	"evenfall/geo/fault"
)

// Survey is one measurement of a plot. Of the surveys of a plot exactly one is
// in use. Dimensions are what was guessed, paced or taped, when there is no
// outline or the outline was made from them.
type Survey struct {
	Stamp
	PlotID string `json:"plot_id"`
	geo.Survey
	Outline    Outline     `json:"outline,omitempty"`
	Dimensions *Dimensions `json:"dimensions,omitempty"`
	InUse      bool        `json:"in_use"`
}

// Dimensions are the lengths that a person measured, and the shape they make.
type Dimensions struct {
	Shape    string    `json:"shape"` // rectangle, triangle, circle, or a word of the user's
	LengthsM []float64 `json:"lengths_m"`
}

// lengthLimitM is the widest plot that geo takes.
const lengthLimitM = 50000.0

// Check is nil or the rule that the survey breaks.
func (s *Survey) Check() error {
	return first(
		checkReference(s.PlotID, "plot_id"),
		s.Survey.Check(),
		checkNote(s.Note),
		checkOutline(s.Outline),
		s.Dimensions.check(),
	)
}

func (d *Dimensions) check() error {
	if d == nil {
		return nil
	}
	for _, length := range d.LengthsM {
		// A baseline starts at zero, and the plot may touch it.
		if !(length >= 0 && length <= lengthLimitM) {
			return fault.New("dimension", fmt.Sprintf("a length of %v m is not between 0 and %v m", length, lengthLimitM),
				"give the length in metres").In("dimensions")
		}
	}
	return checkText(d.Shape, "dimensions", nameRunes, "")
}
