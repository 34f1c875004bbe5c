package api

import (
	"context"
	"encoding/json"
	"net/url"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"
	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/passes"
	"evenfall/server/record"
)

// sheetParameters are the query parameters of a plot's sheet.
var sheetParameters = []string{"spreader", "mix", "date", "units", "speed", "spacing", "first_inset", "clearance",
	"gate", "clockwise", "along", "start", "layers", "scoop", "disc_depth",
	"plan", "priority", "habit", "quick", "room", "no_throw_outside", "half_rates", "right_angles", "budget"}

// sheetOfPlot works out the sheet of a kept plot.
func (s Services) sheetOfPlot(c echo.Context) (sheet agronomy.Sheet, err error) {
	values, err := known(c, sheetParameters...)
	if err != nil {
		return sheet, err
	}
	return s.workWith(c.Request().Context(), c.Param("id"), values.Get("spreader"), values.Get("mix"),
		func(o *agronomy.Options) error { return overlay(o, values) })
}

// sheetAsSaved is a saved sheet, as it was worked out then.
func (s Services) sheetAsSaved(c echo.Context) (sheet agronomy.Sheet, err error) {
	if err := noQuery(c); err != nil {
		return sheet, err
	}
	saved, err := s.Store.Sheets().Get(c.Request().Context(), c.Param("id"))
	if err != nil {
		return sheet, err
	}
	return resultOf(saved)
}

// Sheet works out the sheet of a kept plot for today, with the plot's own
// choices; an empty id stands for the plot's own spreader or mix.
func (s Services) Sheet(ctx context.Context, plotID, spreaderID, mixID string) (agronomy.Sheet, error) {
	return s.workWith(ctx, plotID, spreaderID, mixID, func(*agronomy.Options) error { return nil })
}

// workWith works out a sheet from kept records. The plot's own choices come
// first, then the day, then what choose changes.
func (s Services) workWith(
	ctx context.Context, plotID, spreaderID, mixID string, choose func(*agronomy.Options) error,
) (sheet agronomy.Sheet, err error) {
	found, err := s.Store.Plots().Surveyed(ctx, plotID)
	if err != nil {
		return sheet, err
	}
	plot, err := plotToPrepare(found)
	if err != nil {
		return sheet, err
	}
	if err := ownGoods(found.Plot, &spreaderID, &mixID); err != nil {
		return sheet, err
	}
	machine, recipe, err := s.documents(ctx, spreaderID, mixID)
	if err != nil {
		return sheet, err
	}
	options, err := readOptions(found.Plot.Driver, "driver")
	if err != nil {
		return sheet, err
	}
	if options.Date == "" {
		options.Date = s.today()
	}
	if err := choose(&options); err != nil {
		return sheet, err
	}
	return s.prepareInTurn(ctx, plot, machine, recipe, options)
}

// ownGoods takes the plot's own spreader and mix where none is named.
func ownGoods(plot record.Plot, spreaderID, mixID *string) error {
	for _, one := range []struct {
		name string
		id   *string
		own  string
	}{{"spreader", spreaderID, plot.SpreaderID}, {"mix", mixID, plot.MixID}} {
		if *one.id == "" {
			*one.id = one.own
		}
		if *one.id == "" {
			return badParameter(one.name, "the "+one.name+" is missing", "choose the plot's own, or give the id of a "+one.name)
		}
	}
	return nil
}

// prepareInTurn works out a sheet once it is this request's turn.
func (s Services) prepareInTurn(
	ctx context.Context, p agronomy.Plot, m spreader.Spreader, r mix.Mix, o agronomy.Options,
) (agronomy.Sheet, error) {
	giveBack, err := s.Turns.take(ctx)
	if err != nil {
		return agronomy.Sheet{}, err
	}
	defer giveBack()
	return s.Prepare(p, m, r, o)
}

// documents reads a kept spreader and a kept mix.
func (s Services) documents(ctx context.Context, spreaderID, mixID string) (m spreader.Spreader, r mix.Mix, err error) {
	keptSpreader, err := s.Store.Spreaders().Get(ctx, spreaderID)
	if err != nil {
		return m, r, err
	}
	keptMix, err := s.Store.Mixes().Get(ctx, mixID)
	if err != nil {
		return m, r, err
	}
	if m, err = readDocument[spreader.Spreader](keptSpreader.Document, "spreader"); err != nil {
		return m, r, err
	}
	r, err = readDocument[mix.Mix](keptMix.Document, "mix")
	return m, r, err
}

