package spreader

import (
	"fmt"
	"math"
	"slices"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Limits of a pan test.
const (
	fewestPans = 3
	mostPans   = 200
	mostRuns   = 10
)

// PanTest is the catch of a row of pans set across the track, left to right as
// the driver sees them, driven over in one direction once or up to ten times.
// CentrePan is the pan under the machine, counted from one at the left; 8.5 is
// midway between the eighth and the ninth. Missing pans (left out for the
// wheels) are interpolated; what Runs holds for them is not looked at.
type PanTest struct {
	PanDistance units.Length `json:"pan_distance_m"` // centre to centre
	PanArea     units.Area   `json:"pan_area_m2,omitempty"`
	CentrePan   float64      `json:"centre_pan"`
	MissingPans []int        `json:"missing_pans,omitempty"` // counted from one at the left
	Runs        [][]float64  `json:"runs_kg"`                // any one unit will do for the pattern
}

// Validate returns a fault that names the field, or nil.
func (t PanTest) Validate() error {
	switch {
	case len(t.Runs) == 0:
		return fault.New("missing", "the pan test has no run", "enter what the pans caught").In("runs_kg")
	case len(t.Runs) > mostRuns:
		return fault.New("too_many_runs", "a pan test holds up to ten runs", "leave out the odd ones").Of(fault.TooLarge).In("runs_kg")
	case len(t.Runs[0]) < fewestPans || len(t.Runs[0]) > mostPans:
		return fault.New("range", "a pan test needs 3 to 200 pans", "use at least three, the middle one under the machine").In("runs_kg")
	case !(t.PanDistance >= 0.01 && t.PanDistance <= 20):
		return fault.New("range", "pans stand between half an inch and 65 ft apart", "measure from centre to centre").In("pan_distance_m")
	case !(t.PanArea >= 0) || math.IsInf(float64(t.PanArea), 0):
		return fault.New("range", "the area of a pan is not below zero", "leave it out when it is not known").In("pan_area_m2")
	case !(t.CentrePan >= 1 && t.CentrePan <= float64(len(t.Runs[0]))):
		return fault.New("range", "the machine passed beside the pans", "say which pan was under it, counted from one at the left").In("centre_pan")
	}
	if err := t.validateRuns(); err != nil {
		return err
	}
	return t.validateMissing()
}

func (t PanTest) validateRuns() error {
	for r, run := range t.Runs {
		if len(run) != len(t.Runs[0]) {
			return fault.New("uneven_runs", fmt.Sprintf("run %d has %d pans, run 1 has %d", r+1, len(run), len(t.Runs[0])), "every run uses the same pans").In("runs_kg")
		}
		for i, caught := range run {
			if !(caught >= 0 && caught <= 1e9) && !slices.Contains(t.MissingPans, i+1) {
				return fault.New("range", fmt.Sprintf("run %d, pan %d: a catch is a number from zero up", r+1, i+1), "correct it, or list the pan as missing").In("runs_kg")
			}
		}
	}
	return nil
}

func (t PanTest) validateMissing() error {
	pans := len(t.Runs[0])
	for _, pan := range t.MissingPans {
		if pan <= 1 || pan >= pans {
			return fault.New("missing_edge", fmt.Sprintf("pan %d cannot be missing: only pans between two others can be interpolated", pan), "leave the edge pan out of the row instead").In("missing_pans")
		}
	}
	if total := sum(t.Average()); !(total > 0) {
		return fault.New("empty", "the pans caught nothing", "enter what they weighed less the empty pan").In("runs_kg")
	}
	return nil
}

// Average is the mean catch of every pan over the runs, missing pans filled in
// straight lines between their nearest neighbours.
func (t PanTest) Average() []float64 {
	mean := make([]float64, len(t.Runs[0]))
	for _, run := range t.Runs {
		for i, caught := range run {
			mean[i] += caught / float64(len(t.Runs))
		}
	}
	for i := range mean {
		if slices.Contains(t.MissingPans, i+1) {
			mean[i] = t.interpolated(mean, i)
		}
	}
	return mean
}

// interpolated is the straight line at a missing pan. Pans before it are
// already filled, so only the next one that was there has to be found.
func (t PanTest) interpolated(mean []float64, i int) float64 {
	next := i + 1
	for slices.Contains(t.MissingPans, next+1) {
		next++
	}
	return mean[i-1] + (mean[next]-mean[i-1])/float64(next-i+1)
}

func (t PanTest) width() units.Length {
	if len(t.Runs) == 0 {
		return 0
	}
	return t.PanDistance * units.Length(len(t.Runs[0])-1)
}

// line is the average catch over the distance from the track, right positive.
func (t PanTest) line() (x, y []float64) {
	y = t.Average()
	x = make([]float64, len(y))
	for i := range x {
		x[i] = (float64(i+1) - t.CentrePan) * float64(t.PanDistance)
	}
	return x, y
}

// Fold is what the pans say of one spacing: figures over the pans that lie
// within one repeat of the passes. CU and DU are those of irrigation trials.
type Fold struct {
	Catch          []float64 `json:"catch_kg"` // overlapped, left to right
	CVPopulation   float64   `json:"cv_population"`
	CVSample       float64   `json:"cv_sample"`
	ChristiansenCU float64   `json:"christiansen_cu"` // 1 - mean departure over mean
	DULowHalf      float64   `json:"du_low_half"`     // mean of the lower half over mean
	DULowQuarter   float64   `json:"du_low_quarter"`
}

// Fold overlaps the pans at a spacing, straight lines between pans and nothing
// beyond the outermost, and reads the result at the pans of one lane (of two,
// back and forth). Pattern.Profile and Overlap use the whole line instead,
// which suits every spacing; Fold is how the trials print it.
func (t PanTest) Fold(spacing units.Length, way Way) (Fold, error) {
	if err := t.Validate(); err != nil {
		return Fold{}, err
	}
	if err := checkWay(way); err != nil {
		return Fold{}, err
	}
	if !(spacing >= 2*t.PanDistance && spacing <= 100*mostThrow) {
		return Fold{}, fault.New("range", "the spacing must be at least two pans wide", "set the pans closer, or choose a wider spacing").In("spacing_m")
	}
	x, y := t.line()
	lane := cross{lo: x[0], hi: x[len(x)-1], density: func(at float64) float64 {
		return catchAt(y, at/float64(t.PanDistance)+t.CentrePan-1)
	}}
	var catch []float64
	for _, at := range t.stations(spacing, way) {
		catch = append(catch, lane.fold(at, float64(spacing), way))
	}
	return figures(catch), nil
}

// catchAt is the straight line between pans, counted from zero, and nothing
// beyond them. What falls on a pan but for rounding is that pan: at the
// outermost ones a hair decides between a catch and none.
func catchAt(y []float64, pan float64) float64 {
	if whole := math.Round(pan); math.Abs(pan-whole) < 1e-6 {
		pan = whole
	}
	last := len(y) - 1
	if pan < 0 || pan > float64(last) {
		return 0
	}
	i := min(int(pan), last-1)
	return y[i] + (y[i+1]-y[i])*(pan-float64(i))
}

// stations are the pan positions within one repeat around the track. Edges of
// the repeat are the same place twice, so the right one is left out.
func (t PanTest) stations(spacing units.Length, way Way) []float64 {
	from, to := -spacing/2, spacing/2
	if way == BackAndForth {
		to += spacing
	}
	step, slack := float64(t.PanDistance), 1e-6*float64(t.PanDistance)
	offset := math.Mod(t.CentrePan, 1) * step
	first := math.Ceil((float64(from)-offset-slack)/step)*step + offset
	var at []float64
	for i := 0; ; i++ {
		x := first + float64(i)*step
		if x >= float64(to)-slack {
			return at
		}
		at = append(at, x)
	}
}

func figures(catch []float64) Fold {
	n := float64(len(catch))
	mean := sum(catch) / n
	squares, off := 0.0, 0.0
	for _, caught := range catch {
		squares += (caught - mean) * (caught - mean)
		off += math.Abs(caught - mean)
	}
	return Fold{
		Catch:          catch,
		CVPopulation:   math.Sqrt(squares/n) / mean,
		CVSample:       math.Sqrt(squares/(n-1)) / mean,
		ChristiansenCU: 1 - off/n/mean,
		DULowHalf:      lowMean(catch, 2) / mean,
		DULowQuarter:   lowMean(catch, 4) / mean,
	}
}

// lowMean is the mean of the lowest part of the catches, at least one of them.
func lowMean(catch []float64, part int) float64 {
	low := slices.Sorted(slices.Values(catch))
	low = low[:max(1, len(low)/part)]
	return sum(low) / float64(len(low))
}

// Rate is what the test put on the ground at a spacing, when the area of a pan
// is known; zero otherwise.
func (t PanTest) Rate(spacing units.Length) units.MassPerArea {
	if t.PanArea == 0 || spacing <= 0 {
		return 0
	}
	x, y := t.line()
	return units.MassPerArea(area(x, y) / float64(t.PanArea) / float64(spacing))
}

func area(x, y []float64) float64 {
	total := 0.0
	for i := 1; i < len(x); i++ {
		total += (x[i] - x[i-1]) * (y[i] + y[i-1]) / 2
	}
	return total
}

func sum(values []float64) float64 {
	total := 0.0
	for _, v := range values {
		total += v
	}
	return total
}
