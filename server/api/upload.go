package api

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/intake"
	"evenfall/server/record"
)

// uploadPlots makes a plot of every outline in a file, or with dry_run only
// says what it would make.
func (s Services) uploadPlots(c echo.Context) error {
	values, err := known(c, "property_id", "dry_run", "split", "name", "offset", "corner")
	if err != nil {
		return err
	}
	dry := false
	if err := parameter(values, "dry_run", &dry, parseYes); err != nil {
		return err
	}
	if !dry && values.Get("property_id") == "" {
		return badParameter("property_id", "the property is missing", "give the id of the property, or dry_run=true")
	}
	read, err := s.readUpload(c, values)
	if err != nil {
		return err
	}
	plots := make([]record.MeasuredPlot, len(read))
	for i, one := range read {
		plots[i] = outlined(record.Plot{PropertyID: values.Get("property_id"), Name: nameOr(one.Plot, i)}, one.Plot, noted(one))
	}
	if dry {
		return c.JSON(http.StatusOK, offer(plots))
	}
	made, err := s.Store.Plots().CreateAll(c.Request().Context(), plots)
	if err != nil {
		return err
	}
	return c.JSON(http.StatusCreated, page[record.Plot]{Items: made, Total: len(made)})
}

// offered is a plot that a file holds and that was not kept.
type offered struct {
	Name    string         `json:"name"`
	Outline record.Outline `json:"outline"`
	Survey  geo.Survey     `json:"survey"`
}

func offer(plots []record.MeasuredPlot) page[offered] {
	reply := page[offered]{Items: []offered{}, Total: len(plots)}
	for _, p := range plots {
		reply.Items = append(reply.Items, offered{p.Plot.Name, p.Plot.Outline, p.Survey.Survey})
	}
	return reply
}

// noted is the survey with what a person should know of how it was made.
func noted(m intake.Measured) geo.Survey {
	m.Survey.Note = strings.Join(m.Notes, "\n")
	return m.Survey
}

func nameOr(p geo.Plot, i int) string {
	if p.Name != "" {
		return p.Name
	}
	return fmt.Sprintf("Plot %d", i+1)
}

// uploadOutline measures a kept plot anew: the file's one outline becomes a
// survey of the plot, and the one in use.
func (s Services) uploadOutline(c echo.Context) error {
	values, err := known(c, "split", "offset", "corner")
	if err != nil {
		return err
	}
	read, err := s.readUpload(c, values)
	if err != nil {
		return err
	}
	if len(read) != 1 {
		return fault.New("several_plots", fmt.Sprintf("the file holds %d plots", len(read)),
			"send a file with the one outline of this plot")
	}
	id := c.Param("id")
	if _, err := s.Store.Plots().Get(c.Request().Context(), id); err != nil {
		return err
	}
	made, err := s.Store.Surveys().Create(c.Request().Context(), record.Survey{
		PlotID: id, Survey: noted(read[0]), Outline: record.Outline(read[0].Plot.Polygon), InUse: true})
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderLocation, Base+"/surveys/"+made.ID)
	return sendRecord(c, http.StatusCreated, &made)
}

// readUpload decodes the file of a request: the first file of a form, or the
// body itself. What it is called and declared as does not matter.
func (s Services) readUpload(c echo.Context, values url.Values) ([]intake.Measured, error) {
	how := intake.Options{Date: s.today()}
	how.Name = values.Get("name")
	var offset, corner units.Length
	if err := firstFault(
		parameter(values, "split", &how.Split, parseYes),
		parameter(values, "offset", &offset, units.ParseLength),
		parameter(values, "corner", &corner, units.ParseLength),
	); err != nil {
		return nil, err
	}
	how.Walk.OffsetM, how.CornerM = float64(offset), float64(corner)
	file, err := uploaded(c.Request())
	if err != nil {
		return nil, err
	}
	var read []intake.Measured
	err = readWatched(file, func(r io.Reader) (err error) { read, err = intake.Read(r, how); return err })
	return read, err
}

func uploaded(r *http.Request) (io.Reader, error) {
	form, err := r.MultipartReader()
	if errors.Is(err, http.ErrNotMultipart) {
		return r.Body, nil
	}
	if err != nil {
		return nil, fault.New("form_broken", "the form cannot be read", "send the file again").Of(fault.Unread)
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return nil, fault.New("form_empty", "the form holds no file", "attach the outline file").Of(fault.Unread)
		}
		if err != nil {
			return nil, brokenOff(err)
		}
		if part.FileName() != "" {
			return part, nil
		}
	}
}

// readWatched decodes a body. When that ended too early, this is said and not
// what the decoder made of it.
func readWatched(body io.Reader, decode func(io.Reader) error) error {
	watched := &watchedReader{from: body}
	err := decode(watched)
	if watched.err != nil {
		return brokenOff(watched.err)
	}
	return err
}

// watchedReader remembers how reading failed, since a decoder may report it in
// words of its own.
type watchedReader struct {
	from io.Reader
	err  error
}

// Read passes on what is read.
func (w *watchedReader) Read(p []byte) (int, error) {
	n, err := w.from.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		w.err = err
	}
	return n, err
}
