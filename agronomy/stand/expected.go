// Package stand says what should lie and grow on the ground, and judges counts.
package stand

import "evenfall/agronomy/units"

// Expected is what one species should show: seeds right after spreading and
// plants after emergence.
type Expected struct {
	Species       string             `json:"species"`
	SeedsPerArea  units.CountPerArea `json:"seeds_per_m2"`
	SeedsPerHoop  float64            `json:"seeds_per_hoop"`
	HoopDiameter  units.Length       `json:"hoop_m"`
	PlantsPerArea units.CountPerArea `json:"plants_per_m2,omitempty"`
	DepthMin      units.Length       `json:"depth_min_m,omitempty"`
	DepthMax      units.Length       `json:"depth_max_m,omitempty"`
}
