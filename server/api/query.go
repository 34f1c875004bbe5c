package api

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"
	"github.com/paulmach/orb"

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// known refuses query parameters that a path does not have, and any given
// twice: a slip there would otherwise change what is asked for unseen.
func known(c echo.Context, names ...string) (url.Values, error) {
	values, err := url.ParseQuery(c.Request().URL.RawQuery)
	if err != nil {
		return nil, badParameter("", "the query string cannot be read", "escape it as a URL needs")
	}
	for name, given := range values {
		if !slices.Contains(names, name) {
			return nil, badParameter(name, "there is no query parameter "+strconv.Quote(name),
				"see "+Base+"/openapi.json")
		}
		if len(given) > 1 {
			return nil, badParameter(name, name+" is given more than once", "give it once")
		}
	}
	return values, nil
}

func noQuery(c echo.Context) error {
	_, err := known(c)
	return err
}

func badParameter(name, what, remedy string) error {
	return refusal{http.StatusBadRequest, fault.New("parameter", what, remedy).In(name)}
}

// inParameter says that the fault lies in a query parameter.
func inParameter(name string, err error) error {
	if found, ok := fault.From(err); ok {
		return refusal{http.StatusBadRequest, found.In(name)}
	}
	return err
}

// listQuery reads what narrows a list.
func listQuery(c echo.Context, filters []string) (q record.Query, err error) {
	values, err := known(c, filters...)
	if err != nil {
		return q, err
	}
	q = record.Query{PropertyID: values.Get("property_id"), PlotID: values.Get("plot_id"), After: values.Get("after")}
	if text := values.Get("limit"); text != "" {
		if q.Limit, err = strconv.Atoi(text); err != nil || q.Limit < 1 {
			return q, badParameter("limit", fmt.Sprintf("a limit of %q is no whole number above zero", text), "give 1 or more")
		}
	}
	if text := values.Get("bbox"); text != "" {
		q.Box, err = readBox(text)
	}
	return q, err
}

// readBox reads west,south,east,north in degrees; west beyond east crosses
// the antimeridian (RFC 7946, 5.2).
func readBox(text string) (*orb.Bound, error) {
	parts := strings.Split(text, ",")
	if len(parts) != 4 {
		return nil, badParameter("bbox", "a bbox has four numbers", "give west,south,east,north in degrees")
	}
	var edges [4]float64
	for i, part := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		limit := 180.0
		if i%2 == 1 {
			limit = 90
		}
		if err != nil || !(v >= -limit && v <= limit) {
			return nil, badParameter("bbox", fmt.Sprintf("%q is no such number of degrees", part),
				"give west,south,east,north in degrees")
		}
		edges[i] = v
	}
	if edges[1] > edges[3] {
		return nil, badParameter("bbox", "the south edge is north of the north edge", "give west,south,east,north in degrees")
	}
	return &orb.Bound{Min: orb.Point{edges[0], edges[1]}, Max: orb.Point{edges[2], edges[3]}}, nil
}

// nextPage is this list's address with another place to go on from.
func nextPage(c echo.Context, after string) string {
	values := c.QueryParams()
	values.Set("after", after)
	return c.Request().URL.Path + "?" + values.Encode()
}
