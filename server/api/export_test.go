package api

import "github.com/labstack/echo/v4"

// Routes lists the routes for the test that holds them against the
// description.
func Routes(s Services) []*echo.Route { return s.router().Routes() }