// overlay changes options by what a query says. Figures are read as people
// write them, with their unit.
func overlay(o *agronomy.Options, values url.Values) error {
	for name, text := range map[string]*string{"date": &o.Date, "gate": &o.Gate, "units": (*string)(&o.System),
		"plan": &o.Plan, "priority": (*string)(&o.Priority)} {
		if given := values.Get(name); given != "" {
			*text = given
		}
	}
	return firstFault(
		parameter(values, "speed", &o.Speed, units.ParseSpeed),
		parameter(values, "spacing", &o.Spacing, units.ParseLength),
		parameter(values, "first_inset", &o.FirstInset, units.ParseLength),
		parameter(values, "clearance", &o.Clearance, units.ParseLength),
		parameter(values, "scoop", &o.Scoop, units.ParseVolume),
		parameter(values, "layers", &o.Layers, parseCount),
		parameter(values, "clockwise", &o.Clockwise, parseYes),
		parameter(values, "along", &o.Along, parseBearing),
		parameter(values, "start", &o.Start, parsePoint),
		parameter(values, "disc_depth", &o.DiscDepth, units.ParseLength),
		parameter(values, "habit", &o.Habit, parseYes),
		parameter(values, "quick", &o.Quick, parseYes),
		parameter(values, "room", &o.Room, parseSides),
		parameter(values, "no_throw_outside", &o.NoThrowOutside, parseYes),
		parameter(values, "half_rates", &o.HalfRates, parseYes),
		parameter(values, "right_angles", &o.RightAngles, parseYes),
		parameter(values, "budget", &o.Budget, parseCount),
	)
}

// parameter reads one query parameter, if it is given.
func parameter[T any](values url.Values, name string, into *T, parse func(string) (T, error)) error {
	text := values.Get(name)
	if text == "" {
		return nil
	}
	read, err := parse(text)
	if err != nil {
		return inParameter(name, err)
	}
	*into = read
	return nil
}

func parseCount(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, fault.New("count", strconv.Quote(text)+" is no whole number above zero", "give 1 or more")
	}
	return n, nil
}

func parseYes(text string) (bool, error) {
	yes, err := strconv.ParseBool(text)
	if err != nil {
		return false, fault.New("yes_or_no", strconv.Quote(text)+" is neither true nor false", "give true or false")
	}
	return yes, nil
}

// parseBearing reads degrees, clockwise from north.
func parseBearing(text string) (*float64, error) {
	degrees, err := strconv.ParseFloat(text, 64)
	if err != nil || !(degrees >= 0 && degrees <= 360) {
		return nil, fault.New("bearing", strconv.Quote(text)+" is no bearing", "give 0 to 360 degrees: 0 is north, 90 is east")
	}
	return &degrees, nil
}

// parseSides reads the sides with room to turn: all, none, or a list.
func parseSides(text string) (passes.Room, error) {
	var room passes.Room
	sides := map[string]*bool{"north": &room.North, "east": &room.East, "south": &room.South, "west": &room.West}
	switch text {
	case "all":
		return passes.RoomAllRound, nil
	case "none":
		return room, nil
	}
	for name := range strings.SplitSeq(text, ",") {
		side, ok := sides[strings.TrimSpace(name)]
		if !ok {
			return room, fault.New("sides", strconv.Quote(name)+" is no side of a plot", "list north, east, south, west, or say all or none")
		}
		*side = true
	}
	return room, nil
}

func parsePoint(text string) (*orb.Point, error) {
	west, south, _ := strings.Cut(text, ",")
	lon, errLon := strconv.ParseFloat(strings.TrimSpace(west), 64)
	lat, errLat := strconv.ParseFloat(strings.TrimSpace(south), 64)
	if errLon != nil || errLat != nil || !(lon >= -360 && lon <= 360 && lat >= -90 && lat <= 90) {
		return nil, fault.New("position", strconv.Quote(text)+" is no longitude,latitude", "give two numbers in degrees")
	}
	return &orb.Point{lon, lat}, nil
}

func firstFault(checks ...error) error {
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}

// workedSheets is the shelf of saved sheets for clients: they say what to work
// out, and the result is kept as it came out.
type workedSheets struct {
	record.Shelf[record.Sheet]
	work func(context.Context, *record.Sheet) error
}

// Create works out a sheet and keeps it.
func (w workedSheets) Create(ctx context.Context, s record.Sheet) (record.Sheet, error) {
	if err := w.work(ctx, &s); err != nil {
		return s, err
	}
	if err := checkUsed(s); err != nil {
		return s, err
	}
	return w.Shelf.Create(ctx, s)
}

// Update changes the note and what is said to have been done. A saved sheet is
// the record of what was worked out on its day, so nothing else of it changes.
func (w workedSheets) Update(ctx context.Context, s record.Sheet) (record.Sheet, error) {
	before, err := w.Get(ctx, s.ID)
	if err != nil {
		return s, err
	}
	for _, field := range []struct{ name, sent, kept string }{
		{"plot_id", s.PlotID, before.PlotID}, {"spreader_id", s.SpreaderID, before.SpreaderID},
		{"mix_id", s.MixID, before.MixID}, {"date", s.Date, before.Date},
	} {
		if field.sent != "" && field.sent != field.kept {
			return s, fault.New("sheet_fixed", "a saved sheet keeps its "+field.name, "save a new sheet").
				Of(fault.Refused).In(field.name)
		}
	}
	before.Revision, before.Note, before.Done = s.Revision, s.Note, s.Done
	if err := checkUsed(before); err != nil {
		return s, err
	}
	return w.Shelf.Update(ctx, before)
}

