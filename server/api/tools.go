package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// tools adds the calculators: each takes its figures, keeps nothing and sends
// what they come to.
func (s Services) tools(g *echo.Group) {
	serveTool(s, g, "pattern", alone(weighPattern))
	serveTool(s, g, "gate", alone(setGate))
	serveTool(s, g, "need", alone(meetNeed))
	serveTool(s, g, "bags", alone(chooseBags))
	serveTool(s, g, "lime", alone(doseLime))
	serveTool(s, g, "seed", alone(sowSeed))
	serveTool(s, g, "count", alone(judgeCounts))
	serveTool(s, g, "amounts", alone(workAmounts))
	serveTool(s, g, "trip", s.planTrip)
}

// spoken is the part of a tool's request that says in which units a person
// reads the sentences of the reply. The figures are SI either way.
type spoken struct {
	Units units.System `json:"units,omitempty"`
}

func (s *spoken) settle() error {
	switch s.Units {
	case "":
		s.Units = units.US
	case units.US, units.Metric:
	default:
		return fault.New("units", fmt.Sprintf("units %q are not known", s.Units), "say us or metric").In("units")
	}
	return nil
}

// toolRequest is a pointer to what a tool takes.
type toolRequest[Q any] interface {
	*Q
	settle() error
}

// serveTool adds one calculator: decode, call, encode.
func serveTool[Q, R any, P toolRequest[Q]](
	s Services, g *echo.Group, name string, run func(context.Context, Q) (R, error),
) {
	g.POST("/tools/"+name, func(c echo.Context) error {
		var asked Q
		if err := readTool(c, &asked); err != nil {
			return err
		}
		if err := P(&asked).settle(); err != nil {
			return err
		}
		giveBack, err := s.Turns.take(c.Request().Context())
		if err != nil {
			return err
		}
		defer giveBack()
		answer, err := run(c.Request().Context(), asked)
		if err != nil {
			return err
		}
		return sendAnswer(c, answer)
	})
}

// sendAnswer sends what a tool came to. Figures that are each allowed can still
// come to one beyond all measure, which JSON cannot carry.
func sendAnswer(c echo.Context, answer any) error {
	text, err := json.Marshal(answer)
	if beyond := (*json.UnsupportedValueError)(nil); errors.As(err, &beyond) {
		return fault.New("beyond_measure", "these figures come to one that is beyond all measure", "check their units")
	}
	if err != nil {
		return err
	}
	return c.JSONBlob(http.StatusOK, append(text, '\n'))
}

// alone is a tool that needs nothing but its request.
func alone[Q, R any](run func(Q) (R, error)) func(context.Context, Q) (R, error) {
	return func(_ context.Context, asked Q) (R, error) { return run(asked) }
}

// tableRequest is a request that may come as a CSV table instead. What the
// table does not hold is in the query, in the words that people use.
type tableRequest interface {
	parameters() []string
	choose(url.Values) error
	readTable(io.Reader) error
}

func readTool(c echo.Context, into any) error {
	table, mayBeTable := into.(tableRequest)
	if !mayBeTable {
		if err := noQuery(c); err != nil {
			return err
		}
		return readJSON(c, into)
	}
	values, err := known(c, table.parameters()...)
	if err != nil {
		return err
	}
	if kind, _, _ := mime.ParseMediaType(c.Request().Header.Get(echo.HeaderContentType)); kind == "text/csv" {
		err = readWatched(c.Request().Body, table.readTable)
	} else {
		err = readJSON(c, into)
	}
	if err != nil {
		return err
	}
	return table.choose(values)
}

// goods is the part of a request that adds to the catalog.
type goods struct {
	Own *catalog.Own `json:"own,omitempty"`
}

// mostGoods is how many entries of one kind a request may add or name; a person
// has a shelf of them. Our own choice.
const mostGoods = 500

func (g goods) catalog() (*catalog.Catalog, error) {
	all, err := catalog.Default()
	if err != nil || g.Own == nil {
		return all, err
	}
	if most := max(len(g.Own.Crops), len(g.Own.Products), len(g.Own.Overrides)); most > mostGoods {
		return nil, tooMany("own", most, mostGoods)
	}
	all, err = all.With(*g.Own)
	return all, below("own", err)
}

// products are those of the ids.
func (g goods) products(ids ...string) ([]catalog.Product, error) {
	if len(ids) > mostGoods {
		return nil, tooMany("products", len(ids), mostGoods)
	}
	all, err := g.catalog()
	if err != nil {
		return nil, err
	}
	found := make([]catalog.Product, len(ids))
	for i, id := range ids {
		if found[i], err = all.Product(id); err != nil {
			return nil, err
		}
	}
	return found, nil
}

func tooMany(field string, given, most int) error {
	return fault.New("too_many", fmt.Sprintf("%d are more than the %d that are taken at once", given, most),
		"leave some out").Of(fault.TooLarge).In(field)
}
