//go:build js && wasm

// Package glue hands a program's answers to the worker that runs it.
package glue

import (
	"runtime/debug"
	"syscall/js"
	"unsafe"

	"evenfall/frontend/core/wire"
)

// collectAt is how much the memory in use may grow, in percent, before garbage
// is collected. Twice Go's own figure makes a sheet while dragging a fourteenth
// quicker and takes 11 MB more (measured on a quarter acre of 40 corners).
const collectAt = 200

// Serve lets the worker call for answers, and never returns.
func Serve(call func(name string, request, data []byte) wire.Answer) {
	debug.SetGCPercent(collectAt)
	js.Global().Set("evenfallCall", js.FuncOf(func(_ js.Value, given []js.Value) any {
		return rows(call(given[0].String(), bytesOf(given[1]), bytesOf(given[2])))
	}))
	select {}
}

// rows is an answer as JavaScript takes it: the JSON as bytes, then the floats,
// singles and ints as typed arrays over buffers of their own.
func rows(a wire.Answer) any {
	return js.ValueOf([]any{
		typed("Uint8Array", a.JSON),
		typed("Float64Array", a.Floats),
		typed("Float32Array", a.Singles),
		typed("Int32Array", a.Ints),
	})
}

func bytesOf(v js.Value) []byte {
	if v.IsUndefined() {
		return nil
	}
	b := make([]byte, v.Length())
	js.CopyBytesToGo(b, v)
	return b
}

// typed copies a row of numbers out. WebAssembly and every typed array of a
// machine that runs it are little-endian, so the bytes are the numbers.
func typed[N byte | int32 | float32 | float64](kind string, row []N) js.Value {
	var one N
	size := len(row) * int(unsafe.Sizeof(one))
	buffer := js.Global().Get("Uint8Array").New(size)
	if size > 0 {
		js.CopyBytesToJS(buffer, unsafe.Slice((*byte)(unsafe.Pointer(&row[0])), size))
	}
	return js.Global().Get(kind).New(buffer.Get("buffer"))
}
