package api_test

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/server/api"
	built "evenfall/server/site"
	"evenfall/server/tiles"
)

func TestOnlyOurHostIsAnswered(t *testing.T) {
	s := open(t, func(s *api.Services) { s.Hosts = []string{"barn.example", "192.0.2.7"} })
	for host, status := range map[string]int{
		"localhost": 200, "localhost:8321": 200, "LOCALHOST": 200, "127.0.0.1:1": 200, "127.8.8.8": 200, "[::1]:8321": 200, "[::1]": 200,
		"barn.example": 200, "Barn.Example:80": 200, "192.0.2.7:8321": 200,
		"elsewhere.example": 421, "localhost.elsewhere.example": 421, "192.0.2.8": 421, "127.0.0.1.elsewhere.example:80": 421,
		"elsewhere.example:127": 421, "[::2]": 421, "localhost@elsewhere.example": 421,
	} {
		t.Run(host, func(t *testing.T) {
			s := s
			s.TB = t
			request, err := http.NewRequestWithContext(t.Context(), "GET", s.server.URL+"/api/v1/plots", nil)
			if err != nil {
				t.Fatal(err)
			}
			request.Host = host
			if got := s.do(request); got.status != status {
				t.Errorf("got %d, want %d: %s", got.status, status, got.body)
			} else if status == 421 {
				got.wantProblem(421, "foreign_host")
			}
		})
	}
}

func TestOnlyOurOwnPagesMayWrite(t *testing.T) {
	s := open(t)
	own := s.server.URL
	tests := []struct {
		name   string
		header header
		status int
	}{
		{"a program, neither header", header{}, 201},
		{"our page", header{"Origin": own, "Sec-Fetch-Site": "same-origin"}, 201},
		{"our page, old browser", header{"Origin": own}, 201},
		{"typed by the user", header{"Sec-Fetch-Site": "none"}, 201},
		{"another site", header{"Origin": "https://elsewhere.example", "Sec-Fetch-Site": "cross-site"}, 403},
		{"another site, old browser", header{"Origin": "https://elsewhere.example"}, 403},
		{"another port of this machine", header{"Origin": "http://127.0.0.1:9", "Sec-Fetch-Site": "same-site"}, 403},
		{"another port, old browser", header{"Origin": "http://127.0.0.1:9"}, 403},
		{"another site, no origin told", header{"Sec-Fetch-Site": "cross-site"}, 403},
		{"a sandboxed page", header{"Origin": "null"}, 403},
		{"a forged fetch header", header{"Origin": "https://elsewhere.example", "Sec-Fetch-Site": "same-origin"}, 403},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := s
			s.TB = t
			if tt.status == 201 {
				s.send("POST", "/api/v1/properties", object{"name": "Fox Hollow"}, tt.header).want(201)
				return
			}
			s.unchanged(func() {
				s.send("POST", "/api/v1/properties", object{"name": "Fox Hollow"}, tt.header).wantProblem(403, "foreign_origin")
				s.send("DELETE", "/api/v1/properties/x", nil, tt.header, header{"If-Match": `"1"`}).wantProblem(403, "foreign_origin")
				s.send("POST", "/api/v1/sheet", object{}, tt.header).wantProblem(403, "foreign_origin")
				s.send("POST", "/api/v1/outlines", "x", tt.header).wantProblem(403, "foreign_origin")
			})
			s.send("GET", "/api/v1/properties", nil, tt.header).want(200) // reading is for the browser to keep apart
		})
	}
}

