package stand

import (
	"math"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Disc is the implement that covers the seed. Efficiency is the share of the
// time and width that is really worked, overlap and turns taken off; zero
// takes the usual one. Times is how often the ground is gone over; zero is once.
type Disc struct {
	Width      units.Length `json:"width_m"`
	Speed      units.Speed  `json:"speed_mps"`
	Efficiency float64      `json:"efficiency,omitempty"`
	Times      int          `json:"times,omitempty"`
}

// usualEfficiency is that of the worked example of Iowa State PM 696 for large
// fields; a small plot with many turns has less.
const usualEfficiency = 0.70

// EfficiencyMark is what stands behind the usual efficiency.
func EfficiencyMark() source.Mark {
	return source.Mark{Kind: source.Published, Cite: "Iowa State PM 696"}
}

// PerSecond is the square metres worked in a second, once over.
func (d Disc) PerSecond() (float64, error) {
	if d.Efficiency == 0 {
		d.Efficiency = usualEfficiency
	}
	switch {
	case !(d.Width > 0) || math.IsInf(float64(d.Width), 0):
		return 0, fault.New("disc", "the disc has no width", "give the width that it works").In("width_m")
	case !(d.Speed > 0) || math.IsInf(float64(d.Speed), 0):
		return 0, fault.New("disc", "the disc has no speed", "give the speed when discing").In("speed_mps")
	case !(d.Efficiency > 0 && d.Efficiency <= 1):
		return 0, fault.New("disc", "the efficiency does not lie between 0 and 1", "give a share such as 0.7").In("efficiency")
	case d.Times < 0 || d.Times > 20:
		return 0, fault.New("disc", "the times over do not lie between 1 and 20", "give a small number").In("times")
	}
	return float64(d.Width) * float64(d.Speed) * d.Efficiency, nil
}

// Time is how long the disc takes for an area.
func (d Disc) Time(area units.Area) (units.Duration, error) {
	rate, err := d.PerSecond()
	if err != nil {
		return 0, err
	}
	return units.Duration(float64(area) * float64(max(d.Times, 1)) / rate), nil
}

// Passes is how many runs side by side cover a plot so far across, all times
// over counted.
func (d Disc) Passes(across units.Length) (int, error) {
	const most = 100000
	if _, err := d.PerSecond(); err != nil {
		return 0, err
	}
	side := math.Ceil(float64(across/d.Width) - 1e-9)
	if !(side >= 1 && side <= most) {
		return 0, fault.New("disc", "the plot is no whole number of passes across", "give how far across the plot is").In("across_m")
	}
	return int(side) * max(d.Times, 1), nil
}
