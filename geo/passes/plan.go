// Package passes lays the lines that a driver follows over a plot: laps along
// the edge, straight passes, and both. Lengths are metres in a local
// east/north frame.
package passes

import "github.com/paulmach/orb"

// Kind tells how a pass runs.
type Kind string

// The kinds of pass.
const (
	Lap      Kind = "lap"      // follows the edge all the way round at a fixed inset
	Straight Kind = "straight" // a straight line with the gate open
	Core     Kind = "core"     // along the axis of what the laps leave in the middle
)

// Pass is one continuous line driven with the gate open, in driving order.
// Order counts from one. A closed pass repeats its first point at the end.
type Pass struct {
	Order     int            `json:"order"`
	Kind      Kind           `json:"kind"`
	Line      orb.LineString `json:"line_m"`
	Closed    bool           `json:"closed"`
	Direction string         `json:"direction"` // clockwise, counter-clockwise, or a compass word
	LengthM   float64        `json:"length_m"`
	Flow      float64        `json:"flow"` // against the full rate; 0.5 for a half-gate pass
}

// Plan is every pass over a plot and the travel between them. Travel[i] leads
// to Passes[i] with the gate closed; it is empty where pass i starts where
// pass i-1 ends. BoundRatio is the path with the gate open over the least that
// any path can be, (A - pi s^2/4)/s.
type Plan struct {
	Name        string           `json:"name"`
	SpacingM    float64          `json:"spacing_m"`
	FirstInsetM float64          `json:"first_inset_m"`
	TurnRadiusM float64          `json:"turn_radius_m"`
	Passes      []Pass           `json:"passes"`
	Travel      []orb.LineString `json:"travel_m"`
	LengthM     float64          `json:"length_m"` // gate open
	TravelM     float64          `json:"travel_length_m"`
	Turns       int              `json:"turns"`
	BoundRatio  float64          `json:"bound_ratio"`
}

// KeepOff is a line that material must stay away from by a distance: water, a
// road, a neighbour.
type KeepOff struct {
	Name      string         `json:"name"`
	Line      orb.LineString `json:"line_m"`
	DistanceM float64        `json:"distance_m"`
}
