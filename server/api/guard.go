package api

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
)

// identify gives every request an id for the log and the reply.
func identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		c.Response().Header().Set(echo.HeaderXRequestID, uuid.NewString())
		return next(c)
	}
}

func requestID(c echo.Context) string { return c.Response().Header().Get(echo.HeaderXRequestID) }

// logRequests writes one line for each request, once its reply is known.
func (s Services) logRequests() echo.MiddlewareFunc {
	return middleware.RequestLoggerWithConfig(middleware.RequestLoggerConfig{
		LogMethod: true, LogURIPath: true, LogStatus: true, LogLatency: true, LogResponseSize: true, LogRemoteIP: true,
		HandleError: true,
		LogValuesFunc: func(c echo.Context, v middleware.RequestLoggerValues) error {
			s.Log.LogAttrs(context.WithoutCancel(c.Request().Context()), levelOf(v.Status), "request",
				slog.String("request_id", requestID(c)),
				slog.String("method", c.Request().Method),
				slog.String("path", v.URIPath),
				slog.Int("status", v.Status),
				slog.Int64("bytes", v.ResponseSize),
				slog.Float64("took_ms", float64(v.Latency.Microseconds())/1000),
				slog.String("remote", v.RemoteIP))
			return nil
		},
	})
}

func levelOf(status int) slog.Level {
	switch {
	case status >= http.StatusInternalServerError:
		return slog.LevelError
	case status >= http.StatusBadRequest:
		return slog.LevelWarn
	}
	return slog.LevelInfo
}

func (s Services) logPanic(c echo.Context, err error, stack []byte) error {
	s.Log.Error("panic", "request_id", requestID(c), "error", err, "stack", string(stack))
	return err
}

// headers keep the browser from running, framing or leaking what is not ours.
// Compiling WebAssembly is the one thing that scripts may do beyond running.
var headers = map[string]string{
	"Content-Security-Policy": "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; " +
		"img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Permissions-Policy":           "geolocation=(self), camera=(), microphone=()",
	"Referrer-Policy":              "no-referrer",
	"X-Content-Type-Options":       "nosniff",
	"X-Frame-Options":              "DENY",
}

func secure(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		for name, value := range headers {
			c.Response().Header().Set(name, value)
		}
		return next(c)
	}
}

// onlyOurHosts refuses a request whose Host is not ours: a page elsewhere can
// point a name of its own at this machine (DNS rebinding), but it cannot make
// the browser send our name.
func (s Services) onlyOurHosts() echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if !s.isOurs(c.Request().Host) {
				return refuse(http.StatusMisdirectedRequest, "foreign_host",
					"the Host header does not name this server", "use the address that the server printed when it started")
			}
			return next(c)
		}
	}
}

func (s Services) isOurs(hostPort string) bool {
	host := hostPort
	if name, _, err := net.SplitHostPort(hostPort); err == nil {
		host = name
	}
	host = strings.ToLower(strings.Trim(host, "[]"))
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return true
	}
	return slices.ContainsFunc(s.Hosts, func(ours string) bool { return strings.EqualFold(ours, host) })
}

var crossOrigin = http.NewCrossOriginProtection()

// onlySameOrigin refuses writes that another site's page asks a browser to
// make. Programs that are no browser send neither header and pass.
func onlySameOrigin(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if crossOrigin.Check(c.Request()) != nil || !originIsOurs(c.Request()) {
			return refuse(http.StatusForbidden, "foreign_origin",
				"another site may not change anything here", "make the change from this server's own pages")
		}
		return next(c)
	}
}

// originIsOurs holds even where the browser vouches for the request otherwise.
func originIsOurs(r *http.Request) bool {
	origin := r.Header.Get(echo.HeaderOrigin)
	if origin == "" || r.Method == http.MethodGet || r.Method == http.MethodHead {
		return true
	}
	from, err := url.Parse(origin)
	return err == nil && strings.EqualFold(from.Host, r.Host)
}

// The largest request in bytes: room for an outline file of a hundred times as
// many corners as a plot may have, and for any record with a sheet in it. Our
// own choice.
const (
	fileMost = 16 << 20
	bodyMost = 4 << 20
)

// limitBody refuses a body by its declared length before a byte is read, and
// any other once it passes the limit.
func limitBody(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r, most := c.Request(), int64(bodyMost)
		if c.Path() == uploadPath || c.Path() == remeasurePath {
			most = fileMost
		}
		if r.ContentLength > most {
			c.Response().Header().Set(echo.HeaderConnection, "close")
			return tooLarge(most)
		}
		if r.Header.Get(echo.HeaderContentEncoding) != "" {
			return refuse(http.StatusUnsupportedMediaType, "content_encoding", "a compressed body is not read",
				"send it as it is")
		}
		r.Body = http.MaxBytesReader(c.Response(), r.Body, most)
		return next(c)
	}
}

func tooLarge(most int64) refusal {
	return refuse(http.StatusRequestEntityTooLarge, "body_large", fmt.Sprintf("the request is larger than %d MB", most>>20),
		"send one outline at a time, with fewer corners")
}

// headAsGet lets every GET answer HEAD; net/http leaves the body out.
func headAsGet(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodHead {
			r = r.Clone(r.Context())
			r.Method = http.MethodGet
		}
		next.ServeHTTP(w, r)
	})
}
