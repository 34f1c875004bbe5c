package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
	"evenfall/geo/intake"
)

// tripCommand plans the inputs of all plots of one or several files.
type tripCommand struct {
	Files []string `arg:"" help:"Outlines or recordings, in the order of driving."`
	goodsFlags
	Truck string       `help:"What the truck or trailer carries, such as '600 lb'." placeholder:"MASS"`
	JSON  bool         `name:"json" help:"Write JSON for programs."`
	Units units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// Run works the mix out for every plot and shares the bags among them.
func (a tripCommand) Run(c *console) error {
	var limit units.Mass
	if err := quantity("--truck", a.Truck, &limit, units.ParseMass); err != nil {
		return err
	}
	goods, err := a.goods()
	if err != nil {
		return err
	}
	stops, err := a.stops(c, goods)
	if err != nil {
		return err
	}
	plan, err := trip.Make(stops, limit, a.Units)
	if err != nil {
		return err
	}
	if a.JSON {
		return writeJSON(c.out, plan)
	}
	return a.say(c.out, plan)
}

func (a tripCommand) stops(c *console, goods mix.Mix) ([]trip.Plot, error) {
	all, err := catalog.Default()
	if err != nil {
		return nil, err
	}
	var stops []trip.Plot
	for _, name := range a.Files {
		plots, err := outlineFile{File: name}.read(c, c.today())
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for _, p := range plots {
			stop, err := a.stop(p, goods, all)
			if err != nil {
				return nil, err
			}
			stops = append(stops, stop)
		}
	}
	return stops, nil
}

func (a tripCommand) stop(p intake.Measured, goods mix.Mix, all *catalog.Catalog) (trip.Plot, error) {
	result, err := goods.Amounts(units.Area(p.Survey.AreaM2), all, a.Units)
	return trip.Plot{Name: nameOf(p), Amounts: result.Amounts}, err
}

func (a tripCommand) say(w io.Writer, plan trip.Plan) error {
	t := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(t, "BUY")
	for _, p := range plan.Shopping {
		fmt.Fprintf(t, "  %s\t%s x %s\t%s left over\n", p.Material, units.Bags(p.Bags), p.BagMass.Format(a.Units), p.Left.Format(a.Units))
	}
	fmt.Fprintln(t, "\nTAKE")
	for _, d := range plan.Draws {
		fmt.Fprintf(t, "  %s\t%s\t%s of bag %d\t%s stays in it\n", d.Plot, d.Material, d.Mass.Format(a.Units), d.Bag, d.Left.Format(a.Units))
	}
	fmt.Fprintln(t, "\nHAUL")
	for _, r := range plan.Runs {
		fmt.Fprintf(t, "  run %d\t%s\n", r.Number, r.Mass.Format(a.Units))
	}
	for _, line := range plan.Says {
		fmt.Fprintln(t, line)
	}
	return t.Flush()
}
