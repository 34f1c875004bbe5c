package agronomy

import (
	"evenfall/agronomy/calendar"
	"evenfall/agronomy/source"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo"
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
	j.sheet.Sources = append(j.groundSources(), j.result.Sources...)
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
