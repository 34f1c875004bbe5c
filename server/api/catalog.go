package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy/catalog"
)

// searchCatalog finds the crops and products whose name or id holds every word
// that is asked for; all of them when none is.
func searchCatalog(c echo.Context) error {
	values, err := known(c, "q")
	if err != nil {
		return err
	}
	all, err := catalog.Default()
	if err != nil {
		return err
	}
	return c.JSON(http.StatusOK, all.Search(values.Get("q")))
}

// catalogEntry sends one entry, found by its id.
func catalogEntry[T any](find func(*catalog.Catalog, string) (T, error)) echo.HandlerFunc {
	return func(c echo.Context) error {
		if err := noQuery(c); err != nil {
			return err
		}
		all, err := catalog.Default()
		if err != nil {
			return err
		}
		found, err := find(all, c.Param("id"))
		if err != nil {
			return err
		}
		return c.JSON(http.StatusOK, found)
	}
}
