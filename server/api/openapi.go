package api

import (
	_ "embed"
	"net/http"

	"github.com/labstack/echo/v4"
)

// Description is the OpenAPI 3 description of the API, as JSON.
//
//go:embed openapi.json
var Description []byte

func describe(c echo.Context) error {
	if err := noQuery(c); err != nil {
		return err
	}
	return c.Blob(http.StatusOK, "application/vnd.oai.openapi+json;version=3.0", Description)
}
