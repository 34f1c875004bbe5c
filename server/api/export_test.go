package api

import "net/http"

// Handler is a site as Serve serves it, for a server that tests start.
func Handler(s Services) http.Handler { return headAsGet(New(s)) }
