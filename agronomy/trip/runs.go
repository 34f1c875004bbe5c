package trip

import (
	"fmt"
	"slices"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Run is one load of the truck or trailer: what it carries when it leaves, an
// opened bag with what is left in it.
type Run struct {
	Number int        `json:"run"`
	Mass   units.Mass `json:"mass_kg"`
	Plots  []string   `json:"plots"`
	Cargo  []Cargo    `json:"cargo"`
}

// Cargo is one material of a run. Bags counts whole ones and the one that an
// earlier run has opened alike.
type Cargo struct {
	Material string     `json:"material"`
	Bags     int        `json:"bags,omitempty"`
	Mass     units.Mass `json:"mass_kg"`
}

// loader fills runs in the order of the draws. Since that order is kept, a new
// run only when the next bag does not fit gives the fewest runs.
type loader struct {
	limit  units.Mass
	runs   []Run
	aboard map[string]bool // bags of this run
	draws  []Draw
}

// load assigns every draw to a run.
func load(draws []Draw, limit units.Mass, sys units.System) ([]Draw, []Run, error) {
	l := loader{limit: limit}
	l.leave()
	for _, d := range draws {
		if d.Bag == 0 {
			l.loose(d)
			continue
		}
		if limit > 0 && d.Mass+d.Left > limit*(1+bagSlack) {
			return nil, nil, fault.New("limit", fmt.Sprintf("a bag of %s weighs %s, more than the %s that may be carried", d.Material, (d.Mass+d.Left).Format(sys), limit.Format(sys)),
				"use another vehicle or smaller bags").Of(fault.Refused).In("limit_kg")
		}
		l.bag(d)
	}
	if len(draws) == 0 {
		return nil, nil, nil
	}
	return l.draws, l.runs, nil
}

func (l *loader) leave() {
	l.runs = append(l.runs, Run{Number: len(l.runs) + 1})
	l.aboard = map[string]bool{}
}

func (l *loader) room() units.Mass { return l.limit - l.runs[len(l.runs)-1].Mass }

// bag puts a draw on the run that carries its bag, or takes the bag along.
func (l *loader) bag(d Draw) {
	name := fmt.Sprintf("%s|%d", d.key, d.Bag)
	content := d.Mass + d.Left
	if l.aboard[name] {
		l.take(d, 0, 0)
		return
	}
	if l.limit > 0 && content > l.room()+l.limit*bagSlack {
		l.leave()
	}
	l.aboard[name] = true
	l.take(d, content, 1)
}

// loose splits loose material over as many runs as it needs.
func (l *loader) loose(d Draw) {
	for rest := d.Mass; rest > 0; rest -= d.Mass {
		if l.limit > 0 && l.room() <= l.limit*bagSlack {
			l.leave()
		}
		d.Mass = rest
		if l.limit > 0 {
			d.Mass = min(rest, l.room())
		}
		l.take(d, d.Mass, 0)
	}
}

// take notes a draw on the run that is being loaded, with what it adds.
func (l *loader) take(d Draw, mass units.Mass, bags int) {
	run := &l.runs[len(l.runs)-1]
	d.Run = run.Number
	l.draws = append(l.draws, d)
	run.Mass += mass
	if !slices.Contains(run.Plots, d.Plot) {
		run.Plots = append(run.Plots, d.Plot)
	}
	at := slices.IndexFunc(run.Cargo, func(c Cargo) bool { return c.Material == d.Material })
	if at < 0 {
		run.Cargo = append(run.Cargo, Cargo{Material: d.Material})
		at = len(run.Cargo) - 1
	}
	run.Cargo[at].Mass += mass
	run.Cargo[at].Bags += bags
}
