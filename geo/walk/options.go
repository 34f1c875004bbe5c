package walk

import (
	"fmt"
	"math"

	"evenfall/geo/fault"
)

// Options steer Trace. The zero value is what a person gets who knows nothing
// of them.
type Options struct {
	// MaxAccuracyM is the accuracy beyond which a fix is dropped; 0 is
	// DefaultAccuracyM.
	MaxAccuracyM float64
	// MaxSpeedMPS is a speed beyond which a fix is a spike whatever the pace of
	// the rest; 0 judges by the pace alone.
	MaxSpeedMPS float64
	// OffsetM is how far inside (positive) or outside (negative) the edge of
	// the plot the line was walked or driven. It is taken as exact.
	OffsetM float64
	// SigmaM is the standard deviation of a fix per axis; 0 takes it from the
	// accuracy of each fix, and 3 m where there is none.
	SigmaM float64
	// CorrelationS is the time over which the receiver's error fades; 0 takes
	// it as unknown between 20 s and 120 s and uses the worst.
	CorrelationS float64
	// MaxGapM is how far from the start a walk may end and still be closed by
	// a straight line; 0 is six times the standard deviation, at least 8 m.
	MaxGapM float64
}

// DefaultAccuracyM drops what a receiver itself calls poor. Metres, radius of
// 68 %. Common practice, no source: a phone under open sky says 3 to 5.
const DefaultAccuracyM = 15.0

const (
	// defaultSigmaM is the per-axis error of a phone or handheld receiver under
	// open sky, in metres; the check values VAR-ACRE and VAR-AR1 of
	// testdata/reference/geo.csv reckon with the same.
	defaultSigmaM = 3.0
	// radiiPerSigma turns a 68 % radius into a standard deviation per axis:
	// sqrt(-2 ln 0.32), from the Rayleigh distribution of the distance of two
	// independent normal errors.
	radiiPerSigma = 1.5096
	// gapSigmas and leastGapM bound the closing gap: both ends err by sigma per
	// axis, so their distance passes six sigma once in 8,000 walks.
	gapSigmas = 6.0
	leastGapM = 8.0
	// maxOffsetM is the widest headland that anybody walks; metres, ours.
	maxOffsetM = 100.0
)

// plausibleCorrelationsS are the correlation times that are tried when none is
// stated, in seconds: about a minute, to a factor of two or three either way.
// Common practice, no source.
var plausibleCorrelationsS = [...]float64{20, 30, 45, 60, 90, 120}

// filled checks the options and puts the defaults in.
func (o Options) filled() (Options, error) {
	for _, given := range []struct {
		field string
		value float64
	}{
		{"max_accuracy_m", o.MaxAccuracyM}, {"max_speed_mps", o.MaxSpeedMPS},
		{"sigma_m", o.SigmaM}, {"correlation_s", o.CorrelationS}, {"max_gap_m", o.MaxGapM},
	} {
		if !(given.value >= 0) || math.IsInf(given.value, 0) {
			return o, fault.New("bad_option", fmt.Sprintf("%g is not zero or more", given.value),
				"leave it out for the usual value").In(given.field)
		}
	}
	if !(math.Abs(o.OffsetM) <= maxOffsetM) {
		return o, fault.New("bad_option", fmt.Sprintf("an offset of %g m is more than %g m", o.OffsetM, maxOffsetM),
			"give the distance from the line to the edge in metres, negative when the line ran outside").In("offset_m")
	}
	if o.MaxAccuracyM == 0 {
		o.MaxAccuracyM = DefaultAccuracyM
	}
	return o, nil
}

// sigma is the standard deviation per axis of a fix.
func (o Options) sigma(f Fix) float64 {
	switch {
	case o.SigmaM > 0:
		return o.SigmaM
	case f.AccuracyM > 0:
		return f.AccuracyM / radiiPerSigma
	default:
		return defaultSigmaM
	}
}

// correlations are the correlation times to try.
func (o Options) correlations() []float64 {
	if o.CorrelationS > 0 {
		return []float64{o.CorrelationS}
	}
	return plausibleCorrelationsS[:]
}
