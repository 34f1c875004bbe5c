package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/intake"
	"evenfall/server/print"
	"evenfall/server/render"
)

// sheetCommand works out one plot's sheet.
type sheetCommand struct {
	outlineFile
	Plot     string       `help:"Which plot, where the file has several." placeholder:"NAME"`
	Spreader string       `help:"The spreader, as JSON." placeholder:"FILE" type:"path" xor:"spreader"`
	Throw    string       `help:"Or just its throw, edge to edge, such as '26 ft'." xor:"spreader" placeholder:"LENGTH"`
	Hopper   string       `help:"With --throw: what the hopper holds, such as '100 lb'." default:"100 lb" placeholder:"MASS"`
	Mix      string       `help:"What goes on, as JSON." placeholder:"FILE" type:"path" xor:"mix"`
	Put      []string     `help:"Or one material and its rate, such as 'oats=80 lb/ac'; repeat for more." sep:"none" xor:"mix" placeholder:"WHAT"`
	Guess    string       `help:"The area that was guessed, such as '1/2 ac', to compare." placeholder:"AREA"`
	Date     string       `help:"Day of the job, YYYY-MM-DD; today if left out." placeholder:"DAY"`
	Speed    string       `help:"Driving speed, such as '6 mph'." placeholder:"SPEED"`
	Spacing  string       `help:"Distance between tracks, such as '13 ft'." placeholder:"LENGTH"`
	Units    units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
	Paper    print.Paper  `help:"Paper of the printed page: Letter or A4." enum:"Letter,A4" default:"Letter"`
	Format   string       `help:"What to write: text, pdf, gpx, geojson, kml or json; by the ending of --out if left out." enum:",text,pdf,gpx,geojson,kml,json" default:""`
	Out      string       `short:"o" help:"File to write; standard output if left out." placeholder:"FILE" type:"path"`
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
var formatsByEnding = []string{"pdf", "gpx", "geojson", "kml", "json"}

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
	o := agronomy.Options{Date: a.Date, System: a.Units}
	if o.Date == "" {
		o.Date = c.today()
	}
	return o, errors.Join(
		flag("--speed", a.Speed, &o.Speed, units.ParseSpeed),
		flag("--spacing", a.Spacing, &o.Spacing, units.ParseLength),
	)
}

// flag reads a quantity as people write it; empty leaves the default.
func flag[Q any](name, text string, into *Q, parse func(string) (Q, error)) error {
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
	all, err := a.read(c)
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
	if err := flag("--guess", a.Guess, &guess, units.ParseArea); err != nil {
		return plot, err
	}
	if guess > 0 {
		plot.Surveys = append(plot.Surveys, geo.Survey{Method: geo.Guessed, Date: date, AreaM2: float64(guess)})
	}
	return plot, nil
}

// machine is the spreader of the file, or a plain one of the given throw: a
// triangular pattern, common practice, no source.
func (a sheetCommand) machine() (m spreader.Spreader, err error) {
	if a.Spreader != "" {
		err = readJSON(a.Spreader, &m)
		return m, err
	}
	if a.Throw == "" {
		return m, misuse{errors.New("give --spreader FILE, or --throw LENGTH for a plain one")}
	}
	m = spreader.Spreader{Name: "spreader", Patterns: spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle}}}
	return m, errors.Join(
		flag("--throw", a.Throw, &m.Patterns.Usual.Throw, units.ParseLength),
		flag("--hopper", a.Hopper, &m.HopperMass, units.ParseMass),
	)
}

// goods is the mix of the file, or the materials given one by one.
func (a sheetCommand) goods() (m mix.Mix, err error) {
	if a.Mix != "" {
		err = readJSON(a.Mix, &m)
		return m, err
	}
	if len(a.Put) == 0 {
		return m, misuse{errors.New("give --mix FILE, or --put 'MATERIAL=RATE'")}
	}
	m.Name = "mix"
	for _, words := range a.Put {
		material, rate, ok := strings.Cut(words, "=")
		if !ok {
			return m, misuse{fmt.Errorf("--put %q: write it as MATERIAL=RATE, such as 'oats=80 lb/ac'", words)}
		}
		item := mix.Item{Material: strings.TrimSpace(material)}
		if err := flag("--put", rate, &item.Rate.Mass, units.ParseMassPerArea); err != nil {
			return m, err
		}
		m.Items = append(m.Items, item)
	}
	return m, nil
}

func readJSON(path string, into any) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	decoder := json.NewDecoder(strings.NewReader(string(data)))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return nil
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
	}
	return print.Text
}
