// Package wire is how the core answers: a name and a request in JSON go in, an
// answer in JSON comes out, with long rows of numbers beside it. The same code
// answers in the browser and, for the tests, natively.
package wire

import (
	"cmp"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"

	"evenfall/agronomy/units"
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

// Operations are what may be asked, by the name that the page uses.
type Operations map[string]func(*Call) (any, error)

// Answer answers one request. Data is what the operation takes beside its
// JSON: a file's bytes, or coordinates. Whatever is sent, it answers.
func (o Operations) Answer(name string, request, data []byte) (a Answer) {
	defer func() {
		if cause := recover(); cause != nil {
			a = Answer{JSON: faultJSON(fault.New("internal", fmt.Sprintf("the core stopped: %v", cause), "change the last figure back and report this"))}
		}
	}()
	run, known := o[name]
	if !known {
		return Answer{JSON: faultJSON(fault.New("operation", fmt.Sprintf("there is no operation %q", name), "load the page again").Of(fault.Missing))}
	}
	result, err := run(&Call{Request: request, Data: data, Out: &a})
	if err == nil {
		a.JSON, err = json.Marshal(map[string]any{"ok": result})
	}
	if err != nil {
		return Answer{JSON: faultJSON(retold(err, request))}
	}
	return a
}

// retold writes a fault's metres in the units that the request is asked in;
// one that names none is left as it is.
func retold(err error, request []byte) error {
	found, ok := fault.From(err)
	if !ok {
		return err
	}
	var asked struct {
		Units   units.System `json:"units"`
		Options struct {
			Units units.System `json:"units"`
		} `json:"options"`
	}
	if json.Unmarshal(request, &asked) != nil {
		return err
	}
	if system := cmp.Or(asked.Units, asked.Options.Units); system != "" {
		told := *found
		told.What, told.Remedy = units.Retell(found.What, system), units.Retell(found.Remedy, system)
		return &told
	}
	return err
}

// Call is one request, with where the long rows of numbers of its answer go.
type Call struct {
	Request, Data []byte
	Out           *Answer
}

// Numbers reads data as 64-bit floats, little-endian, as many as are whole.
func Numbers(data []byte) []float64 {
	const size = 8 // bytes
	numbers := make([]float64, len(data)/size)
	for i := range numbers {
		numbers[i] = math.Float64frombits(binary.LittleEndian.Uint64(data[size*i:]))
	}
	return numbers
}

// Asked is an operation on a decoded request.
func Asked[Q, R any](run func(Q) (R, error)) func(*Call) (any, error) {
	return func(c *Call) (any, error) {
		var request Q
		if err := Decode(c.Request, &request); err != nil {
			return nil, err
		}
		result, err := run(request)
		Emptied(&result)
		return result, err
	}
}

// Decode reads a request; what is wrong with it is a fault.
func Decode(text []byte, into any) error {
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
	Floats  struct{ At [2]int }
	Singles struct{ At [2]int }
	Ints    struct{ At [2]int }
)

// MarshalJSON writes where the row is.
func (r Floats) MarshalJSON() ([]byte, error) { return reference("f64", r.At) }

// MarshalJSON writes where the row is.
func (r Singles) MarshalJSON() ([]byte, error) { return reference("f32", r.At) }

// MarshalJSON writes where the row is.
func (r Ints) MarshalJSON() ([]byte, error) { return reference("i32", r.At) }

func reference(kind string, at [2]int) ([]byte, error) {
	return fmt.Appendf(nil, `{%q:[%d,%d]}`, kind, at[0], at[1]), nil
}

// Row keeps 64-bit numbers.
func (a *Answer) Row(row []float64) Floats {
	from := len(a.Floats)
	a.Floats = append(a.Floats, row...)
	return Floats{[2]int{from, len(row)}}
}

// SingleRow keeps 32-bit numbers.
func (a *Answer) SingleRow(row []float32) Singles {
	from := len(a.Singles)
	a.Singles = append(a.Singles, row...)
	return Singles{[2]int{from, len(row)}}
}

// IntRow keeps whole numbers.
func (a *Answer) IntRow(row []int32) Ints {
	from := len(a.Ints)
	a.Ints = append(a.Ints, row...)
	return Ints{[2]int{from, len(row)}}
}

// Emptied puts an empty list in place of every list that is nil in what the
// pointer leads to, so that the page gets [] and not null wherever its types
// promise a list.
func Emptied(pointer any) { emptied(reflect.ValueOf(pointer)) }

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
