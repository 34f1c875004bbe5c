package api

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenfall/geo/fault"
)

// problem is a problem document (RFC 9457). Its type is about:blank, so that
// the title is the status; code is the short stable word for programs, where
// and remedy say where the fault lies and what to do.
type problem struct {
	Type      string       `json:"type"`
	Title     string       `json:"title"`
	Status    int          `json:"status"`
	Detail    string       `json:"detail,omitempty"`
	Code      string       `json:"code"`
	Where     *fault.Place `json:"where,omitempty"`
	Remedy    string       `json:"remedy,omitempty"`
	RequestID string       `json:"request_id"`
}

// statusOf is the one table from kinds of fault to statuses.
var statusOf = map[fault.Kind]int{
	fault.Invalid:  http.StatusUnprocessableEntity,
	fault.Unread:   http.StatusBadRequest,
	fault.TooLarge: http.StatusRequestEntityTooLarge,
	fault.Missing:  http.StatusNotFound,
	fault.Conflict: http.StatusPreconditionFailed,
	fault.Refused:  http.StatusConflict,
}

// refusal is a fault of the request itself rather than of what it carries; HTTP
// has a status of its own for it.
type refusal struct {
	status int
	fault  *fault.Error
}

// Error is the fault's sentence.
func (r refusal) Error() string { return r.fault.Error() }

// Unwrap is the fault.
func (r refusal) Unwrap() error { return r.fault }

func refuse(status int, code, what, remedy string) refusal {
	return refusal{status, fault.New(code, what, remedy)}
}

// renderError is the one place where an error becomes a reply.
func (s Services) renderError(err error, c echo.Context) {
	if c.Response().Committed {
		return // half the reply is out; the log has the error
	}
	p := problemOf(err)
	p.RequestID = requestID(c)
	if p.Status >= http.StatusInternalServerError {
		s.Log.LogAttrs(c.Request().Context(), slog.LevelError, "failed",
			slog.String("request_id", p.RequestID), slog.Any("error", err))
	}
	if p.Status == http.StatusServiceUnavailable {
		c.Response().Header().Set(echo.HeaderRetryAfter, comeBack)
	}
	body, err := json.Marshal(p)
	if err == nil {
		c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
		err = c.Blob(p.Status, "application/problem+json", append(body, '\n'))
	}
	if err != nil {
		s.Log.Error("cannot reply", "request_id", p.RequestID, "error", err)
	}
}

func problemOf(err error) problem {
	var ours refusal
	if errors.As(err, &ours) {
		return describeFault(ours.status, ours.fault)
	}
	if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
		ours := tooLarge(large.Limit)
		return describeFault(ours.status, ours.fault)
	}
	if found, ok := fault.From(err); ok {
		if status, known := statusOf[found.Kind]; known {
			return describeFault(status, found)
		}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return describeFault(http.StatusServiceUnavailable,
			fault.New("stopped", "the request was stopped before it was done", "try again"))
	}
	var routing *echo.HTTPError
	if errors.As(err, &routing) && routing.Code < http.StatusInternalServerError {
		return describeRouting(routing.Code)
	}
	return describeFault(http.StatusInternalServerError,
		fault.New("internal", "something went wrong inside the program", "report it with the request id"))
}

func describeFault(status int, f *fault.Error) problem {
	p := problem{Type: "about:blank", Title: http.StatusText(status), Status: status,
		Detail: f.What, Code: f.Code, Remedy: f.Remedy}
	if f.Where.String() != "" {
		p.Where = &f.Where
	}
	return p
}

// describeRouting words what the router refuses.
func describeRouting(status int) problem {
	switch status {
	case http.StatusNotFound:
		return describeFault(status, fault.New("no_such_path", "there is nothing at this path",
			"see "+Base+"/openapi.json for the paths"))
	case http.StatusMethodNotAllowed:
		return describeFault(status, fault.New("method_not_allowed", "this path does not take that method",
			"the Allow header lists the methods that it takes"))
	}
	return describeFault(status, fault.New("http", http.StatusText(status), ""))
}