// TestEveryReplyHasTheSecurityHeaders asks for every kind of reply that there
// is, with pages, a script and tiles as the program has them.
func TestEveryReplyHasTheSecurityHeaders(t *testing.T) {
	s := open(t, func(s *api.Services) { s.Pages = pagesAndTiles(t) })
	k := s.fill()
	sheet := "/api/v1/plots/" + k.plot + "/sheet"
	goods := "?spreader=" + k.spreader + "&mix=" + k.mix
	known := func(path string) header { return header{"If-None-Match": s.plainly(t, path, nil).Header.Get("ETag")} }
	for _, c := range []struct {
		path   string
		status int
		header header
	}{
		{"/", 200, nil}, {"/assets/app-1.js", 200, nil}, {"/assets/app-1.js", 304, known("/assets/app-1.js")},
		{"/assets/app-1.css", 200, nil}, {"/assets/core-1.wasm", 200, nil}, {"/assets/gone-1.js", 404, nil},
		{"/tiles/3/1/2", 200, nil}, {"/tiles/3/1/3", 404, nil}, {"/tiles/info.json", 200, nil},
		{"/api/v1/plots", 200, nil}, {"/api/v1/plots/" + k.plot, 304, known("/api/v1/plots/" + k.plot)}, {"/api/v1/openapi.json", 200, nil},
		{"/api/v1/plots/nowhere", 404, nil}, {"/api/v1/plots?limit=0", 400, nil}, {"/api/v1/nowhere", 404, nil},
		{sheet + ".pdf" + goods, 200, nil}, {sheet + ".pdf", 400, nil},
	} {
		t.Run(fmt.Sprintf("%d %s", c.status, strings.ReplaceAll(c.path, k.plot, "id")), func(t *testing.T) {
			wantGuarded(t, s.plainly(t, c.path, c.header), c.status)
		})
	}
	s.send("GET", "/api/v1/nowhere", nil).wantProblem(404, "no_such_path") // a page does not answer for programs
	s.send("POST", "/api/v1/plots/"+k.plot, nil).wantProblem(405, "method_not_allowed")
}

// plainly sends a request that the API's description need not know.
func (s site) plainly(t *testing.T, path string, headers header) *http.Response {
	t.Helper()
	request, err := http.NewRequestWithContext(t.Context(), "GET", s.server.URL+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, value := range headers {
		request.Header.Set(name, value)
	}
	response, err := s.server.Client().Do(request)
	if err != nil {
		t.Fatal(err)
	}
	if err := response.Body.Close(); err != nil {
		t.Fatal(err)
	}
	return response
}

func wantGuarded(t *testing.T, got *http.Response, status int) {
	t.Helper()
	if got.StatusCode != status {
		t.Fatalf("status %d, want %d", got.StatusCode, status)
	}
	policy := got.Header.Get("Content-Security-Policy")
	if !strings.Contains(policy, "script-src 'self' 'wasm-unsafe-eval';") || strings.Contains(policy, "'unsafe-inline'") ||
		strings.Contains(policy, "'unsafe-eval'") || !strings.Contains(policy, "frame-ancestors 'none'") {
		t.Errorf("the policy is %q", policy)
	}
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
		"Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin"} {
		if got.Header.Get(name) != want {
			t.Errorf("%s is %q", name, got.Header.Get(name))
		}
	}
}

// pagesAndTiles is a built page with one tile beside it.
func pagesAndTiles(t *testing.T) http.Handler {
	t.Helper()
	page, err := built.New(fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html>front")}, "assets/app-1.js": {Data: []byte("script")},
		"assets/app-1.css": {Data: []byte("style")}, "assets/core-1.wasm": {Data: []byte("core")},
	})
	if err != nil {
		t.Fatal(err)
	}
	set, err := tiles.Open(t.Context(), oneTile(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = set.Close() })
	mux := http.NewServeMux()
	mux.Handle("/", page)
	mux.Handle(tiles.Base+"/", tiles.Handler(set))
	return mux
}

// oneTile is a tile file with the tile 3/1/2, which it counts from the south.
func oneTile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "one.mbtiles")
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range []string{
		"CREATE TABLE metadata (name text, value text)",
		"CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob)",
		"INSERT INTO metadata VALUES ('name', 'one tile'), ('format', 'png')",
		"INSERT INTO tiles VALUES (3, 1, 5, x'89504e470d0a1a0a')",
	} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	return path
}

func TestWhatTheRouterRefusesIsAProblemDocument(t *testing.T) {
	s := open(t)
	s.send("GET", "/api/v1/nowhere", nil).wantProblem(404, "no_such_path")
	s.send("GET", "/nowhere", nil).wantProblem(404, "no_such_path")
	s.send("GET", "/api/v1/plots/", nil).wantProblem(404, "no_such_path")
	for _, method := range []string{"PATCH", "DELETE", "PUT", "TRACE"} {
		got := s.send(method, "/api/v1/plots", nil)
		got.wantProblem(405, "method_not_allowed")
		if allow := got.header.Get("Allow"); !strings.Contains(allow, "GET") || !strings.Contains(allow, "POST") {
			t.Errorf("Allow is %q", allow)
		}
	}
}

