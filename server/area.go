package main

import (
	"fmt"
	"io"

	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/intake"
)

// outlineFile is a FILE argument with what is known of how it was measured.
type outlineFile struct {
	File     string  `arg:"" help:"Outline or recording; - is standard input."`
	Split    bool    `help:"Make a plot of every part of an outline of several parts."`
	CornerM  float64 `help:"How well a drawn corner is placed, metres (one standard deviation)." placeholder:"M"`
	OffsetFt float64 `help:"How far inside the edge the line was walked, feet; negative is outside." placeholder:"FT"`
}

// read opens the file and measures every plot in it. The date is of outlines
// that do not carry their own.
func (f outlineFile) read(c *console, date string) ([]intake.Measured, error) {
	var o intake.Options
	o.Split, o.CornerM, o.Date = f.Split, f.CornerM, date
	o.Walk.OffsetM = float64(units.Length(f.OffsetFt) * units.Foot)
	var plots []intake.Measured
	err := c.readFrom(f.File, func(r io.Reader) (err error) { plots, err = intake.Read(r, o); return })
	return plots, err
}

// areaCommand measures the plots of a file.
type areaCommand struct {
	outlineFile
	JSON  bool         `name:"json" help:"Write JSON for programs."`
	Units units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// plotArea is one plot in the JSON of the area command.
type plotArea struct {
	Name          string   `json:"name"`
	AreaM2        float64  `json:"area_m2"`
	PerimeterM    float64  `json:"perimeter_m"`
	UncertaintyM2 float64  `json:"uncertainty_m2"`
	Notes         []string `json:"notes,omitempty"`
}

// Run prints the area of every plot.
func (a areaCommand) Run(c *console) error {
	plots, err := a.read(c, c.today())
	if err != nil {
		return err
	}
	if a.JSON {
		return writeAreas(c.out, plots)
	}
	for _, p := range plots {
		c.sayArea(p, a.Units)
	}
	return nil
}

func writeAreas(w io.Writer, plots []intake.Measured) error {
	var out struct {
		Plots []plotArea `json:"plots"`
	}
	for _, p := range plots {
		out.Plots = append(out.Plots, plotArea{p.Name, p.Survey.AreaM2, p.Survey.PerimeterM, p.Survey.UncertaintyM2, p.Notes})
	}
	return writeJSON(w, out)
}

// sayArea prints one plot; the range is twice the standard deviation.
func (c *console) sayArea(p intake.Measured, sys units.System) {
	area := units.Area(p.Survey.AreaM2)
	fmt.Fprintf(c.out, "%s: %s, give or take %s; %s round the edge (%s)\n", nameOf(p), area.Format(sys),
		units.Area(geo.GiveOrTakeM2(p.Survey.UncertaintyM2)).FormatLike(area, sys), units.Length(p.Survey.PerimeterM).Format(sys), p.Survey.Method)
	for _, note := range p.Notes {
		fmt.Fprintf(c.out, "  %s\n", units.Retell(note, sys))
	}
}
