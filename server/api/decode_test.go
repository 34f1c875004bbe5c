package api

import (
	"encoding/json"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"

	"evenfall/geo/fault"
	"evenfall/server/record"
)

// Whatever the body, it is either read or refused with a fault or a status
// that says why; the line lies within the body.
func FuzzDecodeJSON(f *testing.F) {
	for _, seed := range []string{`{"name":"x"}`, `{"name":`, `{"nmae":1}`, "{\n\"name\":7}", `[]`, "{} {}",
		`{"outline":{"type":"Polygon","coordinates":[[[1,2],[3,4],[5,6],[1,2]]]}}`, `{"driver":{"a":1}}`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		var plot record.Plot
		err := decodeJSON(body, &plot)
		if err == nil {
			if !json.Valid(body) {
				t.Fatalf("read %q", body)
			}
			return
		}
		found, ok := fault.From(err)
		if !ok || found.What == "" || found.Where.Line < 0 || found.Where.Line > 1+strings.Count(string(body), "\n") {
			t.Fatalf("%q gives %#v", body, err)
		}
	})
}

func FuzzReadBox(f *testing.F) {
	f.Add("-92,43,-90,45")
	f.Add("179,-18,-179,-16")
	f.Add("NaN,1,Inf,2")
	f.Fuzz(func(t *testing.T, text string) {
		box, err := readBox(text)
		if err != nil {
			if problemOf(err).Status != http.StatusBadRequest {
				t.Fatalf("%q gives %v", text, err)
			}
			return
		}
		for i, v := range []float64{box.Min[0], box.Max[0], box.Min[1], box.Max[1]} {
			if math.IsNaN(v) || math.Abs(v) > 180 || i > 1 && math.Abs(v) > 90 {
				t.Fatalf("%q gives %v", text, box)
			}
		}
		if box.Min[1] > box.Max[1] {
			t.Fatalf("%q gives %v", text, box)
		}
	})
}

func FuzzParsePoint(f *testing.F) {
	f.Add("-91,44")
	f.Add("1e9,,")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := parsePoint(text)
		if _, ok := fault.From(err); err != nil && !ok {
			t.Fatalf("%q gives %v", text, err)
		}
		if err == nil && !(math.Abs(p[0]) <= 360 && math.Abs(p[1]) <= 90) {
			t.Fatalf("%q gives %v", text, *p)
		}
	})
}

func FuzzQuality(f *testing.F) {
	f.Add("application/pdf;q=0.5, */*;q=0.1")
	f.Add("text/html,application/xhtml+xml,*/*;q=0.8")
	f.Add(";;;,,=")
	f.Fuzz(func(t *testing.T, accept string) {
		for _, format := range formats {
			if q := quality(accept, format.mediaType); !(q >= 0 && q <= 1) {
				t.Fatalf("%q likes %s by %v", accept, format.mediaType, q)
			}
		}
	})
}

func FuzzNamedRevision(f *testing.F) {
	for _, seed := range []string{`"3"`, `3`, `W/"3"`, `"`, `""`, `*`, `"99999999999999999999"`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, tag string) {
		request := httptest.NewRequest(http.MethodPut, "/", nil)
		request.Header["If-Match"] = []string{tag}
		revision, err := namedRevision(echo.New().NewContext(request, nil))
		if err != nil {
			if status := problemOf(err).Status; status != http.StatusBadRequest && status != http.StatusPreconditionRequired {
				t.Fatalf("%q gives %v", tag, err)
			}
			return
		}
		if again := etag(&record.Stamp{Revision: revision}); len(again) > len(strings.TrimSpace(tag)) {
			t.Fatalf("%q is taken for %s", tag, again)
		}
	})
}

// Every kind of fault has a status of its own making: a kind without one would
// be a 500.
func TestEveryKindOfFaultHasAStatus(t *testing.T) {
	kinds := []fault.Kind{fault.Invalid, fault.Unread, fault.TooLarge, fault.Missing, fault.Conflict, fault.Refused}
	for _, kind := range kinds {
		if got := problemOf(fault.New("x", "x", "").Of(kind)).Status; got < 400 || got > 499 {
			t.Errorf("%s gives %d", kind, got)
		}
	}
	if len(statusOf) != len(kinds) {
		t.Errorf("%d kinds in the table, %d here", len(statusOf), len(kinds))
	}
}
