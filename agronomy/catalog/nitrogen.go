package catalog

import "evenfall/agronomy/source"

// Days is a span of days.
type Days struct {
	From int `json:"from_days"`
	To   int `json:"to_days"`
}

// What surface urea asks for before it is lost to the air: days to work it in
// or to have rain, and the rain that does it in inches. North Dakota State
// Univ., Understanding Urea; for urea left on bare or covered soil.
const (
	UreaWarmDaysLow  = 2
	UreaWarmDaysHigh = 3
	UreaCoolDays     = 5
	UreaRainInches   = 0.5
)

// UreaMark is what stands behind the urea figures.
func UreaMark() source.Mark {
	return source.Mark{Kind: source.Published, Cite: "North Dakota State Univ., Understanding Urea"}
}

// SecondNitrogen is the printed span from planting to the second dressing of
// soluble nitrogen, and where it is printed.
func SecondNitrogen() (Days, source.Mark) {
	return Days{From: 30, To: 45}, source.Mark{Kind: source.Published, Cite: "Mississippi Dept. of Wildlife, Fisheries and Parks"}
}

// SecondNitrogenHabit is the span that people go by: four to six weeks, common
// practice, no source.
func SecondNitrogenHabit() (Days, source.Mark) {
	return Days{From: 28, To: 42}, source.Mark{Kind: source.Practice}
}
