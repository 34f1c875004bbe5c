package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/server/api"
	"evenfall/server/store"
	"evenfall/server/store/storetest"
)

// now is the site's clock; its zone is not UTC, so that a day taken in the
// wrong zone shows.
var now = time.Date(2026, 11, 25, 23, 30, 0, 0, time.FixedZone("", -6*3600))

// site is the whole API over a store of its own, behind a real connection.
type site struct {
	testing.TB
	server   *httptest.Server
	services api.Services
	path     string // of the database file
	log      *lockedBuffer
}

// lockedBuffer is a buffer that the server writes while a test reads.
type lockedBuffer struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.String()
}

// open starts a site; change, if given, alters its services first.
func open(t testing.TB, change ...func(*api.Services)) site {
	t.Helper()
	path := filepath.Join(t.TempDir(), "records.db")
	db, err := store.Open(t.Context(), path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	log := &lockedBuffer{}
	services := api.Services{
		Store: db, Prepare: prepareEcho, Renderers: renderers(),
		Clock: func() time.Time { return now },
		Log:   slog.New(slog.NewJSONHandler(log, nil)),
	}
	for _, c := range change {
		c(&services)
	}
	server := httptest.NewServer(api.Handler(services))
	t.Cleanup(func() {
		server.Close()
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return site{t, server, services, path, log}
}

// prepareEcho stands in for agronomy.Prepare: the sheet repeats what it was
// given, so that a test sees what arrived.
func prepareEcho(p agronomy.Plot, s spreader.Spreader, m mix.Mix, o agronomy.Options) (agronomy.Sheet, error) {
	sheet := agronomy.Sheet{Format: 1, Property: p.Property, Plot: p.Name, Date: o.Date, System: o.System, Mix: m.Name}
	sheet.Ground.Outline = p.Polygon
	sheet.Ground.AreaM2, sheet.Ground.Method, sheet.Ground.KeepOff = p.Survey.AreaM2, p.Survey.Method, nil
	sheet.Spreader.Name, sheet.Spreader.Speed, sheet.Spreader.Spacing, sheet.Spreader.Gate = s.Name, o.Speed, o.Spacing, o.Gate
	sheet.Afterwards.Says = []string{fmt.Sprintf("%d surveys, %d keep-off lines, clockwise %v, along %s, layers %d, start %v, room %v, %s, budget %d, half rates %v, right angles %v",
		len(p.Surveys), len(p.KeepOff), o.Clockwise, alongWords(o), o.Layers, o.Start, o.Room, o.Priority, o.Budget, o.HalfRates, o.RightAngles)}
	return sheet, nil
}

func alongWords(o agronomy.Options) string {
	if o.Along == nil {
		return "any"
	}
	return strconv.FormatFloat(*o.Along, 'g', -1, 64)
}

func renderers() map[api.Format]func(io.Writer, agronomy.Sheet) error {
	all := map[api.Format]func(io.Writer, agronomy.Sheet) error{}
	for _, f := range []api.Format{api.PDF, api.GPX, api.KML, api.ICS} {
		all[f] = func(w io.Writer, s agronomy.Sheet) error {
			_, err := fmt.Fprintf(w, "%s of %s", f, s.Plot)
			return err
		}
	}
	all[api.GeoJSON] = func(w io.Writer, s agronomy.Sheet) error {
		return json.NewEncoder(w).Encode(map[string]string{"type": "FeatureCollection", "plot": s.Plot})
	}
	return all
}

// reply is what came back.
type reply struct {
	testing.TB
	status int
	header http.Header
	body   []byte
}

type header map[string]string

// description is the parsed OpenAPI document, checked once.
var description = sync.OnceValues(func() (routers.Router, error) {
	doc, err := openapi3.NewLoader().LoadFromData(api.Description)
	if err != nil {
		return nil, err
	}
	return gorillamux.NewRouter(doc)
})

// send makes a request and holds the reply against the API's description. A
// body that is not a string or a reader is sent as JSON.
func (s site) send(method, path string, body any, headers ...header) reply {
	s.Helper()
	var sent io.Reader
	kind := "application/json"
	switch b := body.(type) {
	case nil:
	case string:
		sent = strings.NewReader(b)
	case io.Reader:
		sent = b
	default:
		text, err := json.Marshal(b)
		if err != nil {
			s.Fatal(err)
		}
		sent = bytes.NewReader(text)
	}
	request, err := http.NewRequestWithContext(s.Context(), method, s.server.URL+path, sent)
	if err != nil {
		s.Fatal(err)
	}
	if body != nil {
		request.Header.Set("Content-Type", kind)
	}
	for _, h := range headers {
		for name, value := range h {
			if name == "Host" {
				request.Host = value
			}
			request.Header.Set(name, value)
		}
	}
	got := s.do(request)
	s.wantAsDescribed(request, got)
	return got
}

func (s site) do(request *http.Request) reply {
	s.Helper()
	response, err := s.server.Client().Do(request)
	if err != nil {
		s.Fatal(err)
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	if err != nil {
		s.Fatal(err)
	}
	return reply{s, response.StatusCode, response.Header, body}
}

// wantAsDescribed checks a reply against the OpenAPI description, and that
// every error is a problem document, described or not.
func (s site) wantAsDescribed(request *http.Request, got reply) {
	s.Helper()
	if got.status >= 400 {
		got.problem()
	}
	router, err := description()
	if err != nil {
		s.Fatal(err)
	}
	if request.Method == http.MethodHead { // as GET, without the body
		return
	}
	route, parameters, err := router.FindRoute(request)
	if err != nil {
		if got.status < 400 {
			s.Errorf("%s %s answers %d and is not described", request.Method, request.URL, got.status)
		}
		return
	}
	s.wantDescribedRequest(request, got.status, route, parameters)
	isJSON := strings.Contains(got.header.Get("Content-Type"), "json")
	err = openapi3filter.ValidateResponse(s.Context(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{
			Request: request, PathParams: parameters, Route: route},
		Status: got.status, Header: got.header, Body: io.NopCloser(bytes.NewReader(got.body)),
		Options: &openapi3filter.Options{IncludeResponseStatus: true, ExcludeResponseBody: !isJSON},
	})
	if err != nil {
		s.Errorf("%s %s: the reply is not as described: %v\n%.600s", request.Method, request.URL, err, got.body)
	}
}

// wantDescribedRequest checks that a request which was accepted is one that the
// description allows. Files that are recognised by their content it cannot read.
func (s site) wantDescribedRequest(request *http.Request, status int, route *routers.Route, parameters map[string]string) {
	s.Helper()
	if status >= 400 {
		return
	}
	again := request.Clone(s.Context())
	isJSON := request.GetBody != nil && request.Header.Get("Content-Type") == "application/json"
	if isJSON {
		body, err := request.GetBody()
		if err != nil {
			s.Fatal(err)
		}
		again.Body = body
	}
	err := openapi3filter.ValidateRequest(s.Context(), &openapi3filter.RequestValidationInput{
		Request: again, PathParams: parameters, Route: route, Options: &openapi3filter.Options{ExcludeRequestBody: !isJSON},
	})
	if err != nil {
		s.Errorf("%s %s is accepted and not as described: %v", request.Method, request.URL, err)
	}
}

// problem reads the reply as a problem document.
func (r reply) problem() (p struct {
	Type, Title, Detail, Code, Remedy string
	Status                            int
	RequestID                         string `json:"request_id"`
	Where                             struct {
		Feature, Ring, Vertex, Line int
		Field                       string
	}
}) {
	r.Helper()
	if kind := r.header.Get("Content-Type"); kind != "application/problem+json" {
		r.Fatalf("%d comes as %q and not as a problem document: %.300s", r.status, kind, r.body)
	}
	if err := json.Unmarshal(r.body, &p); err != nil {
		r.Fatalf("%v in %s", err, r.body)
	}
	if p.Status != r.status || p.Type != "about:blank" || p.Title != http.StatusText(r.status) || p.Code == "" || p.Detail == "" {
		r.Errorf("an incomplete problem document: %s", r.body)
	}
	if p.RequestID == "" || p.RequestID != r.header.Get("X-Request-Id") {
		r.Errorf("the request id is %q and %q", p.RequestID, r.header.Get("X-Request-Id"))
	}
	return p
}

// want checks the status.
func (r reply) want(status int) reply {
	r.Helper()
	if r.status != status {
		r.Fatalf("got %d, want %d: %.800s", r.status, status, r.body)
	}
	return r
}

// wantProblem checks the status and the code.
func (r reply) wantProblem(status int, code string) {
	r.Helper()
	if p := r.want(status).problem(); p.Code != code {
		r.Errorf("got the code %s, want %s: %s", p.Code, code, r.body)
	}
}

// object reads the reply as JSON.
func (r reply) object() map[string]any {
	r.Helper()
	var o map[string]any
	if err := json.Unmarshal(r.body, &o); err != nil {
		r.Fatalf("%v in %.300s", err, r.body)
	}
	return o
}

// id is the id of the record in the reply.
func (r reply) id() string {
	r.Helper()
	id, _ := r.object()["id"].(string)
	if id == "" {
		r.Fatalf("no id in %.300s", r.body)
	}
	return id
}

// match is the If-Match header for the record in the reply.
func (r reply) match() header { return header{"If-Match": r.header.Get("ETag")} }

// unchanged runs something that must not change the store.
func (s site) unchanged(do func()) {
	s.Helper()
	before := storetest.Dump(s, s.path)
	do()
	if after := storetest.Dump(s, s.path); after != before {
		s.Errorf("the store changed:\n%s\nwas\n%s", after, before)
	}
}

type object = map[string]any

// polygon is a GeoJSON Polygon of some 80 by 111 m.
func polygon() object {
	return object{"type": "Polygon", "coordinates": [][][]float64{
		{{-91, 44}, {-90.999, 44}, {-90.999, 44.001}, {-91, 44.001}, {-91, 44}}}}
}

func spreaderDocument() object {
	return object{"name": "Small one", "patterns": object{"usual": object{"shape": "triangle", "throw_m": 8}}}
}

func mixDocument() object {
	return object{"name": "Own blend", "items": []object{{
		"product": object{"id": "own", "name": "Own product", "class": "fertilizer"}, "rate": object{"mass_kg_per_m2": 0.01}}}}
}

// kept are the ids of one record of each kind.
type kept struct{ property, plot, spreader, mix string }

func (s site) fill() (k kept) {
	s.Helper()
	k.property = s.send("POST", "/api/v1/properties", object{"name": "Fox Hollow"}).want(201).id()
	k.plot = s.send("POST", "/api/v1/plots", object{"property_id": k.property, "name": "North strip", "outline": polygon()}).want(201).id()
	k.spreader = s.send("POST", "/api/v1/spreaders", object{"document": spreaderDocument()}).want(201).id()
	k.mix = s.send("POST", "/api/v1/mixes", object{"document": mixDocument()}).want(201).id()
	return k
}
