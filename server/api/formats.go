package api

import (
	"bytes"
	"encoding/json"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"unicode"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy"
)

// Format is a form in which a sheet is sent, named by its file extension.
type Format string

// The formats.
const (
	JSON    Format = "json"
	PDF     Format = "pdf"
	GPX     Format = "gpx"
	GeoJSON Format = "geojson"
	KML     Format = "kml"
	ICS     Format = "ics" // what falls due after the job
)

// formats lists the formats, the one for a client without a wish first.
var formats = []struct {
	format    Format
	mediaType string
}{
	{JSON, "application/json"},
	{PDF, "application/pdf"},
	{GPX, "application/gpx+xml"},
	{GeoJSON, "application/geo+json"},
	{KML, "application/vnd.google-earth.kml+xml"},
	{ICS, "text/calendar"},
}

// serveSheet adds the routes of one sheet: without an extension the Accept
// header chooses the format.
func (s Services) serveSheet(g *echo.Group, path string, find func(echo.Context) (agronomy.Sheet, error)) {
	g.GET(path, s.sendSheet(accepted, find))
	for _, f := range formats {
		g.GET(path+"."+string(f.format), s.sendSheet(always(f.format), find))
	}
}

func always(f Format) func(echo.Context) (Format, error) {
	return func(echo.Context) (Format, error) { return f, nil }
}

func (s Services) sendSheet(
	choose func(echo.Context) (Format, error), find func(echo.Context) (agronomy.Sheet, error),
) echo.HandlerFunc {
	return func(c echo.Context) error {
		format, err := choose(c)
		if err != nil {
			return err
		}
		sheet, err := find(c)
		if err != nil {
			return err
		}
		return s.render(c, format, sheet)
	}
}

// render draws the whole sheet before the first byte is sent, so that a
// failure is a problem document and not half a page.
func (s Services) render(c echo.Context, f Format, sheet agronomy.Sheet) error {
	draw := s.Renderers[f]
	if f == JSON {
		draw = encodeSheet
	}
	if draw == nil {
		return notAcceptable()
	}
	var page bytes.Buffer
	if err := draw(&page, sheet); err != nil {
		return err
	}
	header := c.Response().Header()
	header.Add(echo.HeaderVary, echo.HeaderAccept)
	header.Set(echo.HeaderCacheControl, "no-cache")
	if f != JSON {
		header.Set(echo.HeaderContentDisposition, mime.FormatMediaType("inline", map[string]string{"filename": fileName(sheet, f)}))
	}
	return c.Blob(http.StatusOK, mediaType(f), page.Bytes())
}

func encodeSheet(w io.Writer, sheet agronomy.Sheet) error { return json.NewEncoder(w).Encode(sheet) }

func mediaType(f Format) string {
	for _, known := range formats {
		if known.format == f {
			return known.mediaType
		}
	}
	return echo.MIMEOctetStream
}

// fileName is what a browser calls the file when it is saved.
func fileName(sheet agronomy.Sheet, f Format) string {
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, sheet.Plot+" "+sheet.Date)
	return strings.Trim(name, "-") + "." + string(f)
}

// accepted is the format that the Accept header likes best.
func accepted(c echo.Context) (Format, error) {
	header := strings.Join(c.Request().Header.Values(echo.HeaderAccept), ",")
	if strings.TrimSpace(header) == "" {
		return JSON, nil
	}
	best, liked := JSON, 0.0
	for _, f := range formats {
		if q := quality(header, f.mediaType); q > liked {
			best, liked = f.format, q
		}
	}
	if liked == 0 {
		return "", notAcceptable()
	}
	return best, nil
}

// quality is how much an Accept header likes a media type, from 0 to 1: the
// most specific range that covers it counts (RFC 9110, 12.5.1).
func quality(header, mediaType string) (q float64) {
	major, _, _ := strings.Cut(mediaType, "/")
	specific := 0
	for part := range strings.SplitSeq(header, ",") {
		given, parameters, err := mime.ParseMediaType(part)
		if err != nil {
			continue
		}
		rank := map[string]int{"*/*": 1, major + "/*": 2, mediaType: 3}[given]
		if rank > specific {
			specific, q = rank, weight(parameters["q"])
		}
	}
	return q
}

func weight(text string) float64 {
	if text == "" {
		return 1
	}
	q, err := strconv.ParseFloat(text, 64)
	if err != nil || !(q >= 0 && q <= 1) {
		return 0
	}
	return q
}

func notAcceptable() error {
	var types []string
	for _, f := range formats {
		types = append(types, f.mediaType)
	}
	return refuse(http.StatusNotAcceptable, "not_acceptable", "a sheet is not sent in that form",
		"accept one of "+strings.Join(types, ", "))
}
