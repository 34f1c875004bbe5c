package main

import (
	"fmt"

	"evenfall/geo/fault"
	"evenfall/geo/intake"
)

// checkCommand says what is wrong with an outline.
type checkCommand struct {
	outlineFile
	JSON bool `name:"json" help:"Write JSON for programs."`
}

// Run reads the file as every other command does and says what it found; what
// is wrong comes back as the error, and with --json on the output too.
func (a checkCommand) Run(c *console) error {
	plots, err := a.read(c, c.today())
	if a.JSON {
		return c.writeCheck(plots, err)
	}
	if err != nil {
		return err
	}
	for _, p := range plots {
		fmt.Fprintf(c.out, "%s: nothing wrong; %d corners, %s\n", nameOf(p), p.CornerCount(), holes(len(p.Polygon)-1))
		for _, note := range p.Notes {
			fmt.Fprintf(c.out, "  %s\n", note)
		}
	}
	return nil
}

// checked is the JSON of the check command.
type checked struct {
	OK    bool         `json:"ok"`
	Plots []string     `json:"plots,omitempty"`
	Fault *fault.Error `json:"fault,omitempty"`
}

func (c *console) writeCheck(plots []intake.Measured, err error) error {
	out := checked{OK: err == nil}
	if f, ok := fault.From(err); ok {
		out.Fault = f
	} else if err != nil {
		return err
	}
	for _, p := range plots {
		out.Plots = append(out.Plots, nameOf(p))
	}
	if failed := writeJSON(c.out, out); failed != nil {
		return failed
	}
	return err
}

func nameOf(p intake.Measured) string {
	if p.Name == "" {
		return "unnamed plot"
	}
	return p.Name
}

func holes(n int) string {
	switch n {
	case 0:
		return "no holes"
	case 1:
		return "one hole"
	}
	return fmt.Sprintf("%d holes", n)
}
