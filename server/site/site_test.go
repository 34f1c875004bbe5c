package site_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/server/site"
)

func zipped(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := io.WriteString(w, text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// built is a page as the build leaves it. The brotli copies are not read here,
// so any bytes do.
func built(t *testing.T) *site.Site {
	t.Helper()
	s, err := site.New(fstest.MapFS{
		"index.html":             {Data: []byte("<!doctype html>front")},
		"index.html.br":          {Data: []byte("front in brotli")},
		".gitkeep":               {Data: nil},
		"sw.js":                  {Data: []byte("worker")},
		"assets/app-1a2b.js":     {Data: []byte("script")},
		"assets/app-1a2b.js.br":  {Data: []byte("script in brotli")},
		"assets/app-1a2b.js.gz":  {Data: zipped(t, "script")},
		"assets/core-9f.wasm.br": {Data: []byte("core in brotli")},
		"assets/core-9f.wasm.gz": {Data: zipped(t, "core")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func get(t *testing.T, h http.Handler, path string, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	w.Header().Set("Content-Security-Policy", policy)
	h.ServeHTTP(w, r)
	return w
}

const policy = "default-src 'self'; img-src 'self' data: blob:; object-src 'none'"

func TestFiles(t *testing.T) {
	s := built(t)
	for _, c := range []struct {
		path, accept         string
		status               int
		body, kind, encoding string
		forEver              bool
	}{
		{"/", "gzip, br", 200, "front in brotli", "text/html; charset=utf-8", "br", false},
		{"/", "", 200, "<!doctype html>front", "text/html; charset=utf-8", "", false},
		{"/plots/0193-abc", "br", 200, "front in brotli", "text/html; charset=utf-8", "br", false},
		{"/assets/app-1a2b.js", "br", 200, "script in brotli", "text/javascript; charset=utf-8", "br", true},
		{"/assets/app-1a2b.js", "identity", 200, "script", "text/javascript; charset=utf-8", "", true},
		{"/assets/app-1a2b.js", "gzip;q=1.0, br;q=0", 200, string(zipped(t, "script")), "text/javascript; charset=utf-8", "gzip", true},
		{"/assets/core-9f.wasm", "deflate, br", 200, "core in brotli", "application/wasm", "br", true},
		{"/assets/core-9f.wasm", "", 200, "core", "application/wasm", "", true},
		{"/sw.js", "*", 200, "worker", "text/javascript; charset=utf-8", "", false},
		{"/assets/gone-00.js", "br", 404, "", "", "", false},
		{"/.gitkeep", "", 404, "", "", "", false},
		{"/api/v1/nothing", "", 404, "", "", "", false},
		{"/tiles/1/1/1", "", 404, "", "", "", false},
		{"/../../etc/passwd", "", 200, "<!doctype html>front", "text/html; charset=utf-8", "", false},
		{"/../secret.txt", "", 404, "", "", "", false},
	} {
		t.Run(c.path+" "+c.accept, func(t *testing.T) {
			w := get(t, s, c.path, "Accept-Encoding", c.accept)
			if w.Code != c.status {
				t.Fatalf("status %d, want %d", w.Code, c.status)
			}
			if c.status != 200 {
				return
			}
			if w.Body.String() != c.body {
				t.Errorf("body %q, want %q", w.Body, c.body)
			}
			for name, want := range map[string]string{"Content-Type": c.kind, "Content-Encoding": c.encoding} {
				if got := w.Header().Get(name); got != want {
					t.Errorf("%s %q, want %q", name, got, want)
				}
			}
			if got := strings.Contains(w.Header().Get("Cache-Control"), "immutable"); got != c.forEver {
				t.Errorf("Cache-Control %q", w.Header().Get("Cache-Control"))
			}
			if !strings.Contains(strings.Join(w.Header().Values("Vary"), ","), "Accept-Encoding") {
				t.Error("a cache could hand a compressed file to who does not take it")
			}
		})
	}
}

func TestUnchangedFilesAreNotSentAgain(t *testing.T) {
	s := built(t)
	script := "/assets/app-1a2b.js"
	tag := get(t, s, script, "Accept-Encoding", "br").Header().Get("ETag")
	if again := get(t, s, script, "Accept-Encoding", "br", "If-None-Match", tag); again.Code != http.StatusNotModified || again.Body.Len() != 0 {
		t.Errorf("status %d with %d bytes", again.Code, again.Body.Len())
	}
	if plain := get(t, s, script, "If-None-Match", tag); plain.Code != http.StatusOK {
		t.Errorf("the tag of the compressed form matched the plain one: %d", plain.Code)
	}
	tag = get(t, s, "/").Header().Get("ETag")
	if again := get(t, s, "/", "If-None-Match", tag); again.Code != http.StatusOK {
		t.Errorf("the front page was not sent with its policy: %d", again.Code)
	}
}

func TestOnlyReading(t *testing.T) {
	w := httptest.NewRecorder()
	built(t).ServeHTTP(w, httptest.NewRequest(http.MethodPost, "/", nil))
	if w.Code != http.StatusMethodNotAllowed || w.Header().Get("Allow") == "" {
		t.Errorf("status %d", w.Code)
	}
	w = httptest.NewRecorder()
	built(t).ServeHTTP(w, httptest.NewRequest(http.MethodHead, "/", nil))
	if w.Code != http.StatusOK || w.Body.Len() != 0 || w.Header().Get("Content-Length") == "" {
		t.Errorf("HEAD: status %d, %d bytes", w.Code, w.Body.Len())
	}
}

func TestImageryFromTheOneHostThatWasEntered(t *testing.T) {
	s := built(t)
	for _, c := range []struct{ cookie, want string }{
		{"", "img-src 'self' data: blob:;"},
		{"https%3A%2F%2Fimagery.example", "img-src 'self' https://imagery.example data: blob:;"},
		{"http://127.0.0.1:9000", "img-src 'self' http://127.0.0.1:9000 data: blob:;"},
		{"https://imagery.example%3B%20script-src%20*", "img-src 'self' data: blob:;"},
		{"https://*", "img-src 'self' data: blob:;"},
		{"https://imagery.example/tiles", "img-src 'self' data: blob:;"},
		{"https://a@imagery.example", "img-src 'self' data: blob:;"},
		{"data:", "img-src 'self' data: blob:;"},
		{"https:", "img-src 'self' data: blob:;"},
	} {
		got := get(t, s, "/plots/x", "Cookie", site.ImageryCookie+"="+c.cookie).Header().Get("Content-Security-Policy")
		if !strings.Contains(got, c.want) || !strings.HasPrefix(got, "default-src 'self';") {
			t.Errorf("cookie %q gives %q, want %q in it", c.cookie, got, c.want)
		}
	}
	asset := get(t, s, "/assets/app-1a2b.js", "Cookie", site.ImageryCookie+"=https://imagery.example")
	if got := asset.Header().Get("Content-Security-Policy"); got != policy {
		t.Errorf("the policy of a script is %q", got)
	}
}

func TestAPageThatIsNotBuiltIsAnError(t *testing.T) {
	if _, err := site.New(fstest.MapFS{".gitkeep": {}}); err == nil {
		t.Error("no error")
	}
}
