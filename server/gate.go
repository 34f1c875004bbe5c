package main

import (
	"errors"
	"fmt"
	"io"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// gateCommand reads catch tests and answers for the gate, the speed or the
// rate: whichever of the three is left out.
type gateCommand struct {
	File     string       `arg:"" help:"Catch tests as CSV, such as 'material,gate,caught (lb),time (s)'; - is standard input."`
	Material string       `help:"Of which material, where the file has several." placeholder:"NAME"`
	Spacing  string       `required:"" help:"Distance between tracks, such as '13 ft'." placeholder:"LENGTH"`
	Rate     string       `help:"Rate, such as '200 lb/ac'." placeholder:"RATE"`
	Speed    string       `help:"Speed, such as '6 mph'." placeholder:"SPEED"`
	Gate     *float64     `help:"Gate, as the machine's scale reads." placeholder:"MARK"`
	Times    int          `help:"How often the plot is gone over, with an equal part each time." default:"1" placeholder:"N"`
	JSON     bool         `name:"json" help:"Write JSON for programs."`
	Units    units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// Run works out the figure that is missing.
func (a gateCommand) Run(c *console) error {
	job, err := a.job()
	if err != nil {
		return err
	}
	var tests []spreader.CatchTest
	if err := c.readFrom(a.File, func(r io.Reader) (err error) { tests, err = spreader.ReadCatchTests(r); return }); err != nil {
		return err
	}
	if job.Material, err = spreader.TestedMaterial(a.Material, tests); err != nil {
		return asked(err)
	}
	set, err := spreader.Spreader{CatchTests: tests}.Solve(job, a.Gate)
	if err != nil {
		return asked(err)
	}
	if a.JSON {
		return writeJSON(c.out, set)
	}
	fmt.Fprintf(c.out, "%s: %s at %s (%s), %s\n", set.Material, set.Gate, set.Speed.Format(a.Units), set.Speed.FormatCourse(a.Units), set.Flow.Format(a.Units))
	for _, line := range set.Says {
		fmt.Fprintln(c.out, line)
	}
	return nil
}

func (a gateCommand) job() (job spreader.Job, err error) {
	job = spreader.Job{Times: a.Times, System: a.Units}
	return job, errors.Join(
		quantity("--spacing", a.Spacing, &job.Spacing, units.ParseLength),
		quantity("--rate", a.Rate, &job.Rate, units.ParseMassPerArea),
		quantity("--speed", a.Speed, &job.Speed, units.ParseSpeed),
	)
}

// asked is an error in the words where they leave the task open.
func asked(err error) error {
	if found, ok := fault.From(err); ok && (found.Code == "two_of_three" || found.Code == "material") {
		return misuse{err}
	}
	return err
}