func TestABodyIsCheckedBeforeItIsUsed(t *testing.T) {
	s := open(t)
	at := "/api/v1/properties"
	form := header{"Content-Type": "application/x-www-form-urlencoded"}
	tests := []struct {
		name, body string
		header     header
		status     int
		code       string
		line       int
		field      string
	}{
		{"a form", "name=x", form, 415, "content_type", 0, ""},
		{"plain text, as a page elsewhere may send", `{"name":"x"}`, header{"Content-Type": "text/plain"}, 415, "content_type", 0, ""},
		{"compressed", `{"name":"x"}`, header{"Content-Encoding": "gzip"}, 415, "content_encoding", 0, ""},
		{"nothing", "", nil, 400, "json_empty", 0, ""},
		{"truncated", "{\"name\":\n\"x", nil, 400, "json_truncated", 2, ""},
		{"not JSON", "{\n\nname: 1}", nil, 400, "json_syntax", 3, ""},
		{"two values", "{\"name\":\"x\"}\n{}", nil, 400, "json_trailing", 2, ""},
		{"a slip in a name", `{"nmae":"x"}`, nil, 422, "unknown_field", 0, "nmae"},
		{"another type", `{"name":7}`, nil, 422, "json_type", 1, "name"},
		{"a list", `[]`, nil, 422, "json_type", 1, ""},
		{"no name", `{}`, nil, 422, "name_empty", 0, "name"},
		{"blank name", `{"name":"  "}`, nil, 422, "name_empty", 0, "name"},
		{"control character", `{"name":"a\u0007"}`, nil, 422, "text_control", 0, "name"},
		{"long name", `{"name":"` + strings.Repeat("x", 121) + `"}`, nil, 422, "text_long", 0, "name"},
		{"deep nesting", strings.Repeat("[", 100_000), nil, 400, "json_syntax", 1, ""},
	}
	s.unchanged(func() {
		for _, tt := range tests {
			t.Run(tt.name, func(t *testing.T) {
				s := s
				s.TB = t
				got := s.send("POST", at, tt.body, tt.header)
				got.wantProblem(tt.status, tt.code)
				p := got.problem()
				if p.Where.Line != tt.line || p.Where.Field != tt.field || p.Remedy == "" {
					t.Errorf("where is line %d field %q, want line %d field %q; remedy %q", p.Where.Line, p.Where.Field, tt.line, tt.field, p.Remedy)
				}
			})
		}
	})
}

