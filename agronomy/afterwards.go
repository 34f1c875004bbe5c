package agronomy

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"evenfall/agronomy/calendar"
	"evenfall/agronomy/source"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
)

// usualHoop is the hoop that a person throws: 30 in across, whose area the
// trade's tables print. Any hoop serves once its size is said.
const usualHoop = 30 * units.Inch

// look says what should lie on the ground after spreading.
func (j *job) look() {
	for _, s := range j.result.Sowings {
		j.sheet.Stand = append(j.sheet.Stand, stand.Expect(s.Crop, s.Sown, usualHoop))
	}
}

// followUp says what comes once the hopper is empty.
func (j *job) followUp() error {
	after := &j.sheet.Afterwards
	after.DiscDepthMax, after.Says = j.discDepth()
	if err := j.discTime(); err != nil {
		return err
	}
	due, err := calendar.Season(j.sheet.Plot, j.options.Date, j.result.Dressing)
	if err != nil {
		return err
	}
	for i, e := range due {
		window := Window{What: e.What, From: e.From, To: e.To, Says: e.Says, Mark: e.Mark}
		if i == 0 && j.result.Dressing != nil {
			after.TopDressing = &window
			continue
		}
		after.Due = append(after.Due, window)
	}
	return nil
}

// discDepth is the person's own depth where it is given, else what the mix's
// seeds bear; zero when nothing is known.
func (j *job) discDepth() (units.Length, []string) {
	if own := j.options.DiscDepth; own > 0 {
		return own, []string{"Disc no deeper than " + own.Format(j.options.System)}
	}
	depth, ok := stand.Depths(j.sowings(), j.options.System)
	if !ok {
		return 0, nil
	}
	return depth.Max, depth.Says
}

// discTime is how long the disc takes over what was spread, and in how many
// runs along the plot's long side.
func (j *job) discTime() error {
	if j.options.Disc == nil {
		return nil
	}
	disc, after := *j.options.Disc, &j.sheet.Afterwards
	took, err := disc.Time(units.Area(j.sheet.Ground.SpreadM2))
	if err != nil {
		return inDisc(err)
	}
	runs, err := disc.Passes(narrowest(j.sheet.Ground.Local[0]))
	if err != nil {
		return inDisc(err)
	}
	after.DiscTime = took
	after.Says = append(after.Says, fmt.Sprintf("Discing takes about %s at %s: %s runs of %s along the long side, all times over counted",
		took.Format(), disc.Speed.Format(j.options.System), units.Count(float64(runs)), disc.Width.Format(j.options.System)))
	if disc.Efficiency == 0 {
		j.sheet.Sources = append(j.sheet.Sources, source.Entry{Figure: "afterwards.disc_time_s", Says: "the share of its width and speed that a disc really works", Mark: stand.EfficiencyMark()})
	}
	return nil
}

func inDisc(err error) error {
	if f, ok := fault.From(err); ok {
		return f.In("disc." + f.Where.Field)
	}
	return err
}

// narrowest is how far across a ring is at its narrowest, looked for at every
// degree: on a plot ten times as long as wide that is a tenth too much at the
// most.
func narrowest(ring orb.Ring) units.Length {
	least := math.Inf(1)
	for degrees := range 180 {
		sin, cos := math.Sincos(float64(degrees) * math.Pi / 180)
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range ring {
			at := p[0]*cos + p[1]*sin
			low, high = min(low, at), max(high, at)
		}
		least = min(least, high-low)
	}
	return units.Length(least)
}

// sowings are the depths of the mix's seeds, as far as they are known.
func (j *job) sowings() []stand.Sowing {
	var all []stand.Sowing
	for _, s := range j.result.Sowings {
		if sowing, ok := stand.SowingOf(s.Crop); ok {
			all = append(all, sowing)
		}
	}
	return all
}

// bagNotes is the code of the mix's notes on opened bags; they stand with the
// shopping and not among the warnings, which a driver has to read.
const bagNotes = "whole_bags"

// answer sorts the mix's warnings and cautions and says where the figures come
// from.
func (j *job) answer() {
	j.sheet.Cautions = append(j.sheet.Cautions, goodsCautions(j.result, j.options.System)...)
	for _, w := range j.result.Warnings {
		note := Note{Says: w.Says, Mark: w.Mark}
		if w.Code == bagNotes {
			j.sheet.BagNotes = append(j.sheet.BagNotes, note)
		} else {
			j.sheet.Warnings = append(j.sheet.Warnings, note)
		}
	}
	j.sheet.Sources = slices.Concat(j.groundSources(), j.result.Sources, j.sheet.Sources)
}

// groundSources answer for the area by how it was measured.
func (j *job) groundSources() []source.Entry {
	survey := j.plot.Survey
	area := source.Entry{Figure: "ground.area_m2", Says: "the area, " + string(survey.Method), Mark: source.Mark{Kind: source.Measured}}
	if survey.Method == geo.Guessed {
		area.Mark.Kind = source.Stated
	}
	if survey.UncertaintyM2 == 0 {
		return []source.Entry{area}
	}
	doubt := source.Entry{Figure: "ground.uncertainty_m2", Says: "its uncertainty, from how well the corners are placed", Mark: source.Mark{Kind: source.Practice}}
	if survey.Method == geo.Walked {
		doubt.Says, doubt.Mark.Kind = "its uncertainty, from the receiver's errors along the walk", source.Measured
	}
	return []source.Entry{area, doubt}
}
