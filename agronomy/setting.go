package agronomy

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
	"evenfall/geo/passes"
)

// set says how the machine is set for each hopper group.
func (j *job) set() error {
	o := j.options
	s := Setting{
		Name: j.machine.Name, Throw: j.machine.Patterns.Usual.Width(),
		Spacing: units.Length(j.sheet.Drive.SpacingM), FirstInset: units.Length(j.sheet.Drive.FirstInsetM),
		Gate: o.Gate, Speed: o.Speed, Per88Feet: o.Speed.Per88Feet(),
	}
	for _, g := range j.result.Groups {
		set, err := j.groupSetting(g)
		if err != nil {
			return err
		}
		s.Groups = append(s.Groups, set)
	}
	if len(s.Groups) > 0 {
		s.Flow, s.Gate = s.Groups[0].Flow, s.Groups[0].Gate
	}
	j.sheet.Spreader = s
	return nil
}

// groupSetting finds the gate whose flow empties the group's material evenly
// over the whole path with the gate open. The path is longer than area over
// spacing wherever passes overlap, so the width that a metre of it stands for
// is the area over the path and not the spacing.
func (j *job) groupSetting(g mix.Group) (GroupSetting, error) {
	mass, material := j.contents(g)
	area := units.Area(j.sheet.Ground.SpreadM2)
	asked := spreader.Job{
		Material: material, Rate: mass.Over(area), Spacing: units.Length(j.sheet.Ground.SpreadM2 / FullFlowM(j.sheet.Drive.Passes)),
		Speed: j.options.Speed, System: j.options.System,
	}
	found, err := j.machine.Set(asked)
	if f, ok := fault.From(err); ok && f.Kind == fault.Refused {
		return j.unset(g, material, mass, f), nil
	}
	if err != nil {
		return GroupSetting{}, err
	}
	set := GroupSetting{
		Group: g.Number, Contents: g.Contents, Material: material, Rate: found.Rate, Flow: found.Flow, Gate: found.Gate, GateMark: found.GateMark,
		Speed: found.Speed, RateLow: found.RateLow, RateHigh: found.RateHigh, Says: found.Says,
	}
	if set.Gate == "" {
		set.Gate = j.options.Gate
	}
	if set.Lesser = j.lesserGate(asked, found.Flow); set.Lesser != nil {
		set.Says = append(slices.Clone(set.Says), set.Lesser.words(j.options.System))
	}
	return set, nil
}

// lesserGate is the setting for the passes where the gate is less open than on
// the others; nil when all are alike.
func (j *job) lesserGate(asked spreader.Job, full units.Flow) *LesserGate {
	driven := j.sheet.Drive.Passes
	byFlow := func(a, b passes.Pass) int { return cmp.Compare(a.Flow, b.Flow) }
	least, most := slices.MinFunc(driven, byFlow).Flow, slices.MaxFunc(driven, byFlow).Flow
	if least == most {
		return nil
	}
	lesser := &LesserGate{Share: least / most, Opened: openWords(least / most), Flow: full * units.Flow(least/most)}
	for _, p := range driven {
		if p.Flow == least {
			lesser.Passes = append(lesser.Passes, p.Order)
		}
	}
	lesser.On = passWords(lesser.Passes)
	asked.Rate *= units.MassPerArea(lesser.Share)
	if set, err := j.machine.Set(asked); err == nil {
		lesser.Gate = set.Gate
	}
	return lesser
}

func (l LesserGate) words(sys units.System) string {
	flow := l.Flow.Format(sys)
	if l.Gate == "" {
		return "on " + l.On + ", " + l.Opened + ", the gate must give " + flow
	}
	return "on " + l.On + ", " + l.Opened + ", set the gate to " + l.Gate + " (" + flow + ")"
}

// passWords lists passes by their numbers, neighbours together: passes 2, 4 and
// 6 to 9.
func passWords(numbers []int) string {
	var runs []string
	for i := 0; i < len(numbers); {
		last := i
		for last+1 < len(numbers) && numbers[last+1] == numbers[last]+1 {
			last++
		}
		run := strconv.Itoa(numbers[i])
		if last > i {
			run += " to " + strconv.Itoa(numbers[last])
		}
		runs = append(runs, run)
		i = last + 1
	}
	if len(numbers) == 1 {
		return "pass " + runs[0]
	}
	end := len(runs) - 1
	if end == 0 {
		return "passes " + runs[0]
	}
	return "passes " + strings.Join(runs[:end], ", ") + " and " + runs[end]
}

// openWords is how far open the gate is against the passes at full flow.
func openWords(share float64) string {
	switch share {
	case 0.5:
		return "half open"
	case 0.75:
		return "three quarters open"
	}
	return units.Percent(share) + " open"
}

// FullFlowM is the path that a material lasts for at the passes' greatest flow,
// in metres: a pass at half of it counts half its length.
func FullFlowM(driven []passes.Pass) float64 {
	var sum, most float64
	for _, p := range driven {
		sum += p.LengthM * p.Flow
		most = max(most, p.Flow)
	}
	return sum / most
}

// mainShare is how much of a hopper one material must make up before its catch
// tests speak for the whole; common practice, no source.
const mainShare = 0.8

// contents is the mass of a group and the name that its catch tests go by.
func (j *job) contents(g mix.Group) (total units.Mass, material string) {
	var heaviest units.Mass
	for _, a := range j.result.Amounts {
		if a.Group != g.Number {
			continue
		}
		total += a.SpreadMass
		if a.SpreadMass > heaviest {
			heaviest, material = a.SpreadMass, a.Material
		}
	}
	if heaviest < mainShare*total {
		material = g.Contents
	}
	return total, material
}

// unset is the setting of a group that the machine cannot be set for: the flow
// it would need, and what could be done instead. The rest of the sheet holds.
func (j *job) unset(g mix.Group, material string, mass units.Mass, refusal *fault.Error) GroupSetting {
	words := refusal.What + "; " + refusal.Remedy
	j.warn(g.Contents+": "+words, source.Mark{Kind: source.Measured})
	return GroupSetting{
		Group: g.Number, Contents: g.Contents, Material: material, Rate: mass.Over(units.Area(j.sheet.Ground.SpreadM2)), Speed: j.options.Speed,
		Flow: mass.Within(j.options.Speed.Over(units.Length(FullFlowM(j.sheet.Drive.Passes)))), Says: []string{words},
	}
}
