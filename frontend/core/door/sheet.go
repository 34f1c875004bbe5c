package door

import (
	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
	"evenfall/geo/fault"
)

// sheetRequest is everything that a sheet is worked out from, in the form in
// which the server takes it too.
type sheetRequest struct {
	Plot struct {
		Name     string `json:"name"`
		Property string `json:"property"`
		Outline  struct {
			Coordinates orb.Polygon `json:"coordinates"`
		} `json:"outline"`
		Survey  *geo.Survey        `json:"survey"`
		Surveys []geo.Survey       `json:"surveys"`
		KeepOff []agronomy.KeepOff `json:"keep_off"`
	} `json:"plot"`
	Spreader spreader.Spreader `json:"spreader"`
	Mix      mix.Mix           `json:"mix"`
	Options  agronomy.Options  `json:"options"`
	Own      *catalog.Own      `json:"own"`
}

// plot checks and measures the plot. Without a survey the outline counts as
// drawn on the day of the job.
func (q sheetRequest) plot() (agronomy.Plot, error) {
	sent := q.Plot
	plot, err := geo.NewPlot(sent.Name, sent.Outline.Coordinates)
	if err != nil {
		return agronomy.Plot{}, err
	}
	survey := plot.Survey(geo.Drawn, q.Options.Date, geo.CornerSigmaM)
	if sent.Survey != nil {
		survey = *sent.Survey
		survey.AreaM2, survey.PerimeterM = plot.AreaM2(), plot.PerimeterM()
	}
	for _, one := range append([]geo.Survey{survey}, sent.Surveys...) {
		if err := one.Check(); err != nil {
			return agronomy.Plot{}, err
		}
	}
	return agronomy.Plot{Plot: plot, Property: sent.Property, Survey: survey,
		Surveys: append(sent.Surveys, survey), KeepOff: sent.KeepOff}, nil
}

// preparedSheet is a sheet with its lines and rasters as rows of numbers.
type preparedSheet struct {
	Sheet    agronomy.Sheet `json:"sheet"`
	Quick    bool           `json:"quick"`
	Passes   []passLine     `json:"passes"`
	Travel   []wire.Floats  `json:"travel"`
	Start    orb.Point      `json:"start"`
	Refills  []refillStop   `json:"refills"`
	Evenness *evennessGrid  `json:"evenness,omitempty"`
	Plans    []planPicture  `json:"plans"`
	Track    track          `json:"track"`
}

type passLine struct {
	Order     int         `json:"order"`
	Kind      string      `json:"kind"`
	Closed    bool        `json:"closed"`
	Direction string      `json:"direction"`
	Line      wire.Floats `json:"line"`
	LineM     wire.Floats `json:"lineM"`
}

type refillStop struct {
	At        orb.Point `json:"at"`
	AfterLoad int       `json:"afterLoad"`
	Pass      int       `json:"pass"`
}

type planPicture struct {
	Name     string        `json:"name"`
	LinesM   []wire.Floats `json:"linesM"`
	Evenness *evennessGrid `json:"evenness,omitempty"`
}

func prepare(c *wire.Call) (any, error) {
	var q sheetRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	all, err := catalogWith(q.Own)
	if err != nil {
		return nil, err
	}
	q.Options.Catalog = all
	plot, err := q.plot()
	if err != nil {
		return nil, inPlot(err)
	}
	sheet, err := agronomy.Prepare(plot, q.Spreader, q.Mix, q.Options)
	if err != nil {
		return nil, err
	}
	return laidOut(sheet, q, c.Out)
}

func inPlot(err error) error {
	found, ok := fault.From(err)
	if ok && found.Where.Field == "" {
		return found.In("plot")
	}
	return err
}

// laidOut moves the lines and the rasters of a sheet out of it.
func laidOut(s agronomy.Sheet, q sheetRequest, out *wire.Answer) (*preparedSheet, error) {
	flat := newPlane(geo.NewFrame(s.Ground.Origin), s.Ground.Local.Bound())
	p := &preparedSheet{Quick: q.Options.Quick, Start: flat.toLonLat(s.Drive.Start), Refills: []refillStop{}, Plans: []planPicture{}}
	if err := p.picture(s, q, flat, out); err != nil {
		return nil, err
	}
	p.Track = trackOf(s, flat, out)
	for i := range s.Drive.Passes {
		pass := &s.Drive.Passes[i]
		p.Passes = append(p.Passes, passLine{pass.Order, string(pass.Kind), pass.Closed, pass.Direction,
			out.Row(flat.degrees(pass.Line)), out.Row(metres(pass.Line))})
		pass.Line = orb.LineString{}
	}
	for _, line := range s.Drive.Travel {
		p.Travel = append(p.Travel, out.Row(flat.degrees(line)))
	}
	for _, r := range s.Drive.Refills {
		p.Refills = append(p.Refills, refillStop{flat.toLonLat(r.At), r.AfterLoad, r.Pass})
	}
	s.Drive.Travel = nil
	for i := range s.Plans {
		s.Plans[i].Lines = nil
	}
	if s.Evenness.Picture != nil {
		empty := *s.Evenness.Picture
		empty.Density = nil
		s.Evenness.Picture = &empty
	}
	p.Sheet = s
	wire.Emptied(p)
	return p, nil
}

// picture lays the evenness of the chosen plan and, beside a full search, of
// its alternatives.
func (p *preparedSheet) picture(s agronomy.Sheet, q sheetRequest, flat plane, out *wire.Answer) error {
	ground, err := newCanvas(s, q, flat)
	if err != nil {
		return err
	}
	cells := mainCells
	if q.Options.Quick {
		cells = quickCells
	}
	p.Evenness = ground.grid(s.Drive.Strokes(), cells, out)
	for _, plan := range s.Plans {
		picture := planPicture{Name: plan.Name, LinesM: []wire.Floats{}}
		for _, line := range plan.Lines {
			picture.LinesM = append(picture.LinesM, out.Row(metres(line)))
		}
		if !q.Options.Quick {
			picture.Evenness = ground.grid(strokesOf(plan), smallCells, out)
		}
		p.Plans = append(p.Plans, picture)
	}
	return nil
}

// metres lays a line's points out in one row.
func metres(line orb.LineString) []float64 {
	row := make([]float64, 0, 2*len(line))
	for _, p := range line {
		row = append(row, p[0], p[1])
	}
	return row
}
