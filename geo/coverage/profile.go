// Package coverage predicts what falls where: pass lines times a cross profile
// give a raster, and the raster gives evenness figures. Lengths are metres in
// a local east/north frame; amounts are relative to one unit of material per
// metre driven, so that the even target is 1/spacing.
package coverage

import "github.com/paulmach/orb"

// Profile is how one metre of driving shares its material across the throw:
// bins of StepM width, the first starting at StartM from the track. Left of
// the direction of travel is negative. Shares are not negative and sum to 1.
type Profile struct {
	StartM float64   `json:"start_m"`
	StepM  float64   `json:"step_m"`
	Share  []float64 `json:"share"`
}

// Stroke is one stretch driven with the gate open, in driving order. A closed
// stroke returns to its start and its first point is repeated as its last.
// Flow is the material per metre against the plan's full rate (1 is full).
//
// Along and AsideM are empty or have one figure per point of Line, linear in
// between: how much more or less flows there (1 is as meant), and how far to
// the right of the line the machine really is, its heading kept.
type Stroke struct {
	Line   orb.LineString `json:"line"`
	Flow   float64        `json:"flow"`
	Along  []float64      `json:"along,omitempty"`
	AsideM []float64      `json:"aside_m,omitempty"`
}

// Raster is material per square metre on square cells: row-major from the
// south-west corner, row 0 the southernmost. OriginM is that corner.
type Raster struct {
	OriginM orb.Point `json:"origin_m"`
	CellM   float64   `json:"cell_m"`
	Cols    int       `json:"cols"`
	Rows    int       `json:"rows"`
	Density []float64 `json:"density"`
}

// Tenth is the thinnest or heaviest tenth of the plot: its mean against the
// target (1 is on target) and the centre of its densest cluster.
type Tenth struct {
	MeanRatio float64   `json:"mean_ratio"`
	At        orb.Point `json:"at_m"`
}

// Figures say how even a plan is, over the plot only. Shares are 0 to 1.
type Figures struct {
	MeanRatio    float64   `json:"mean_ratio"` // mean over the plot against the target
	CV           float64   `json:"cv"`         // standard deviation over mean, population
	Within10     float64   `json:"within_10"`  // share of the plot within 10 % of the target
	Within25     float64   `json:"within_25"`
	Thinnest     Tenth     `json:"thinnest_tenth"`
	Heaviest     Tenth     `json:"heaviest_tenth"`
	OutsideShare float64   `json:"outside_share"` // share of the material that misses the plot
	KeepOffShare []float64 `json:"keep_off_share,omitempty"`
}