func TestRecordsAreChecked(t *testing.T) {
	s := open(t)
	k := s.fill()
	bowTie := object{"type": "Polygon", "coordinates": [][][]float64{{{-91, 44}, {-90.99, 44.01}, {-90.99, 44}, {-91, 44.01}, {-91, 44}}}}
	swapped := object{"type": "Polygon", "coordinates": [][][]float64{{{44, -91}, {44, -91.001}, {44.001, -91.001}, {44, -91}}}}
	plot := func(extra object) object {
		p := object{"property_id": k.property, "name": "Strip"}
		for name, v := range extra {
			p[name] = v
		}
		return p
	}
	tests := []struct {
		name, path string
		body       object
		code       string
		field      string
	}{
		{"no such property", "/plots", object{"property_id": "nowhere", "name": "x"}, "reference", ""},
		{"no property", "/plots", object{"name": "x"}, "reference_empty", "property_id"},
		{"bow-tie", "/plots", plot(object{"outline": bowTie}), "self_crossing", "outline"},
		{"swapped axes", "/plots", plot(object{"outline": swapped}), "swapped_axes", "outline"},
		{"a point", "/plots", plot(object{"outline": object{"type": "Point", "coordinates": []float64{1, 2}}}), "outline_json", "outline"},
		{"a line", "/plots", plot(object{"outline": object{"type": "LineString", "coordinates": [][][]float64{}}}), "outline_type", "outline"},
		{"short position", "/plots", plot(object{"outline": object{"type": "Polygon", "coordinates": [][][]float64{{{1}}}}}), "position", "outline"},
		{"unknown choice", "/plots", plot(object{"driver": object{"sped_mps": 3}}), "unknown_field", "driver.sped_mps"},
		{"keep-off without goods", "/plots", plot(object{"keep_off": []object{{"line": [][]float64{{1, 2}, {1, 3}}, "distance_m": 3}}}), "keep_off_for", "keep_off[0]"},
		{"keep-off in feet", "/plots", plot(object{"keep_off": []object{{"line": [][]float64{{1, 2}, {1, 3}}, "distance_m": 3000, "for": "both"}}}), "keep_off_distance", "keep_off[0]"},
		{"keep-off point", "/plots", plot(object{"keep_off": []object{{"line": [][]float64{{1, 2}}, "distance_m": 3, "for": "both"}}}), "keep_off_line", "keep_off[0]"},
		{"unknown method", "/surveys", object{"plot_id": k.plot, "method": "dreamt", "date": "2026-01-01", "area_m2": 5}, "unknown_method", "method"},
		{"no area", "/surveys", object{"plot_id": k.plot, "method": "guessed", "date": "2026-01-01"}, "range", "area_m2"},
		{"no such day", "/surveys", object{"plot_id": k.plot, "method": "guessed", "date": "2026-02-30", "area_m2": 5}, "bad_date", "date"},
		{"length below zero", "/surveys", object{"plot_id": k.plot, "method": "taped", "date": "2026-01-01", "area_m2": 5,
			"dimensions": object{"shape": "rectangle", "lengths_m": []float64{-1}}}, "dimension", "dimensions"},
		{"no document", "/spreaders", object{"name": "x"}, "document_missing", "document"},
		{"no pattern", "/spreaders", object{"document": object{"name": "x"}}, "", "document.patterns"},
		{"slip in a document", "/spreaders", object{"document": object{"name": "x", "throw": 3}}, "unknown_field", "document.throw"},
		{"empty mix", "/mixes", object{"document": object{"name": "x"}}, "mix_empty", "document.items"},
		{"sheet of nothing", "/sheets", object{"spreader_id": k.spreader, "mix_id": k.mix}, "reference_empty", "plot_id"},
		{"sheet with a slip", "/sheets", object{"plot_id": k.plot, "spreader_id": k.spreader, "mix_id": k.mix, "options": object{"x": 1}}, "unknown_field", "options.x"},
	}
	s.unchanged(func() {
		for _, tt := range tests {
			t.Run(tt.name, func(t *testing.T) {
				s := s
				s.TB = t
				p := s.send("POST", "/api/v1"+tt.path, tt.body).want(422).problem()
				if tt.code != "" && p.Code != tt.code || !strings.HasPrefix(p.Where.Field, tt.field) || p.Remedy == "" {
					t.Errorf("got code %s in %q, want %s in %q; remedy %q", p.Code, p.Where.Field, tt.code, tt.field, p.Remedy)
				}
			})
		}
	})
}

func TestBadParametersAreNamed(t *testing.T) {
	s := open(t)
	for query, field := range map[string]string{
		"limit=0": "limit", "limit=x": "limit", "limit=-3": "limit", "limit=1&limit=2": "limit", "plot=1": "plot", "%zz": "",
		"bbox=1,2,3": "bbox", "bbox=1,2,3,x": "bbox", "bbox=1,95,3,96": "bbox", "bbox=1,5,3,4": "bbox", "bbox=NaN,1,2,3": "bbox",
	} {
		p := s.send("GET", "/api/v1/plots?"+query, nil).want(400).problem()
		if p.Code != "parameter" || p.Where.Field != field {
			t.Errorf("%s: code %s, field %q", query, p.Code, p.Where.Field)
		}
	}
}

// A length that passes the limit is refused before the body is sent: here it
// never is.
func TestADeclaredLengthAboveTheLimitIsRefusedAtOnce(t *testing.T) {
	s := open(t)
	s.unchanged(func() {
		for _, path := range []string{"/api/v1/outlines?dry_run=true", "/api/v1/properties", "/api/v1/sheet"} {
			response := s.declareTwoGigabytes(path)
			response.wantProblem(413, "body_large")
			if response.header.Get("Connection") != "close" {
				t.Error("the connection stays open for a body that nobody reads")
			}
		}
	})
}

// declareTwoGigabytes sends the head of a request and never its body.
func (s site) declareTwoGigabytes(path string) reply {
	s.Helper()
	conn, err := net.Dial("tcp", s.server.Listener.Addr().String())
	if err != nil {
		s.Fatal(err)
	}
	defer conn.Close()
	fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 2147483648\r\n\r\n", path)
	if err := conn.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
		s.Fatal(err)
	}
	response, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		s.Fatal(err)
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	if err != nil {
		s.Fatal(err)
	}
	if response.Close {
		response.Header.Set("Connection", "close") // http.ReadResponse takes it out
	}
	return reply{s, response.StatusCode, response.Header, body}
}

