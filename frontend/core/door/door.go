// Package door is what the page may ask of geo and agronomy, one operation per
// name: it decodes, calls and encodes. It computes nothing that a sheet shows.
// The same code answers in the browser and, for the tests, natively.
package door

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"evenfall/geo/fault"
)

// Answer is what an operation came to. JSON is {"ok": ...} or {"fault": ...}.
// Long rows of numbers stay out of it: where JSON says {"f64": [from, count]},
// {"f32": ...} or {"i32": ...}, they are that part of Floats, Singles or Ints.
type Answer struct {
	JSON    []byte
	Floats  []float64
	Singles []float32
	Ints    []int32
}

// Call answers one request. Data is what the operation takes beside its JSON:
// a file's bytes, or coordinates. Whatever is sent, it answers.
func Call(name string, request, data []byte) (a Answer) {
	defer func() {
		if cause := recover(); cause != nil {
			a = Answer{JSON: faultJSON(fault.New("internal", fmt.Sprintf("the core stopped: %v", cause), "change the last figure back and report this"))}
		}
	}()
	run, known := operations[name]
	if !known {
		return Answer{JSON: faultJSON(fault.New("operation", fmt.Sprintf("there is no operation %q", name), "load the page again").Of(fault.Missing))}
	}
	result, err := run(&call{request: request, data: data, out: &a})
	if err == nil {
		a.JSON, err = json.Marshal(map[string]any{"ok": result})
	}
	if err != nil {
		return Answer{JSON: faultJSON(err)}
	}
	return a
}

// operations are everything that may be asked, by the name the page uses.
var operations = map[string]func(*call) (any, error){
	"measure":         measure,
	"readFile":        readFile,
	"readCoordinates": asked(readCoordinates),
	"taped":           asked(taped),
	"split":           asked(split),
	"local":           local,
	"prepare":         prepare,
	"pattern":         pattern,
	"readPanTest":     asked(readPanTest),
	"readCatchTests":  asked(readCatchTests),
	"flowCurve":       asked(flowCurve),
	"setting":         asked(setting),
	"correction":      asked(correction),
	"advices":         asked(advices),
	"search":          asked(search),
	"need":            asked(need),
	"blend":           asked(blend),
	"bags":            asked(bags),
	"lime":            asked(lime),
	"judge":           asked(judge),
	"trip":            asked(planTrip),
	"format":          asked(format),
	"parse":           asked(parse),
	"legend":          asked(legend),
}

// call is one request with where its long rows of numbers go.
type call struct {
	request, data []byte
	out           *Answer
}

// asked is an operation on a decoded request.
func asked[Q, R any](run func(Q) (R, error)) func(*call) (any, error) {
	return func(c *call) (any, error) {
		var request Q
		if err := decode(c.request, &request); err != nil {
			return nil, err
		}
		result, err := run(request)
		emptied(reflect.ValueOf(&result))
		return result, err
	}
}

// decode reads a request; what is wrong with it is a fault.
func decode(text []byte, into any) error {
	err := json.Unmarshal(text, into)
	if err == nil {
		return nil
	}
	if _, ok := fault.From(err); ok {
		return err
	}
	found := fault.New("json", "the request cannot be read: "+err.Error(), "load the page again")
	var typed *json.UnmarshalTypeError
	if errors.As(err, &typed) {
		found = fault.New("json", fmt.Sprintf("%s does not fit in %s", typed.Value, typed.Field), "give a number or a text, as it asks for").In(typed.Field)
	}
	return found
}

func faultJSON(err error) []byte {
	found, ok := fault.From(err)
	if !ok {
		found = fault.New("internal", err.Error(), "change the last figure back and report this")
	}
	text, err := json.Marshal(map[string]any{"fault": found})
	if err != nil { // a place of NaN degrees, which JSON cannot carry
		found.Where.LonLat = nil
		text, _ = json.Marshal(map[string]any{"fault": found})
	}
	return text
}

// The references that stand in JSON for a row of numbers.
type (
	floats  struct{ At [2]int }
	singles struct{ At [2]int }
	ints    struct{ At [2]int }
)

// MarshalJSON writes where the row is.
func (r floats) MarshalJSON() ([]byte, error) { return reference("f64", r.At) }

// MarshalJSON writes where the row is.
func (r singles) MarshalJSON() ([]byte, error) { return reference("f32", r.At) }

// MarshalJSON writes where the row is.
func (r ints) MarshalJSON() ([]byte, error) { return reference("i32", r.At) }

func reference(kind string, at [2]int) ([]byte, error) {
	return fmt.Appendf(nil, `{%q:[%d,%d]}`, kind, at[0], at[1]), nil
}

func (a *Answer) floats(row []float64) floats {
	from := len(a.Floats)
	a.Floats = append(a.Floats, row...)
	return floats{[2]int{from, len(row)}}
}

func (a *Answer) singles(row []float32) singles {
	from := len(a.Singles)
	a.Singles = append(a.Singles, row...)
	return singles{[2]int{from, len(row)}}
}

func (a *Answer) ints(row []int32) ints {
	from := len(a.Ints)
	a.Ints = append(a.Ints, row...)
	return ints{[2]int{from, len(row)}}
}

// emptied puts an empty list in place of every list that is nil, so that the
// page gets [] and not null wherever its types promise a list.
func emptied(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			emptied(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				emptyField(v.Field(i), f.Tag.Get("json"))
			}
		}
	case reflect.Slice:
		if kind := v.Type().Elem().Kind(); kind == reflect.Struct || kind == reflect.Slice || kind == reflect.Pointer {
			for i := range v.Len() {
				emptied(v.Index(i))
			}
		}
	}
}

func emptyField(v reflect.Value, tag string) {
	if v.Kind() == reflect.Slice && v.IsNil() && v.CanSet() && !strings.Contains(tag, "omitempty") {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		return
	}
	emptied(v)
}
