//go:build js && wasm

// Command core is geo and agronomy in the browser: it hands the door to the
// worker that runs it, and waits for calls.
package main

import (
	"syscall/js"
	"unsafe"

	"evenfall/frontend/core/door"
)

func main() {
	js.Global().Set("evenfallCall", js.FuncOf(func(_ js.Value, given []js.Value) any {
		return answer(given)
	}))
	select {}
}

// answer takes a name, a request as bytes of JSON and the data that goes with
// it, and gives an array: the answer's JSON as bytes, then its floats, singles
// and ints as typed arrays over buffers of their own.
func answer(given []js.Value) any {
	a := door.Call(given[0].String(), bytesOf(given[1]), bytesOf(given[2]))
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
