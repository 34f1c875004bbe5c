// Package agronomy works out inputs for a measured area. Prepare composes the
// packages below it into one Sheet; everything that any output shows is there.
package agronomy

import (
	"github.com/paulmach/orb"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/coverage"
	"evenfall/geo/passes"
)

// Sheet is everything worked out for one plot on one day. Quantities are SI;
// System says which units a person wants to read. It is a pure function of
// what Prepare was given: same inputs, same bytes.
type Sheet struct {
	Format     int              `json:"format"` // of this layout; 1
	Property   string           `json:"property,omitempty"`
	Plot       string           `json:"plot"`
	Date       string           `json:"date"` // YYYY-MM-DD, the day of the job
	System     units.System     `json:"units"`
	Ground     Ground           `json:"ground"`
	Spreader   Setting          `json:"spreader"`
	Drive      Drive            `json:"drive"`
	Evenness   Evenness         `json:"evenness"`
	Plans      []PlanSummary    `json:"plans"`
	Mix        string           `json:"mix"`
	Materials  []mix.Amount     `json:"materials"`
	Nutrients  mix.Nutrients    `json:"nutrients"`
	Soil       *SoilCheck       `json:"soil,omitempty"` // when a soil test was given
	Loads      []mix.Load       `json:"loads"`
	Shopping   []mix.Purchase   `json:"shopping"`
	Stand      []stand.Expected `json:"stand"`
	Afterwards Afterwards       `json:"afterwards"`
	BagNotes   []Note           `json:"bag_notes"` // what pouring whole bags would do
	Warnings   []Note           `json:"warnings"`
	Cautions   []Note           `json:"cautions"`
	Sources    []source.Entry   `json:"sources"`
}

// Ground is the plot and its size. The outline is longitude, latitude.
type Ground struct {
	Outline       orb.Polygon      `json:"outline"`
	Origin        orb.Point        `json:"origin"`  // longitude, latitude of the local frame's zero
	Local         orb.Polygon      `json:"local_m"` // the outline in that frame
	AreaM2        float64          `json:"area_m2"`
	SpreadM2      float64          `json:"spread_m2"` // to be covered: the area less what is kept off
	PerimeterM    float64          `json:"perimeter_m"`
	UncertaintyM2 float64          `json:"uncertainty_m2"` // one standard deviation
	Method        geo.Method       `json:"method"`
	MeasuredOn    string           `json:"measured_on,omitempty"`
	Guess         *GuessCheck      `json:"guess,omitempty"`
	KeepOff       []passes.KeepOff `json:"keep_off,omitempty"`
}

// GuessCheck is what the difference between the guess and the measured area
// does to one job: the rate really applied when what was bought for the guess
// is spread on the measured area, and the bags short (positive) or left over
// (negative) when the rate is kept instead.
type GuessCheck struct {
	AreaM2     float64     `json:"area_m2"`
	Date       string      `json:"date,omitempty"`
	Ratio      float64     `json:"ratio"`       // guess over measured
	RateFactor float64     `json:"rate_factor"` // rate really applied over the intended
	Bags       []BagsShort `json:"bags"`
	Says       string      `json:"says"`
}

// BagsShort is one material's part of a GuessCheck.
type BagsShort struct {
	Material string     `json:"material"`
	Mass     units.Mass `json:"short_kg"`
	Bags     float64    `json:"short_bags,omitempty"`
}

// Setting is the spreader as it should be set for this job.
type Setting struct {
	Name       string         `json:"name"`
	Throw      units.Length   `json:"throw_m"`
	Spacing    units.Length   `json:"spacing_m"`
	FirstInset units.Length   `json:"first_inset_m"`
	Gate       string         `json:"gate,omitempty"` // as the machine's scale reads
	Speed      units.Speed    `json:"speed_mps"`
	Per88Feet  units.Duration `json:"per_88_ft_s"`   // seconds over 88 ft at that speed
	Flow       units.Flow     `json:"flow_kg_per_s"` // needed for the rate at that speed and spacing
	Groups     []GroupSetting `json:"groups"`        // one per hopper group, in spreading order
	Says       []string       `json:"says,omitempty"`
}