// work fills in the result of a sheet that is to be saved, and the options and
// the day that it was worked out with.
func (s Services) work(ctx context.Context, saved *record.Sheet) error {
	for _, named := range []struct{ field, id string }{
		{"plot_id", saved.PlotID}, {"spreader_id", saved.SpreaderID}, {"mix_id", saved.MixID},
	} {
		if named.id == "" {
			return fault.New("reference_empty", "the "+named.field+" is missing", "name the record").In(named.field)
		}
	}
	if len(saved.Inputs) > 0 {
		return s.workFromInputs(ctx, saved)
	}
	var used agronomy.Options
	sheet, err := s.workWith(ctx, saved.PlotID, saved.SpreaderID, saved.MixID, func(o *agronomy.Options) error {
		if len(saved.Options) > 0 {
			if err := decodeJSON(saved.Options, o); err != nil {
				return below("options", err)
			}
		}
		if saved.Date != "" {
			o.Date = saved.Date
		}
		used = *o
		return nil
	})
	if err != nil {
		return err
	}
	return fillIn(saved, used, sheet)
}

// workFromInputs works out a sheet that was made out of reach from what it was
// made from there: the plot, the spreader and the mix may have changed since.
func (s Services) workFromInputs(ctx context.Context, saved *record.Sheet) error {
	var sent sheetRequest
	if err := decodeJSON(saved.Inputs, &sent); err != nil {
		return below("inputs", err)
	}
	used, err := readOptions(sent.Options, "inputs.options")
	if err != nil {
		return err
	}
	if saved.Date != "" {
		used.Date = saved.Date
	}
	if sent.Options, err = json.Marshal(used); err != nil {
		return err
	}
	sheet, err := s.workAlone(ctx, sent)
	if err != nil {
		return below("inputs", err)
	}
	used.Date = sheet.Date
	saved.Inputs = nil
	return fillIn(saved, used, sheet)
}

// fillIn puts what was worked out, and with which choices, into the record.
func fillIn(saved *record.Sheet, used agronomy.Options, sheet agronomy.Sheet) (err error) {
	saved.Date = used.Date
	if saved.Options, err = json.Marshal(used); err != nil {
		return err
	}
	saved.Result, err = json.Marshal(sheet)
	return err
}

// sheetRequest is everything that a sheet is worked out from, for a client
// that keeps nothing here. Without a survey the outline counts as drawn on the
// day of the job.
type sheetRequest struct {
	Plot struct {
		Name     string             `json:"name"`
		Property string             `json:"property,omitempty"`
		Outline  record.Outline     `json:"outline"`
		Survey   *geo.Survey        `json:"survey,omitempty"`
		Surveys  []geo.Survey       `json:"surveys,omitempty"` // the guesses among them
		KeepOff  []agronomy.KeepOff `json:"keep_off,omitempty"`
	} `json:"plot"`
	Spreader json.RawMessage `json:"spreader"`
	Mix      json.RawMessage `json:"mix"`
	Options  json.RawMessage `json:"options,omitempty"`
}

// sheetOfBody works out a sheet from the request alone and keeps nothing.
func (s Services) sheetOfBody(c echo.Context) error {
	if err := noQuery(c); err != nil {
		return err
	}
	format, err := accepted(c)
	if err != nil {
		return err
	}
	var sent sheetRequest
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	sheet, err := s.workAlone(c.Request().Context(), sent)
	if err != nil {
		return err
	}
	return s.render(c, format, sheet)
}

func (s Services) workAlone(ctx context.Context, sent sheetRequest) (sheet agronomy.Sheet, err error) {
	machine, err := readDocument[spreader.Spreader](sent.Spreader, "spreader")
	if err != nil {
		return sheet, err
	}
	recipe, err := readDocument[mix.Mix](sent.Mix, "mix")
	if err != nil {
		return sheet, err
	}
	options, err := readOptions(sent.Options, "options")
	if err != nil {
		return sheet, err
	}
	if options.Date == "" {
		options.Date = s.today()
	}
	plot, err := sent.plot(options.Date)
	if err != nil {
		return sheet, below("plot", err)
	}
	return s.prepareInTurn(ctx, plot, machine, recipe, options)
}

// plot checks and measures the plot that was sent.
func (r sheetRequest) plot(day string) (agronomy.Plot, error) {
	sent := r.Plot
	plot, err := geo.NewPlot(sent.Name, orb.Polygon(sent.Outline))
	if err != nil {
		return agronomy.Plot{}, inOutline(err)
	}
	survey := plot.Survey(geo.Drawn, day, geo.CornerSigmaM)
	if sent.Survey != nil {
		survey = *sent.Survey
		survey.AreaM2, survey.PerimeterM = plot.AreaM2(), plot.PerimeterM()
	}
	for _, one := range append([]geo.Survey{survey}, sent.Surveys...) {
		if err := one.Check(); err != nil {
			return agronomy.Plot{}, below("survey", err)
		}
	}
	return agronomy.Plot{Plot: plot, Property: sent.Property, Survey: survey,
		Surveys: append(sent.Surveys, survey), KeepOff: sent.KeepOff}, nil
}
