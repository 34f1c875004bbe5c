package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/intake"
	"evenfall/server/print"
	"evenfall/server/render"
)

// sheetCommand works out one plot's sheet.
type sheetCommand struct {
	outlineFile
	Plot string `help:"Which plot, where the file has several." placeholder:"NAME"`
	machineFlags
	goodsFlags
	Options string       `name:"options" help:"More choices, as JSON: a soil test, room to turn, a priority and the like." placeholder:"FILE" type:"path"`
	Plan    string       `name:"plan" help:"Which of the plans to drive, by its name in the comparison." placeholder:"NAME"`
	Habit   bool         `help:"Laps by habit, without searching for better."`
	Guess   string       `help:"The area that was guessed, such as '1/2 ac', to compare." placeholder:"AREA"`
	Date    string       `help:"Day of the job, YYYY-MM-DD; today if left out." placeholder:"DAY"`
	Speed   string       `help:"Driving speed, such as '6 mph'." placeholder:"SPEED"`
	Spacing string       `help:"Distance between tracks, such as '13 ft'." placeholder:"LENGTH"`
	Units   units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
	Paper   print.Paper  `help:"Paper of the printed page: Letter or A4." enum:"Letter,A4" default:"Letter"`
	Sources bool         `help:"With text: say where each figure comes from."`
	Format  string       `help:"What to write: text, pdf, gpx, geojson, kml, json or ics (what falls due, for a calendar); by the ending of --out if left out." enum:",text,pdf,gpx,geojson,kml,json,ics" default:""`
	Out     string       `short:"o" help:"File to write; standard output if left out." placeholder:"FILE" type:"path"`
}

// Run works the sheet out and writes it whole or not at all.
func (a sheetCommand) Run(c *console) error {
	format, err := a.format()
	if err != nil {
		return err
	}
	sheet, err := a.prepare(c)
	if err != nil {
		return err
	}
	return a.write(c, sheet, format)
}

// formatsByEnding is what --out's ending stands for.
var formatsByEnding = []string{"pdf", "gpx", "geojson", "kml", "json", "ics"}

func (a sheetCommand) format() (string, error) {
	if a.Format != "" {
		return a.Format, nil
	}
	if a.Out == "" {
		return "text", nil
	}
	ending := strings.TrimPrefix(strings.ToLower(filepath.Ext(a.Out)), ".")
	if ending == "txt" {
		return "text", nil
	}
	if !slices.Contains(formatsByEnding, ending) {
		return "", misuse{fmt.Errorf("cannot tell the format from %q: give --format", filepath.Base(a.Out))}
	}
	return ending, nil
}

func (a sheetCommand) prepare(c *console) (agronomy.Sheet, error) {
	options, err := a.options(c)
	if err != nil {
		return agronomy.Sheet{}, err
	}
	plot, err := a.plot(c, options.Date)
	if err != nil {
		return agronomy.Sheet{}, err
	}
	machine, err := a.machine()
	if err != nil {
		return agronomy.Sheet{}, err
	}
	goods, err := a.goods()
	if err != nil {
		return agronomy.Sheet{}, err
	}
	return agronomy.Prepare(plot, machine, goods, options)
}

func (a sheetCommand) options(c *console) (agronomy.Options, error) {
	var o agronomy.Options
	if a.Options != "" {
		if err := readJSON(a.Options, &o); err != nil {
			return o, err
		}
	}
	o.System, o.Habit = a.Units, o.Habit || a.Habit
	if a.Plan != "" {
		o.Plan = a.Plan
	}
	if a.Date != "" {
		o.Date = a.Date
	}
	if o.Date == "" {
		o.Date = c.today()
	}
	return o, errors.Join(
		quantity("--speed", a.Speed, &o.Speed, units.ParseSpeed),
		quantity("--spacing", a.Spacing, &o.Spacing, units.ParseLength),
	)
}

// quantity reads a quantity as people write it; empty leaves the default.
func quantity[Q any](name, text string, into *Q, parse func(string) (Q, error)) error {
	if text == "" {
		return nil
	}
	value, err := parse(text)
	if err != nil {
		return misuse{fmt.Errorf("%s: %w", name, err)}
	}
	*into = value
	return nil
}

// plot picks the plot by its name, or the only one.
func (a sheetCommand) plot(c *console, date string) (agronomy.Plot, error) {
	all, err := a.read(c, date)
	if err != nil {
		return agronomy.Plot{}, err
	}
	var names []string
	for _, p := range all {
		names = append(names, nameOf(p))
		if len(all) == 1 || a.Plot != "" && p.Name == a.Plot {
			return a.surveyed(p, date)
		}
	}
	if a.Plot == "" {
		return agronomy.Plot{}, misuse{fmt.Errorf("the file has %d plots: choose one with --plot (%s)", len(all), strings.Join(names, ", "))}
	}
	return agronomy.Plot{}, misuse{fmt.Errorf("there is no plot %q in the file (%s)", a.Plot, strings.Join(names, ", "))}
}

func (a sheetCommand) surveyed(p intake.Measured, date string) (agronomy.Plot, error) {
	plot := agronomy.Plot{Plot: p.Plot, Survey: p.Survey, Surveys: []geo.Survey{p.Survey}}
	plot.Name = nameOf(p)
	var guess units.Area
	if err := quantity("--guess", a.Guess, &guess, units.ParseArea); err != nil {
		return plot, err
	}
	if guess > 0 {
		plot.Surveys = append(plot.Surveys, geo.Survey{Method: geo.Guessed, Date: date, AreaM2: float64(guess)})
	}
	return plot, nil
}

// write renders the sheet in memory first, so that a failure leaves no half a
// file behind.
func (a sheetCommand) write(c *console, sheet agronomy.Sheet, format string) error {
	var b strings.Builder
	if err := a.renderer(format)(&b, sheet); err != nil {
		return err
	}
	if a.Out == "" {
		_, err := io.WriteString(c.out, b.String())
		return err
	}
	if err := os.WriteFile(a.Out, []byte(b.String()), 0o644); err != nil {
		return fmt.Errorf("writing the sheet: %w", err)
	}
	fmt.Fprintf(c.err, "wrote %s\n", filepath.Base(a.Out))
	return nil
}

func (a sheetCommand) renderer(format string) func(io.Writer, agronomy.Sheet) error {
	switch format {
	case "pdf":
		return func(w io.Writer, s agronomy.Sheet) error { return print.PDF(w, s, a.Paper) }
	case "gpx":
		return render.GPX
	case "geojson":
		return render.GeoJSON
	case "kml":
		return render.KML
	case "json":
		return render.JSON
	case "ics":
		return render.Calendar
	}
	return func(w io.Writer, s agronomy.Sheet) error { return print.Text(w, s, a.Sources) }
}