// GroupSetting is the setting for one hopper group. Material is the name that
// its catch tests go by; GateMark is the Gate as a number of the scale, zero
// where no catch test tells. RateLow and RateHigh are
// the range that the catch tests' scatter allows; zero without catch tests.
type GroupSetting struct {
	Group    int               `json:"group"`
	Contents string            `json:"contents"`
	Material string            `json:"material,omitempty"`
	Rate     units.MassPerArea `json:"rate_kg_per_m2"`
	Flow     units.Flow        `json:"flow_kg_per_s"`
	Gate     string            `json:"gate,omitempty"`
	GateMark float64           `json:"gate_mark,omitempty"`
	Speed    units.Speed       `json:"speed_mps"`
	RateLow  units.MassPerArea `json:"rate_low_kg_per_m2,omitempty"`
	RateHigh units.MassPerArea `json:"rate_high_kg_per_m2,omitempty"`
	Lesser   *LesserGate       `json:"lesser,omitempty"`
	Says     []string          `json:"says,omitempty"`
}

// LesserGate is how the gate is set on the passes where it is less open than
// on the others. Passes are their numbers in the order of driving; Gate is
// empty where no catch test tells.
type LesserGate struct {
	Share  float64    `json:"share"` // of the greatest flow
	Opened string     `json:"opened"`
	Passes []int      `json:"passes"`
	On     string     `json:"on"` // the passes as a person says them
	Flow   units.Flow `json:"flow_kg_per_s"`
	Gate   string     `json:"gate,omitempty"`
}

// Drive is the chosen plan and what driving it takes.
type Drive struct {
	passes.Plan
	Time    units.Duration `json:"time_s"`                // at the speed, turns and travel included
	Bearing *float64       `json:"bearing_deg,omitempty"` // of the straight passes, if any, clockwise from true north, 0 to 180
	Start   orb.Point      `json:"start_m"`
	Refills []Refill       `json:"refills"`
}

// Refill is where a load runs out.
type Refill struct {
	AfterLoad int       `json:"after_load"`
	Pass      int       `json:"pass"`
	At        orb.Point `json:"at_m"`
}

// Evenness is what the chosen plan puts where.
type Evenness struct {
	coverage.Figures
	ExpectedCV float64          `json:"expected_cv,omitempty"` // with a driver's wander
	CVLow      float64          `json:"cv_low,omitempty"`      // 10th percentile of the wander runs
	CVHigh     float64          `json:"cv_high,omitempty"`     // 90th percentile
	Picture    *coverage.Raster `json:"picture,omitempty"`     // ratio to the target, coarse
	Says       string           `json:"says"`
}

// PlanSummary is one alternative with its figures.
type PlanSummary struct {
	Name         string            `json:"name"`
	Says         string            `json:"says"`
	Chosen       bool              `json:"chosen"`
	Habit        bool              `json:"habit"`
	CV           float64           `json:"cv"`
	ExpectedCV   float64           `json:"expected_cv,omitempty"`
	OutsideShare float64           `json:"outside_share"`
	LengthM      float64           `json:"length_m"`
	TravelM      float64           `json:"travel_length_m"`
	Turns        int               `json:"turns"`
	Time         units.Duration    `json:"time_s"`
	SpacingM     float64           `json:"spacing_m"`
	Best         []passes.Priority `json:"best,omitempty"` // the priorities that it serves best
	Lines        []orb.LineString  `json:"lines_m"`        // the passes, for a small picture
	Flows        []float64         `json:"flows"`          // of each pass, a share of the full flow
}

// Afterwards is what to do once the spreader is empty.
type Afterwards struct {
	DiscDepthMax units.Length   `json:"disc_depth_max_m,omitempty"`
	DiscTime     units.Duration `json:"disc_time_s,omitempty"`
	Says         []string       `json:"says"`
	TopDressing  *Window        `json:"top_dressing,omitempty"`
	Due          []Window       `json:"due,omitempty"` // stand count, soil re-test and the like
}

// Window is a span of days in which something is due, dates as YYYY-MM-DD.
type Window struct {
	What string      `json:"what"`
	From string      `json:"from"`
	To   string      `json:"to"`
	Says string      `json:"says,omitempty"`
	Mark source.Mark `json:"mark"`
}

// Note is a sentence for the reader, with where it comes from.
type Note struct {
	Says string      `json:"says"`
	Mark source.Mark `json:"mark"`
}
