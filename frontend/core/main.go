//go:build js && wasm

// Command core is geo and agronomy in the browser.
package main

import (
	"evenfall/frontend/core/door"
	"evenfall/frontend/core/glue"
)

func main() { glue.Serve(door.Call) }
