// Package trip plans the inputs of several plots for one trip: what to buy in
// whole bags over all of them, which plot takes what from which bag, and how
// many runs a truck or trailer needs.
package trip

import (
	"fmt"
	"math"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Plot is one stop of the trip, in the order of driving, with the amounts that
// its mix came to.
type Plot struct {
	Name    string
	Amounts []mix.Amount
}

// Plan is the whole trip.
type Plan struct {
	Shopping []mix.Purchase `json:"shopping"`
	Draws    []Draw         `json:"draws"`
	Runs     []Run          `json:"runs"`
	Plots    []Stop         `json:"plots"`
	Mass     units.Mass     `json:"mass_kg"` // of all that is bought
	Cost     float64        `json:"cost,omitempty"`
	Says     []string       `json:"says,omitempty"`
}

// Draw is what one plot takes from one bag. Bags of a material are numbered
// from 1; loose material has bag 0. Left is in the bag afterwards.
type Draw struct {
	Plot     string     `json:"plot"`
	Material string     `json:"material"`
	Bag      int        `json:"bag,omitempty"`
	BagMass  units.Mass `json:"bag_kg,omitempty"`
	Mass     units.Mass `json:"mass_kg"`
	Left     units.Mass `json:"left_kg,omitempty"`
	Run      int        `json:"run"`
	key      string
	stop     int // index of the plot
}

// Stop is one plot's part: what it takes and its share of the cost, which
// leaves out what stays in the last bags.
type Stop struct {
	Plot string     `json:"plot"`
	Mass units.Mass `json:"mass_kg"`
	Cost float64    `json:"cost,omitempty"`
}

// The bounds of a trip.
const (
	mostPlots = 500
	mostDraws = 100000
	mostRuns  = 1000
)

// bagSlack is the share of a bag that is not worth opening another for; it
// absorbs rounding of units.
const bagSlack = 1e-6

// Make plans the trip. Limit is what the truck or trailer carries; zero for no
// limit. Plots are served in the order given: what one leaves in a bag the next
// takes first. Sentences are in the given units.
func Make(plots []Plot, limit units.Mass, sys units.System) (Plan, error) {
	if err := check(plots, limit); err != nil {
		return Plan{}, err
	}
	lists := make([][]mix.Amount, len(plots))
	for i, p := range plots {
		lists[i] = p.Amounts
	}
	plan := Plan{Shopping: mix.Shop(lists...)}
	for _, p := range plan.Shopping {
		plan.Cost += p.Cost
		plan.Mass += p.Mass + p.Left
	}
	if limit > 0 && plan.Mass > mostRuns*limit {
		return Plan{}, fault.New("too_many_runs", fmt.Sprintf("%s would take more than %d runs", plan.Mass.Format(sys), mostRuns), "check the load limit").Of(fault.TooLarge).In("limit_kg")
	}
	draws, err := drawAll(plots)
	if err != nil {
		return Plan{}, err
	}
	if plan.Draws, plan.Runs, err = load(draws, limit, sys); err != nil {
		return Plan{}, err
	}
	for _, p := range plots {
		plan.Plots = append(plan.Plots, stop(p))
	}
	plan.Says = say(plan, lists)
	return plan, nil
}

func check(plots []Plot, limit units.Mass) error {
	switch {
	case len(plots) == 0:
		return fault.New("no_plots", "the trip has no plot", "choose one or more").In("plots")
	case len(plots) > mostPlots:
		return fault.New("too_many_plots", fmt.Sprintf("%d plots are more than the %d of one trip", len(plots), mostPlots), "make two trips").Of(fault.TooLarge).In("plots")
	case !(limit >= 0) || math.IsInf(float64(limit), 0):
		return fault.New("limit", "the load limit is below zero or not a number", "give what the maker states, or leave it out").In("limit_kg")
	}
	for i, p := range plots {
		for _, a := range p.Amounts {
			if !usable(a.SpreadMass) || !usable(a.BagMass) {
				return fault.New("amount", fmt.Sprintf("%s on %s has no usable mass", a.Material, p.Name), "work the plot's mix out again").At(fault.Place{Feature: i + 1, Field: "amounts"})
			}
		}
	}
	return nil
}

func usable(m units.Mass) bool { return m >= 0 && !math.IsInf(float64(m), 0) }

// opened is the bag of a material that is in use.
type opened struct {
	number int
	left   units.Mass
}

// drawAll takes every plot's amounts out of bags in turn.
func drawAll(plots []Plot) ([]Draw, error) {
	var draws []Draw
	open := map[string]opened{}
	for i, p := range plots {
		for _, a := range p.Amounts {
			taken, bag := draw(p.Name, a, open[a.Key()])
			for k := range taken {
				taken[k].stop = i
			}
			open[a.Key()] = bag
			draws = append(draws, taken...)
			if len(draws) > mostDraws {
				return nil, fault.New("too_many_bags", fmt.Sprintf("the trip needs more than %d bags", mostDraws), "check the rates and the areas").Of(fault.TooLarge).In("plots")
			}
		}
	}
	return draws, nil
}

// draw takes one amount: first what is left in the open bag, then new ones.
func draw(plot string, a mix.Amount, bag opened) ([]Draw, opened) {
	d := Draw{Plot: plot, Material: a.Material, BagMass: a.BagMass, key: a.Key()}
	if a.BagMass == 0 {
		d.Mass = a.SpreadMass
		if d.Mass == 0 {
			return nil, bag
		}
		return []Draw{d}, bag
	}
	var draws []Draw
	slack := a.BagMass * bagSlack
	for need := a.SpreadMass; need > slack && len(draws) <= mostDraws; {
		if bag.left <= slack {
			bag = opened{bag.number + 1, a.BagMass}
		}
		d.Bag, d.Mass = bag.number, min(need, bag.left)
		need -= d.Mass
		bag.left -= d.Mass
		d.Left = bag.left
		draws = append(draws, d)
	}
	return draws, bag
}

func stop(p Plot) Stop {
	s := Stop{Plot: p.Name}
	for _, a := range p.Amounts {
		s.Mass += a.SpreadMass
		if a.BagMass > 0 {
			s.Cost += a.Price * float64(a.SpreadMass/a.BagMass)
		}
	}
	return s
}

// say compares with buying for each plot alone.
func say(plan Plan, lists [][]mix.Amount) []string {
	together, alone := 0.0, 0.0
	for _, p := range plan.Shopping {
		together += p.Bags
	}
	for _, list := range lists {
		for _, p := range mix.Shop(list) {
			alone += p.Bags
		}
	}
	var says []string
	if alone > together {
		says = append(says, fmt.Sprintf("Bought together %s bags are enough; plot by plot it would be %s", units.Count(together), units.Count(alone)))
	}
	if len(plan.Runs) > 1 {
		says = append(says, fmt.Sprintf("The load limit asks for %d runs", len(plan.Runs)))
	}
	return says
}
