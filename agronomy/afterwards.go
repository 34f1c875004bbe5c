package agronomy

import (
	"time"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
)

// usualHoop is the hoop that a person throws: 30 in across, whose area the
// trade's tables print. Any hoop serves once its size is said.
const usualHoop = 30 * units.Inch

// look says what should lie on the ground after spreading.
func (j *job) look() {
	for _, a := range j.result.Amounts {
		if a.Class != mix.Seed || a.SeedsPerArea == 0 {
			continue
		}
		crop, err := j.catalog.Crop(a.ID)
		if err != nil {
			crop = catalog.Crop{Name: a.Material} // the person's own, described in the mix
		}
		j.sheet.Stand = append(j.sheet.Stand, stand.Expect(crop, seed.Sown{Seeds: a.SeedsPerArea}, usualHoop))
	}
}

// followUp says what comes once the hopper is empty.
func (j *job) followUp() {
	after := &j.sheet.Afterwards
	if depth, ok := stand.Depths(j.sowings(), j.options.System); ok {
		after.DiscDepthMax = depth.Max
		after.Says = append(after.Says, depth.Says...)
	}
	if d := j.result.Dressing; d != nil {
		after.TopDressing = &Window{
			What: "Second nitrogen", From: dayAfter(j.options.Date, d.From), To: dayAfter(j.options.Date, d.To), Says: d.Says,
		}
	}
}

// sowings are the depths of the mix's seeds, as far as they are known.
func (j *job) sowings() []stand.Sowing {
	var all []stand.Sowing
	for _, a := range j.result.Amounts {
		crop, err := j.catalog.Crop(a.ID)
		if a.Class != mix.Seed || err != nil {
			continue
		}
		if sowing, ok := stand.SowingOf(crop); ok {
			all = append(all, sowing)
		}
	}
	return all
}

// dayAfter is a date some days later; the date was checked when the job began.
func dayAfter(date string, days int) string {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return day.AddDate(0, 0, days).Format(time.DateOnly)
}

// answer gathers the warnings and says where the figures come from.
func (j *job) answer() {
	for _, w := range j.result.Warnings {
		j.sheet.Warnings = append(j.sheet.Warnings, Note{Says: w.Says, Mark: w.Mark})
	}
	j.sheet.Sources = append([]source.Entry{{
		Figure: "ground.area_m2", Says: "the area", Mark: source.Mark{Kind: source.Measured},
	}}, j.result.Sources...)
}