func TestOnlyFilesMayBeLarge(t *testing.T) {
	s := open(t)
	k := s.fill()
	five := strings.Repeat(" ", 5<<20)
	s.send("POST", "/api/v1/properties", five).wantProblem(413, "body_large")
	s.send("POST", "/api/v1/sheet", five).wantProblem(413, "body_large")
	s.send("POST", "/api/v1/outlines?dry_run=true", five, undeclared).wantProblem(400, "empty")
	s.send("POST", "/api/v1/plots/"+k.plot+"/outline", five, undeclared).wantProblem(400, "empty")
}

func TestABodyWithoutALengthIsCutAtTheLimit(t *testing.T) {
	s := open(t)
	s.unchanged(func() {
		for _, path := range []string{"/api/v1/outlines?dry_run=true", "/api/v1/properties"} {
			endless := io.LimitReader(spaces{}, 64<<20)
			request, err := http.NewRequestWithContext(t.Context(), "POST", s.server.URL+path, endless)
			if err != nil {
				t.Fatal(err)
			}
			request.Header.Set("Content-Type", "application/json")
			response, err := s.server.Client().Do(request)
			if err != nil {
				continue // the server hung up before the client was done sending, as it may
			}
			body, err := io.ReadAll(response.Body)
			response.Body.Close()
			if err != nil {
				t.Fatal(err)
			}
			if got := (reply{t, response.StatusCode, response.Header, body}).want(413).problem(); got.Code != "body_large" && got.Code != "file_too_large" {
				t.Errorf("the code is %s", got.Code)
			}
		}
	})
}

// spaces is an endless blank file.
type spaces struct{}

func (spaces) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

func TestAnUnknownErrorTellsTheClientNothing(t *testing.T) {
	secret := "the key is under the mat"
	failures := map[string]func() error{
		"an error": func() error { return errors.New(secret) },
		"a panic":  func() error { panic(secret) },
		"an echo error of the server's": func() error {
			return fmt.Errorf("wrapped: %w", http.ErrHandlerTimeout)
		},
	}
	for name, fail := range failures {
		t.Run(name, func(t *testing.T) {
			s := open(t, func(s *api.Services) {
				s.Prepare = func(agronomy.Plot, spreader.Spreader, mix.Mix, agronomy.Options) (agronomy.Sheet, error) {
					return agronomy.Sheet{}, fail()
				}
			})
			k := s.fill()
			got := s.send("GET", fmt.Sprintf("/api/v1/plots/%s/sheet.pdf?spreader=%s&mix=%s", k.plot, k.spreader, k.mix), nil)
			got.wantProblem(500, "internal")
			if strings.Contains(string(got.body), "mat") || strings.Contains(string(got.body), "wrapped") {
				t.Errorf("the reply gives it away: %s", got.body)
			}
			if log := s.log.String(); !strings.Contains(log, got.problem().RequestID) || !strings.Contains(log, `"status":500`) {
				t.Errorf("the log does not have it:\n%s", log)
			}
			s.send("GET", "/api/v1/plots", nil).want(200) // the server goes on
		})
	}
}

func TestRequestsAreLogged(t *testing.T) {
	s := open(t)
	got := s.send("GET", "/api/v1/plots/nowhere", nil)
	id := got.header.Get("X-Request-Id")
	other := s.send("GET", "/api/v1/plots", nil, header{"X-Request-Id": "forged"}).header.Get("X-Request-Id")
	if id == "" || id == other || strings.Contains(other, "forged") {
		t.Errorf("the ids are %q and %q", id, other)
	}
	for _, want := range []string{`"request_id":"` + id, `"path":"/api/v1/plots/nowhere"`, `"status":404`, `"method":"GET"`, `"took_ms":`} {
		if !strings.Contains(s.log.String(), want) {
			t.Errorf("%s is not in the log:\n%s", want, s.log.String())
		}
	}
}

