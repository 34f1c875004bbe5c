package spreader

import (
	"fmt"
	"math"
	"slices"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// A job that differs from the tests by more than this factor either way is a
// slip of a weight or a length rather than a lesson. Common practice, no source.
const mostCorrection = 4

// Correction is what a finished job taught about one material: its real flow
// over what the catch tests alone say.
type Correction struct {
	Material string     `json:"material"`
	Gate     float64    `json:"gate"`
	Factor   float64    `json:"factor"`
	Expected units.Flow `json:"expected_kg_per_s"` // an earlier correction included
	Real     units.Flow `json:"real_kg_per_s"`
	Date     string     `json:"date,omitempty"` // YYYY-MM-DD, the day of the job
	Says     string     `json:"says,omitempty"`
}

// CorrectFlow compares the material really used over the passes really driven
// with what the catch tests say. Done is the job as a test: the mass used, the
// length driven with the gate open, and the speed or the time.
func (s Spreader) CorrectFlow(done CatchTest, date string, system units.System) (Correction, error) {
	if err := done.Validate(); err != nil {
		return Correction{}, err
	}
	curve, err := s.FlowCurve(done.Material)
	if found, ok := fault.From(err); ok && found.Kind == fault.Missing {
		found.Remedy = "keep this job as a catch test: it is the best there is"
		return Correction{}, found
	}
	if err != nil {
		return Correction{}, err
	}
	expected, err := curve.At(done.Gate)
	if err != nil {
		return Correction{}, err
	}
	c := Correction{Material: done.Material, Gate: done.Gate, Expected: expected, Real: done.Flow(), Date: date}
	c.Factor = float64(c.Real) / float64(expected) * curve.Correction
	if c.Factor > mostCorrection || c.Factor < 1.0/mostCorrection {
		return Correction{}, fault.New("implausible", fmt.Sprintf("the job gave %s where the catch tests say %s", c.Real.Format(system), expected.Format(system)),
			"check the weight, the length driven and the gate").Of(fault.Refused).In("factor")
	}
	c.Says = c.says(s.Gate, system)
	return c, nil
}

func (c Correction) says(scale GateScale, system units.System) string {
	change := float64(c.Real)/float64(c.Expected) - 1
	word := "more"
	if change < 0 {
		word = "less"
	}
	return fmt.Sprintf("at %s the tests say %s, the job gave %s: %s %s; settings from now on allow for it",
		scale.Format(c.Gate), c.Expected.Format(system), c.Real.Format(system), units.Percent(math.Abs(change)), word)
}

// WithCorrection is the spreader with a correction in place of any earlier one
// for the same material.
func (s Spreader) WithCorrection(c Correction) Spreader {
	kept := slices.DeleteFunc(slices.Clone(s.Corrections), func(old Correction) bool {
		return sameMaterial(old.Material, c.Material)
	})
	s.Corrections = append(kept, c)
	return s
}

// correction is the factor on the catch tests' flows; 1 without a correction.
func (s Spreader) correction(material string) float64 {
	for _, c := range s.Corrections {
		if sameMaterial(c.Material, material) {
			return c.Factor
		}
	}
	return 1
}

func (s Spreader) validateCorrections() error {
	for i, c := range s.Corrections {
		if !(c.Factor >= 1.0/mostCorrection && c.Factor <= mostCorrection) {
			return fault.New("range", "a correction lies between a quarter and four", "take it out and correct from a job again").In(fmt.Sprintf("corrections[%d].factor", i))
		}
	}
	return nil
}
