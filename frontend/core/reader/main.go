//go:build js && wasm

// Command reader reads files in the browser.
package main

import (
	"evenfall/frontend/core/files"
	"evenfall/frontend/core/glue"
)

func main() { glue.Serve(files.Call) }