func TestLongRepliesAreCompressedForWhoAsks(t *testing.T) {
	s := open(t)
	asked := s.send("GET", "/api/v1/openapi.json", nil).want(200) // the client unpacks by itself
	request, err := http.NewRequestWithContext(t.Context(), "GET", s.server.URL+"/api/v1/openapi.json", nil)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Accept-Encoding", "gzip")
	packed := s.do(request)
	if packed.header.Get("Content-Encoding") != "gzip" || len(packed.body) > len(asked.body)/4 {
		t.Fatalf("%q and %d bytes of %d", packed.header.Get("Content-Encoding"), len(packed.body), len(asked.body))
	}
	reader, err := gzip.NewReader(bytes.NewReader(packed.body))
	if err != nil {
		t.Fatal(err)
	}
	if plain, err := io.ReadAll(reader); err != nil || !bytes.Equal(plain, asked.body) {
		t.Errorf("unpacks to %d bytes, %v", len(plain), err)
	}
	request.Header.Set("Accept-Encoding", "identity")
	if plain := s.do(request); plain.header.Get("Content-Encoding") != "" {
		t.Error("compressed for one who did not ask")
	}
}

func TestServeFinishesWhatIsUnderWay(t *testing.T) {
	begun, release := make(chan struct{}), make(chan struct{})
	handler := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/slow" {
			close(begun)
			<-release
		}
		fmt.Fprint(w, "done")
	})
	ctx, stop := context.WithCancel(t.Context())
	address, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ready := func(a net.Addr) { address <- a.String() }
		ended <- api.Serve(ctx, api.Listening{Address: ":0", Ready: ready}, handler, slog.New(slog.DiscardHandler))
	}()
	at := <-address
	if !strings.HasPrefix(at, "127.0.0.1:") {
		t.Errorf("an address without a host opens %s", at)
	}
	slow := make(chan string, 1)
	go func() {
		response, err := http.Get("http://" + at + "/slow")
		if err != nil {
			slow <- err.Error()
			return
		}
		defer response.Body.Close()
		body, _ := io.ReadAll(response.Body)
		slow <- string(body)
	}()
	<-begun
	stop()
	for { // until the door is shut
		conn, err := net.Dial("tcp", at)
		if err != nil {
			break
		}
		conn.Close()
	}
	close(release)
	if got := <-slow; got != "done" {
		t.Errorf("the reply under way came to %q", got)
	}
	if err := <-ended; err != nil {
		t.Errorf("ended with %v", err)
	}
}

func TestServeByHTTPS(t *testing.T) {
	trusted := httptest.NewTLSServer(http.NotFoundHandler()) // for its certificate, and a client that trusts it
	defer trusted.Close()
	ctx, stop := context.WithCancel(t.Context())
	address, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- api.Serve(ctx, api.Listening{
			Address: ":0", Certificates: trusted.TLS.Certificates, Ready: func(a net.Addr) { address <- a.String() },
		}, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, r.Proto) }), slog.New(slog.DiscardHandler))
	}()
	at := <-address
	reply, err := trusted.Client().Get("https://" + at)
	if err != nil {
		t.Fatal(err)
	}
	defer reply.Body.Close()
	if body, _ := io.ReadAll(reply.Body); reply.StatusCode != http.StatusOK || !strings.HasPrefix(string(body), "HTTP/") {
		t.Errorf("%d %q", reply.StatusCode, body)
	}
	plain, err := http.Get("http://" + at)
	if err == nil {
		plain.Body.Close()
		if plain.StatusCode == http.StatusOK {
			t.Error("answered without https too")
		}
	}
	stop()
	if err := <-ended; err != nil {
		t.Errorf("ended with %v", err)
	}
}

func TestServeSaysWhyItCannot(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	for _, address := range []string{taken.Addr().String(), "no address", "127.0.0.1:notaport"} {
		if err := api.Serve(t.Context(), api.Listening{Address: address}, http.NotFoundHandler(), slog.New(slog.DiscardHandler)); err == nil {
			t.Errorf("%s: served", address)
		}
	}
}

func TestHostsOf(t *testing.T) {
	if got := api.HostsOf("barn.example:80"); len(got) != 1 || got[0] != "barn.example" {
		t.Errorf("got %v", got)
	}
	if got := api.HostsOf("192.0.2.7:80"); len(got) != 1 || got[0] != "192.0.2.7" {
		t.Errorf("got %v", got)
	}
	for _, all := range []string{"0.0.0.0:80", "[::]:80"} {
		if got := api.HostsOf(all); len(got) == 0 {
			t.Errorf("%s: no address of this machine", all)
		}
	}
}
