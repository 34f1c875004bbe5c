package agronomy

import (
	"github.com/paulmach/orb"

	"evenfall/agronomy/units"
	"evenfall/geo"
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
	Start      *orb.Point   `json:"start,omitempty"` // longitude, latitude where the driver comes in
	Layers     int          `json:"layers,omitempty"`
	Scoop      units.Volume `json:"scoop_m3,omitempty"`
}
