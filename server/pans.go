package main

import (
	"fmt"
	"io"
	"os"
	"text/tabwriter"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// pansCommand reads a pan test and says which spacing it bears.
type pansCommand struct {
	File  string       `arg:"" help:"Pan test as CSV, such as 'position (ft),run 1 (g)'; - is standard input."`
	Limit float64      `help:"Unevenness that is borne, in percent: 15 for nitrogen, 25 for low-analysis products." default:"15" placeholder:"PERCENT"`
	Way   spreader.Way `help:"How neighbouring passes run: same_way or back_and_forth." enum:"same_way,back_and_forth" default:"same_way"`
	JSON  bool         `name:"json" help:"Write JSON for programs."`
	Units units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// pansFound is the JSON of the pans command.
type pansFound struct {
	Pattern        spreader.Pattern        `json:"pattern"`
	Recommendation spreader.Recommendation `json:"recommendation"`
	Curve          spreader.Curve          `json:"curve"`
}

// Run folds the pattern over itself at every spacing.
func (a pansCommand) Run(c *console) error {
	var test spreader.PanTest
	if err := c.readFrom(a.File, func(r io.Reader) (err error) { test, err = spreader.ReadPanTest(r); return }); err != nil {
		return err
	}
	p := spreader.Pattern{Shape: spreader.Pans, PanTest: &test}
	advice, err := spreader.Recommend(p, a.Limit/100, a.Way, spreader.DefaultSteeringError, a.Units)
	if err != nil {
		return err
	}
	curve, err := spreader.CVCurve(p, p.Width()/4, p.Width(), curvePoints)
	if err != nil {
		return err
	}
	if a.JSON {
		return writeJSON(c.out, pansFound{p, advice, curve})
	}
	return a.say(c.out, p, advice, curve)
}

// curvePoints is how many spacings the printed curve has, from a quarter of
// the throw to all of it.
const curvePoints = 13

func (a pansCommand) say(w io.Writer, p spreader.Pattern, advice spreader.Recommendation, curve spreader.Curve) error {
	fmt.Fprintf(w, "throw %s, edge to edge\n", p.Width().Format(a.Units))
	for _, line := range advice.Says {
		fmt.Fprintln(w, line)
	}
	t := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "\nbetween tracks\tCV, same way round\tCV, back and forth\t")
	for i, m := range curve.SpacingM {
		fmt.Fprintf(t, "%s\t%s\t%s\t\n", units.Length(m).Format(a.Units), units.Percent(curve.SameWay[i]), units.Percent(curve.BackAndForth[i]))
	}
	return t.Flush()
}

// readFrom opens a file, or standard input for "-", for a reader.
func (c *console) readFrom(name string, read func(io.Reader) error) error {
	if name == "-" {
		return read(c.in)
	}
	file, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("opening the file: %w", err)
	}
	defer file.Close()
	return read(file)
}
