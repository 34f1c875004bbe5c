// Package finished looks back at a job: what was really used of each material,
// and what that teaches about the spreader's gate.
package finished

import (
	"fmt"
	"math"
	"slices"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Told is what a person says of a job. A hopper group that is not told of
// teaches nothing. Date is YYYY-MM-DD, the day of the job.
type Told struct {
	Date   string  `json:"date"`
	Groups []Group `json:"groups"`
}

// Group is one hopper group of the sheet as it was really driven. Left is what
// stayed in the hopper of all that the sheet says to pour, LeftHoppers the same
// in fillings; without either, Used says material by material what went out.
// Gate is the mark it was driven at, the sheet's where nil; Speed and Passes
// are the sheet's where zero.
type Group struct {
	Group       int         `json:"group"`
	Gate        *float64    `json:"gate,omitempty"`
	Speed       units.Speed `json:"speed_mps,omitempty"`
	Passes      int         `json:"passes,omitempty"`
	Left        *units.Mass `json:"left_kg,omitempty"`
	LeftHoppers *float64    `json:"left_hoppers,omitempty"`
	Used        []Spent     `json:"used,omitempty"`
}

// Spent is what went out of one material: weighed, or in bags.
type Spent struct {
	ID   string      `json:"id"` // as the sheet's materials have it
	Mass *units.Mass `json:"mass_kg,omitempty"`
	Bags *float64    `json:"bags,omitempty"`
}

// Job is what the job came to. Materials are in the sheet's order, a material
// of several hopper groups summed over those that were told.
type Job struct {
	Materials []Material `json:"materials"`
	Lessons   []Lesson   `json:"lessons"`
}

// Material is what was planned and used of one material on the ground that was
// really driven over.
type Material struct {
	ID          string            `json:"id"`
	Material    string            `json:"material"`
	Planned     units.Mass        `json:"planned_kg"`
	Used        units.Mass        `json:"used_kg"`
	PlannedRate units.MassPerArea `json:"planned_rate_kg_per_m2"`
	UsedRate    units.MassPerArea `json:"used_rate_kg_per_m2"`
	Share       float64           `json:"used_share"` // of the planned rate
}

// Lesson is what one hopper group teaches about the gate. Test is the job as a
// catch test, nil without a gate mark. Correction is how the gate differed from
// the catch tests, and Spreader the machine that knows it, or, where no catch
// test of the material is there yet, that has the job for one; both are nil
// where nothing can be learned, and Says tells why.
type Lesson struct {
	Group      int                  `json:"group"`
	Contents   string               `json:"contents"`
	Planned    units.Mass           `json:"planned_kg"` // for what was driven
	Used       units.Mass           `json:"used_kg"`
	Driven     units.Length         `json:"driven_m"` // gate open, at the full flow
	Passes     int                  `json:"passes"`
	Test       *spreader.CatchTest  `json:"test,omitempty"`
	Correction *spreader.Correction `json:"correction,omitempty"`
	Spreader   *spreader.Spreader   `json:"spreader,omitempty"`
	Says       string               `json:"says"`
}

// LookBack compares what a person tells of a job with its sheet, and with the
// catch tests of the machine that did it. A nil machine is no longer known and
// learns nothing. Sentences are in the given units.
func LookBack(sheet agronomy.Sheet, machine *spreader.Spreader, told Told, sys units.System) (Job, error) {
	job := Job{Materials: []Material{}, Lessons: []Lesson{}}
	if machine != nil {
		if err := machine.Validate(); err != nil {
			return job, err
		}
	}
	for i, g := range told.Groups {
		at := fmt.Sprintf("groups[%d]", i)
		if slices.ContainsFunc(told.Groups[:i], func(other Group) bool { return other.Group == g.Group }) {
			return job, fault.New("group", fmt.Sprintf("filling %d is told of twice", g.Group), "tell of it once").In(at + ".group")
		}
		done, err := drive(sheet, g, sys)
		if err != nil {
			return job, inGroup(err, at)
		}
		job.add(done)
		if machine != nil {
			job.Lessons = append(job.Lessons, done.lesson(*machine, told.Date, sys))
		}
	}
	return job, nil
}

func inGroup(err error, at string) error {
	if f, ok := fault.From(err); ok {
		return f.In(at + "." + f.Where.Field)
	}
	return err
}

// driven is one hopper group with what became of it.
type driven struct {
	setting agronomy.GroupSetting
	told    Group
	amounts []mix.Amount
	used    []units.Mass // one per amount
	share   float64      // of the path, at the full flow
	lengthM float64
	area    units.Area
	passes  int
}

func drive(sheet agronomy.Sheet, told Group, sys units.System) (driven, error) {
	d := driven{told: told}
	at := slices.IndexFunc(sheet.Spreader.Groups, func(s agronomy.GroupSetting) bool { return s.Group == told.Group })
	if at < 0 {
		return d, fault.New("group", fmt.Sprintf("the sheet has no filling %d", told.Group), "use the number that the sheet has").In("group")
	}
	d.setting = sheet.Spreader.Groups[at]
	for _, a := range sheet.Materials {
		if a.Group == told.Group {
			d.amounts = append(d.amounts, a)
		}
	}
	if err := d.follow(sheet); err != nil {
		return d, err
	}
	return d, d.empty(sheet.Loads, sys)
}

// follow adds up the passes that were driven.
func (d *driven) follow(sheet agronomy.Sheet) error {
	all := sheet.Drive.Passes
	d.passes = d.told.Passes
	if d.passes == 0 {
		d.passes = len(all)
	}
	if d.passes < 1 || d.passes > len(all) {
		return fault.New("passes", fmt.Sprintf("the sheet has %d passes", len(all)), "say how many of them were driven").In("passes")
	}
	var sum, part float64
	for i, p := range all {
		sum += p.LengthM * p.Flow
		if i < d.passes {
			part += p.LengthM * p.Flow
		}
	}
	full := agronomy.FullFlowM(all)
	if !(sum > 0 && part > 0 && full > 0) {
		return fault.New("passes", "the sheet's passes have no length", "work the sheet out again").In("passes")
	}
	d.share = part / sum
	d.lengthM, d.area = full*d.share, units.Area(sheet.Ground.SpreadM2*d.share)
	return nil
}

// mostTimes is how often over the plan more cannot have gone out of a hopper:
// a slip of the unit. Common practice, no source.
const mostTimes = 20

// empty works out what went out of the hopper.
func (d *driven) empty(loads []mix.Load, sys units.System) error {
	var planned units.Mass
	for _, a := range d.amounts {
		planned += a.SpreadMass
	}
	switch {
	case d.told.Left != nil:
		return d.leave(*d.told.Left, planned, "left_kg", sys)
	case d.told.LeftHoppers != nil:
		at := slices.IndexFunc(loads, func(l mix.Load) bool { return l.Group == d.told.Group })
		if at < 0 {
			return fault.New("left", "the sheet has no load of this filling", "weigh what is left instead").In("left_hoppers")
		}
		return d.leave(units.Mass(*d.told.LeftHoppers)*loads[at].Mass, planned, "left_hoppers", sys)
	}
	for i, a := range d.amounts {
		used, err := d.spent(a)
		if err == nil && !(used >= 0 && used <= mostTimes*a.SpreadMass) {
			err = fault.New("used", fmt.Sprintf("%s of %s does not lie between none and %d times the plan", used.Format(sys), a.Material, mostTimes), "check the weight and its unit").In(fmt.Sprintf("used[%d]", d.toldAt(a)))
		}
		if err != nil {
			return err
		}
		d.used = append(d.used[:i], used)
	}
	return nil
}

// leave takes what is left in the hopper off every material by its part.
func (d *driven) leave(left, planned units.Mass, field string, sys units.System) error {
	if !(left >= 0 && left < planned) {
		return fault.New("left", "what was left does not lie between nothing and the "+planned.Format(sys)+" that the sheet says to pour", "if more was poured, say what was used instead").In(field)
	}
	for _, a := range d.amounts {
		d.used = append(d.used, a.SpreadMass*(1-left/planned))
	}
	return nil
}

// toldAt is where a material stands among what was told; below zero if nowhere.
func (d *driven) toldAt(a mix.Amount) int {
	return slices.IndexFunc(d.told.Used, func(s Spent) bool { return s.ID == a.ID })
}

// spent is what was told of one material.
func (d *driven) spent(a mix.Amount) (units.Mass, error) {
	i := d.toldAt(a)
	if i < 0 {
		return 0, fault.New("used", "it is not said what was used of "+a.Material, "weigh what is left and take it off, or count the bags").In("used")
	}
	field := fmt.Sprintf("used[%d]", i)
	switch s := d.told.Used[i]; {
	case s.Mass != nil:
		return *s.Mass * d.partOf(a), nil
	case s.Bags != nil && a.BagMass > 0:
		return units.Mass(*s.Bags) * a.BagMass * d.partOf(a), nil
	case s.Bags != nil:
		return 0, fault.New("bags", a.Material+" has no bag on the sheet", "give the weight").In(field + ".bags")
	}
	return 0, fault.New("used", "it is not said what was used of "+a.Material, "give a weight or bags").In(field + ".mass_kg")
}

// partOf shares what was told of an id among the items of the group that have
// it: nearly always one.
func (d *driven) partOf(a mix.Amount) units.Mass {
	var all units.Mass
	for _, other := range d.amounts {
		if other.ID == a.ID {
			all += other.SpreadMass
		}
	}
	if all == 0 {
		return 1
	}
	return a.SpreadMass / all
}

// add puts a group's materials among those of the job.
func (j *Job) add(d driven) {
	for i, a := range d.amounts {
		planned := a.SpreadMass * units.Mass(d.share)
		at := slices.IndexFunc(j.Materials, func(m Material) bool { return m.ID == a.ID })
		if at < 0 {
			at = len(j.Materials)
			j.Materials = append(j.Materials, Material{ID: a.ID, Material: a.Material})
		}
		m := &j.Materials[at]
		m.Planned += planned
		m.Used += d.used[i]
		m.PlannedRate += planned.Over(d.area)
		m.UsedRate += d.used[i].Over(d.area)
		if m.PlannedRate > 0 {
			m.Share = float64(m.UsedRate / m.PlannedRate)
		}
	}
}

func (d driven) lesson(machine spreader.Spreader, date string, sys units.System) Lesson {
	l := Lesson{Group: d.told.Group, Contents: d.setting.Contents, Driven: units.Length(d.lengthM), Passes: d.passes}
	for i, a := range d.amounts {
		l.Planned += a.SpreadMass * units.Mass(d.share)
		l.Used += d.used[i]
	}
	gate, known := d.setting.GateMark, d.setting.GateMark != 0
	if d.told.Gate != nil {
		gate, known = *d.told.Gate, true
	}
	if !known {
		l.Says = "Say at which mark the gate stood, and the job is held against the catch tests."
		return l
	}
	l.Test = &spreader.CatchTest{Material: d.material(), Gate: gate, Mass: l.Used, Course: l.Driven, Speed: d.speed()}
	l.learn(machine, date, sys)
	return l
}

func (d driven) speed() units.Speed {
	if d.told.Speed > 0 {
		return d.told.Speed
	}
	return d.setting.Speed
}

// material is the name that the group's catch tests go by; sheets saved by
// earlier programs know only the contents.
func (d driven) material() string {
	if d.setting.Material != "" {
		return d.setting.Material
	}
	return d.setting.Contents
}

// alike is the difference that is not worth a sentence: what a scale in the
// field misses. Common practice, no source.
const alike = 0.02

func (l *Lesson) learn(machine spreader.Spreader, date string, sys units.System) {
	c, err := machine.CorrectFlow(*l.Test, date, sys)
	found, isFault := fault.From(err)
	switch {
	case isFault && found.Code == "no_catch_test":
		l.adopt(machine, sys)
	case isFault:
		l.Says = sentence(found.What + ": " + found.Remedy)
	default:
		next := machine.WithCorrection(c)
		l.Correction, l.Spreader = &c, &next
		l.Says = flowWords(float64(c.Real)/float64(c.Expected) - 1)
	}
}

// adopt makes the job the first catch test of its material.
func (l *Lesson) adopt(machine spreader.Spreader, sys units.System) {
	flow := l.Test.Flow().Format(sys)
	machine.CatchTests = append(slices.Clone(machine.CatchTests), *l.Test)
	if err := machine.Validate(); err != nil {
		l.Says = sentence(err.Error())
		return
	}
	l.Spreader = &machine
	l.Says = fmt.Sprintf("No catch test of %s is known for this spreader. The job can serve as the first: %s at %s.", l.Test.Material, flow, machine.Gate.Format(l.Test.Gate))
}

// flowWords say how the gate differed from its tests.
func flowWords(change float64) string {
	switch {
	case math.Abs(change) < alike:
		return fmt.Sprintf("The gate gave what the catch tests said, within %s.", units.Percent(alike))
	case change > 0:
		return fmt.Sprintf("The gate gave %s more than the catch tests said.", units.Percent(change))
	}
	return fmt.Sprintf("The gate gave %s less than the catch tests said.", units.Percent(-change))
}

func sentence(words string) string {
	if words == "" {
		return ""
	}
	if first := words[0]; first >= 'a' && first <= 'z' {
		words = string(first-'a'+'A') + words[1:]
	}
	return words + "."
}
