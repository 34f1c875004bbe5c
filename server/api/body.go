package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"evenfall/geo/fault"
)

// readJSON decodes a request's body.
func readJSON(c echo.Context, into any) error {
	kind, _, err := mime.ParseMediaType(c.Request().Header.Get(echo.HeaderContentType))
	if err != nil || kind != "application/json" {
		return refuse(http.StatusUnsupportedMediaType, "content_type", "the body is not declared as JSON",
			"send it with Content-Type: application/json")
	}
	body, err := io.ReadAll(c.Request().Body)
	if err != nil {
		return brokenOff(err)
	}
	return decodeJSON(body, into)
}

// brokenOff is for a body that ended too early: the client's doing, unless it
// ran into the limit.
func brokenOff(err error) error {
	if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
		return err
	}
	return fault.New("body_broken", "the request ended before its body was complete", "send it again").Of(fault.Unread)
}

// decodeJSON takes exactly one JSON value and no field that is not known, so
// that a slip in a field's name does not pass for leaving it out.
func decodeJSON(body []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return jsonFault(err, body)
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return fault.New("json_trailing", "something follows the end of the JSON", "send one value").
			Of(fault.Unread).At(fault.Place{Line: lineAt(body, decoder.InputOffset())})
	}
	return nil
}

// jsonFault says where and how the JSON is wrong.
func jsonFault(err error, body []byte) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fault.New("json_syntax", "the body is not valid JSON: "+syntax.Error(), "correct it and send it again").
			Of(fault.Unread).At(fault.Place{Line: lineAt(body, syntax.Offset)})
	case errors.As(err, &kind):
		return fault.New("json_type", fmt.Sprintf("a %s is where another kind of value is expected", kind.Value),
			"see "+Base+"/openapi.json").At(fault.Place{Line: lineAt(body, kind.Offset), Field: kind.Field})
	case errors.Is(err, io.ErrUnexpectedEOF):
		return fault.New("json_truncated", "the JSON ends too early", "send all of it").
			Of(fault.Unread).At(fault.Place{Line: lineAt(body, int64(len(body)))})
	case errors.Is(err, io.EOF):
		return fault.New("json_empty", "the body is empty", "send a JSON object").Of(fault.Unread)
	}
	if name, unknown := strings.CutPrefix(err.Error(), "json: unknown field "); unknown {
		return fault.New("unknown_field", "there is no field "+name, "see "+Base+"/openapi.json").
			In(strings.Trim(name, `"`))
	}
	if _, ok := fault.From(err); ok {
		return err // from a type that decodes itself
	}
	return fault.New("json", "the body cannot be read as JSON", "see "+Base+"/openapi.json").Of(fault.Unread)
}

func lineAt(body []byte, offset int64) int {
	return 1 + bytes.Count(body[:min(max(offset, 0), int64(len(body)))], []byte("\n"))
}
