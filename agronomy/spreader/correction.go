package spreader

import "evenfall/agronomy/units"

// Correction is what a finished job taught about one material: its real flow
// over what the catch tests say.
type Correction struct {
	Material string     `json:"material"`
	Factor   float64    `json:"factor"`
	Expected units.Flow `json:"expected_kg_per_s"`
	Real     units.Flow `json:"real_kg_per_s"`
	Date     string     `json:"date,omitempty"` // YYYY-MM-DD, the day of the job
	Says     string     `json:"says,omitempty"`
}

func (s Spreader) validateCorrections() error { return nil }
