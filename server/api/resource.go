package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenfall/server/record"
)

// resource serves the records of one shelf: list, get, create, update, delete.
type resource[T any] struct {
	path    string
	shelf   record.Shelf[T]
	filters []string // query parameters that narrow its list
}

// page is a list as it is sent. Next is the address of the next page.
type page[T any] struct {
	Items []T    `json:"items"`
	Total int    `json:"total"`
	Next  string `json:"next,omitempty"`
}

// serve adds the five routes of a shelf.
func serve[T any](g *echo.Group, path string, shelf record.Shelf[T], filters ...string) {
	r := resource[T]{Base + path, shelf, append(filters, "limit", "after")}
	g.GET(path, r.list)
	g.POST(path, r.create)
	g.GET(path+"/:id", r.get)
	g.PUT(path+"/:id", r.put)
	g.DELETE(path+"/:id", r.delete)
}

func stampOf[T any](r *T) *record.Stamp { return any(r).(record.Kept).Stamped() }

func (r resource[T]) list(c echo.Context) error {
	q, err := listQuery(c, r.filters)
	if err != nil {
		return err
	}
	found, err := r.shelf.List(c.Request().Context(), q)
	if err != nil {
		return err
	}
	reply := page[T]{Items: found.Items, Total: found.Total}
	if found.Next != "" {
		reply.Next = nextPage(c, found.Next)
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-cache")
	return c.JSON(http.StatusOK, reply)
}

func (r resource[T]) get(c echo.Context) error {
	if err := noQuery(c); err != nil {
		return err
	}
	found, err := r.shelf.Get(c.Request().Context(), c.Param("id"))
	if err != nil {
		return err
	}
	if unchanged(c, etag(stampOf(&found))) {
		c.Response().Header().Set("ETag", etag(stampOf(&found)))
		return c.NoContent(http.StatusNotModified)
	}
	return sendRecord(c, http.StatusOK, &found)
}

func (r resource[T]) create(c echo.Context) error {
	var sent T
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	*stampOf(&sent) = record.Stamp{}
	return r.keepNew(c, sent)
}

// keepNew keeps a record that was not there before.
func (r resource[T]) keepNew(c echo.Context, sent T) error {
	made, err := r.shelf.Create(c.Request().Context(), sent)
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderLocation, r.path+"/"+stampOf(&made).ID)
	return sendRecord(c, http.StatusCreated, &made)
}

// put changes a record, or keeps a new one under an id that the client made.
func (r resource[T]) put(c echo.Context) error {
	if c.Request().Header.Get("If-None-Match") != "" {
		return r.createAt(c)
	}
	return r.update(c)
}

// createAt keeps a new record under the id that the client gave it when it
// could not reach us. Sent twice it is kept once: the second time it is there.
func (r resource[T]) createAt(c echo.Context) error {
	if err := onlyNew(c); err != nil {
		return err
	}
	var sent T
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	*stampOf(&sent) = record.Stamp{ID: c.Param("id")}
	return r.keepNew(c, sent)
}

func (r resource[T]) update(c echo.Context) error {
	revision, err := namedRevision(c)
	if err != nil {
		return err
	}
	var sent T
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	*stampOf(&sent) = record.Stamp{ID: c.Param("id"), Revision: revision}
	kept, err := r.shelf.Update(c.Request().Context(), sent)
	if err != nil {
		return err
	}
	return sendRecord(c, http.StatusOK, &kept)
}

func (r resource[T]) delete(c echo.Context) error {
	revision, err := namedRevision(c)
	if err != nil {
		return err
	}
	if err := r.shelf.Delete(c.Request().Context(), c.Param("id"), revision); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

// sendRecord sends a record with its revision as ETag.
func sendRecord[T any](c echo.Context, status int, r *T) error {
	c.Response().Header().Set("ETag", etag(stampOf(r)))
	c.Response().Header().Set(echo.HeaderCacheControl, "no-cache") // ask each time whether it changed
	return c.JSON(status, r)
}
