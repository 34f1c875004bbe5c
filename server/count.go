package main

import (
	"fmt"

	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
)

// countCommand judges counts in a hoop.
type countCommand struct {
	Found    []int        `arg:"" help:"What was counted in each throw of the hoop."`
	Target   float64      `required:"" help:"What there should be, per square foot (per square metre with --units metric)." placeholder:"N"`
	Hoop     string       `help:"Diameter of the hoop." default:"30 in" placeholder:"LENGTH"`
	What     string       `help:"What was counted: seeds or plants." default:"plants" placeholder:"WORD"`
	ReseedBy string       `help:"Last day to reseed, YYYY-MM-DD." placeholder:"DAY"`
	JSON     bool         `name:"json" help:"Write JSON for programs."`
	Units    units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// Run says whether the stand is enough.
func (a countCommand) Run(c *console) error {
	var hoop units.Length
	if err := quantity("--hoop", a.Hoop, &hoop, units.ParseLength); err != nil {
		return err
	}
	density := units.CountPerArea(a.Target)
	if a.Units == units.US {
		density *= units.PerSquareFoot
	}
	judged, err := stand.Judge(stand.Counts{Found: a.Found, Sample: stand.Hoop(hoop)},
		stand.Target{What: a.What, Density: density, ReseedBy: a.ReseedBy}, a.Units)
	if err != nil {
		return err
	}
	if a.JSON {
		return writeJSON(c.out, judged)
	}
	fmt.Fprintln(c.out, judged.Says)
	fmt.Fprintf(c.out, "limits: %s\n", judged.Mark)
	return nil
}
