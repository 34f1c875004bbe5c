// Package api is the HTTP door: it decodes, calls and encodes. What is kept
// comes from a record.Store, what is worked out from agronomy, and how a sheet
// is drawn from the renderers; all are handed in.
package api

import (
	"io"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"

	"evenfall/agronomy"
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/server/record"
)

// Base is the path under which the resources lie.
const Base = "/api/v1"

// The paths that take a file and so a larger body than the others.
const (
	uploadPath    = Base + "/outlines"
	remeasurePath = Base + "/plots/:id/outline"
)

// Services is what the API calls. Every field but Turns, Pages and Hosts is
// needed.
type Services struct {
	Store   record.Store
	Prepare func(agronomy.Plot, spreader.Spreader, mix.Mix, agronomy.Options) (agronomy.Sheet, error)
	Turns   *Turns // in which Prepare and the tools run; nil is without a limit
	// Renderers draw a sheet in a format other than JSON.
	Renderers map[Format]func(io.Writer, agronomy.Sheet) error
	Pages     http.Handler // everything that is not under Base; optional
	Hosts     []string     // names and addresses that are ours, without a port; loopback's always are
	Clock     func() time.Time
	Log       *slog.Logger
}

// New is the whole site. Pages may be added to it; Serve lets it answer HEAD.
func New(s Services) *echo.Echo {
	e := echo.New()
	e.HTTPErrorHandler = s.renderError
	e.Use(
		identify,
		s.logRequests(),
		middleware.RecoverWithConfig(middleware.RecoverConfig{LogErrorFunc: s.logPanic, DisablePrintStack: true}),
		secure,
		s.onlyOurHosts(),
		onlySameOrigin,
		limitBody,
		middleware.GzipWithConfig(middleware.GzipConfig{MinLength: gzipFrom, Skipper: beyondBase}),
	)
	s.route(e)
	if s.Pages != nil {
		e.GET("/*", echo.WrapHandler(s.Pages))
		e.GET(Base+"/*", func(echo.Context) error { return echo.ErrNotFound }) // no page answers for programs
	}
	return e
}

// gzipFrom is the smallest reply in bytes that is worth compressing: about one
// network packet. Our own choice.
const gzipFrom = 1400

// beyondBase tells the paths of the pages, which come with an encoding of
// their own.
func beyondBase(c echo.Context) bool { return !strings.HasPrefix(c.Request().URL.Path, Base+"/") }

func (s Services) route(e *echo.Echo) {
	g := e.Group(Base)
	serve(g, "/properties", s.Store.Properties())
	serve[record.Plot](g, "/plots", measuredPlots{s.Store.Plots(), s.today}, "property_id", "bbox")
	serve[record.Survey](g, "/surveys", checked[record.Survey]{s.Store.Surveys(), measureSurvey}, "plot_id")
	serve[record.Spreader](g, "/spreaders", checked[record.Spreader]{s.Store.Spreaders(), nameSpreader})
	serve[record.Mix](g, "/mixes", checked[record.Mix]{s.Store.Mixes(), nameMix})
	serve[record.Sheet](g, "/sheets", workedSheets{s.Store.Sheets(), s.work}, "plot_id")

	e.POST(uploadPath, s.uploadPlots)
	e.POST(remeasurePath, s.uploadOutline)
	g.POST("/spreaders/:id/corrections", s.correctSpreader)
	g.GET("/plots/:id/seasons", s.seasonsOfPlot)
	g.POST("/sheet", s.sheetOfBody)
	s.serveSheet(g, "/plots/:id/sheet", s.sheetOfPlot)
	s.serveSheet(g, "/sheets/:id/sheet", s.sheetAsSaved)
	g.GET("/catalog", searchCatalog)
	g.GET("/catalog/crops/:id", catalogEntry((*catalog.Catalog).Crop))
	g.GET("/catalog/products/:id", catalogEntry((*catalog.Catalog).Product))
	s.tools(g)
	g.GET("/openapi.json", describe)
}

// today is the day by the clock, where the clock is.
func (s Services) today() string { return s.Clock().Format(time.DateOnly) }
