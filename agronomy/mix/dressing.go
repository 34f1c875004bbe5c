package mix

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Days is a span of days after planting.
type Days struct {
	From int `json:"from_days"`
	To   int `json:"to_days"`
}

// Dressing is the second nitrogen dressing that quickly available nitrogen
// calls for. Practice is the span that is used; Printed is what a source prints
// for soluble nitrogen.
type Dressing struct {
	Days
	Says        string      `json:"says"`
	Mark        source.Mark `json:"mark"`
	Printed     Days        `json:"printed"`
	PrintedMark source.Mark `json:"printed_mark"`
}

// The spans to the second nitrogen. Four to six weeks is common practice, no
// source; 30 to 45 days is printed by the Mississippi Dept. of Wildlife,
// Fisheries and Parks.
const (
	dressingFromDays        = 28
	dressingToDays          = 42
	dressingPrintedFromDays = 30
	dressingPrintedToDays   = 45
	dressingCite            = "Mississippi Dept. of Wildlife, Fisheries and Parks"
)

// plainMost is the share of the nitrogen that may be quickly available before
// a second dressing is called for; common practice, no source.
const plainMost = 0.5

// dressing is nil when no nitrogen is spread or most of it is slow or
// inhibited.
func dressing(all []stuff, amounts []Amount) *Dressing {
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
	return &Dressing{
		Days: Days{dressingFromDays, dressingToDays},
		Says: fmt.Sprintf("%s of the nitrogen is available at once and does not last: a second nitrogen dressing %d to %d weeks after planting (%d to %d days are printed)",
			units.Percent(float64(plain/sum)), dressingFromDays/7, dressingToDays/7, dressingPrintedFromDays, dressingPrintedToDays),
		Mark:        practice(),
		Printed:     Days{dressingPrintedFromDays, dressingPrintedToDays},
		PrintedMark: published(dressingCite),
	}
}
