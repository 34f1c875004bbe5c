package mix

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Dressing is the second nitrogen dressing that quickly available nitrogen
// calls for, in days after planting. The span of common practice is used;
// Printed is what a source prints for soluble nitrogen.
type Dressing struct {
	catalog.Days
	Says        string       `json:"says"`
	Mark        source.Mark  `json:"mark"`
	Printed     catalog.Days `json:"printed"`
	PrintedMark source.Mark  `json:"printed_mark"`
}

// plainMost is the share of the nitrogen that may be quickly available before
// a second dressing is called for; common practice, no source.
const plainMost = 0.5

// dressing is nil when no nitrogen is spread, when most of it is slow or
// inhibited, and when all that is sown are legumes, which find their own.
func dressing(all []stuff, amounts []Amount) *Dressing {
	if legumesOnly(all) {
		return nil
	}
	var plain, sum units.Mass
	for i, s := range all {
		n := amounts[i].SpreadMass * units.Mass(s.grade.N)
		sum += n
		if s.product.Release == catalog.Plain {
			plain += n
		}
	}
	if sum == 0 || plain <= plainMost*sum {
		return nil
	}
	var d Dressing
	d.Days, d.Mark = catalog.SecondNitrogenHabit()
	d.Printed, d.PrintedMark = catalog.SecondNitrogen()
	d.Says = fmt.Sprintf("%s of the nitrogen is available at once and does not last: put on the second nitrogen %d to %d weeks after planting (%d to %d days are printed)",
		units.Percent(float64(plain/sum)), d.From/7, d.To/7, d.Printed.From, d.Printed.To)
	return &d
}

// legumesOnly tells whether something is sown and all of it is a legume.
func legumesOnly(all []stuff) bool {
	sown := false
	for _, s := range all {
		if s.class == Seed && !s.crop.Legume {
			return false
		}
		sown = sown || s.class == Seed
	}
	return sown
}
