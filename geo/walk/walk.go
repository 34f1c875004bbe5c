// Package walk turns a recorded walk or drive round a plot into the plot, and
// says how far its area can be trusted. It takes positions with times, not
// files, and knows nothing of seed.
package walk

import (
	"math"

	"evenfall/geo"

	"github.com/paulmach/orb"
)

// Fix is one recorded position. LonLat is degrees of longitude and latitude on
// WGS84. TimeS is seconds since any moment, the same for all fixes of a trace;
// NaN where the recorder gave no time. AccuracyM is the radius in metres that
// the receiver believes to hold the true place in 68 % of cases; 0 when it did
// not say.
type Fix struct {
	LonLat    orb.Point
	TimeS     float64
	AccuracyM float64
}

// Result is the plot that was walked round, its measure, and what was done to
// get it.
type Result struct {
	Plot          geo.Plot `json:"-"`
	AreaM2        float64  `json:"area_m2"`
	PerimeterM    float64  `json:"perimeter_m"`
	UncertaintyM2 float64  `json:"uncertainty_m2"` // one standard deviation of the area
	Interval95    Interval `json:"interval95"`     // holds the true area in 95 cases of 100
	Lasting       bool     `json:"lasting"`        // errors that last gave the uncertainty, not independent ones
	SigmaM        float64  `json:"sigma_m"`        // error per axis that was reckoned with, root mean square
	GapM          float64  `json:"gap_m"`          // from the first fix to where the first lap was closed
	Laps          int      `json:"laps"`
	Used          int      `json:"used"` // fixes that the laps were made of
	Dropped       Dropped  `json:"dropped"`
	Notes         []string `json:"notes,omitempty"` // what a person should know, a sentence each
}

// Interval is a range of areas in square metres.
type Interval struct {
	LowM2  float64 `json:"low_m2"`
	HighM2 float64 `json:"high_m2"`
}

// Dropped counts the fixes that were left out, by reason.
type Dropped struct {
	Inaccurate int `json:"inaccurate"` // the receiver itself called them worse than the limit
	Repeated   int `json:"repeated"`   // less than a second after the one before
	Spikes     int `json:"spikes"`     // out of reach at any believable speed
	Standing   int `json:"standing"`   // merged into one while standing still
	Overlap    int `json:"overlap"`    // after the last full lap
}

// Trace makes a plot of a walk. Fixes may come in any order of time. The
// steps: fixes that the receiver itself doubts and fixes out of reach are
// dropped, standing still becomes one point, the loop is closed where it first
// comes back near its start, further laps are averaged in, the area and its
// uncertainty are taken from every fix that is left, and only then is the line
// simplified for drawing; an offset is applied last.
//
// The error is a *fault.Error whose code is one of: too_many_fixes,
// too_few_fixes, not_finite, implausible, no_times, straight_line,
// never_closed, self_crossing, no_area, offset_too_large, bad_option, or one
// of those of geo.NewPlot.
func Trace(name string, fixes []Fix, o Options) (Result, error) {
	o, err := o.filled()
	if err != nil {
		return Result{}, err
	}
	if err := checkFixes(fixes); err != nil {
		return Result{}, err
	}
	var done Result
	track, frame, err := cleaned(fixes, o, &done.Dropped)
	if err != nil {
		return Result{}, err
	}
	laps, err := splitLaps(track, o, frame, &done)
	if err != nil {
		return Result{}, err
	}
	return done.measured(name, laps, frame, o)
}

// measured fills in all that follows from the laps.
func (done Result) measured(name string, laps []lap, frame geo.Frame, o Options) (Result, error) {
	b := budgetOf(laps, o)
	outline, shiftM2, err := outlined(laps, b, frame)
	if err != nil {
		return Result{}, err
	}
	polygon, err := offset(outline, o.OffsetM)
	if err != nil {
		return Result{}, err
	}
	if done.Plot, err = geo.NewPlot(name, frame.LonLatPolygon(polygon)); err != nil {
		return Result{}, err
	}
	done.AreaM2, done.PerimeterM = done.Plot.AreaM2(), done.Plot.PerimeterM()
	done.UncertaintyM2 = math.Hypot(b.deviationM2, shiftM2)
	done.Lasting, done.SigmaM = b.lasting, b.sigmaM
	done.Interval95 = interval(done.AreaM2, done.UncertaintyM2)
	done.Laps = len(laps)
	for _, l := range laps {
		done.Used += len(l)
	}
	done.Notes = done.notes(laps, b, o)
	return done, nil
}
