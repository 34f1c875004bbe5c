// Package site serves the built page: compressed where the browser takes it,
// for ever where a name holds the hash of its content, and the same page for
// every address that is one of its views.
package site

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
)

// front is the file that every view of the page starts from.
const front = "index.html"

// hashed is the folder in which the bundler puts files whose names hold the
// hash of their content.
const hashed = "assets/"

// How long a browser may keep a file: for ever under a hashed name, else only
// after asking whether it changed.
const (
	keepForEver = "public, max-age=31536000, immutable"
	askFirst    = "no-cache"
)

// types are the media types of the files that a page is built of. They are
// told here because what a system's own table says differs between systems.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".wasm": "application/wasm", ".svg": "image/svg+xml", ".png": "image/png", ".woff2": "font/woff2",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".txt": "text/plain; charset=utf-8",
}

// file is one file of the page in the encodings that it is held in; "" is none.
type file struct {
	kind    string
	keepFor string
	encoded map[string]variant
}

// variant is a file's content in one encoding, with its entity tag.
type variant struct {
	content []byte
	etag    string
}

// Site serves the files of a built page.
type Site struct{ files map[string]*file }

// New reads the pages once. It is an error when there is no front page.
func New(pages fs.FS) (*Site, error) {
	s := &Site{files: map[string]*file{}}
	err := fs.WalkDir(pages, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || strings.HasPrefix(entry.Name(), ".") {
			return err
		}
		content, err := fs.ReadFile(pages, name)
		if err == nil {
			s.add(name, content)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the page: %w", err)
	}
	if s.files[front] == nil {
		return nil, fmt.Errorf("the page has no %s: build it first", front)
	}
	return s, nil
}

// endings are those of compressed copies, with their content codings.
var endings = map[string]string{".br": "br", ".gz": "gzip"}

func (s *Site) add(name string, content []byte) {
	coding := endings[path.Ext(name)]
	if coding != "" {
		name = strings.TrimSuffix(name, path.Ext(name))
	}
	f := s.files[name]
	if f == nil {
		f = &file{kind: kindOf(name), encoded: map[string]variant{}, keepFor: askFirst}
		if strings.HasPrefix(name, hashed) {
			f.keepFor = keepForEver
		}
		s.files[name] = f
	}
	f.encoded[coding] = variant{content, etag(content)}
}

func kindOf(name string) string {
	ending := path.Ext(name)
	if kind, known := types[ending]; known {
		return kind
	}
	if kind := mime.TypeByExtension(ending); kind != "" {
		return kind
	}
	return "application/octet-stream"
}

// ServeHTTP answers GET and HEAD.
func (s *Site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD are answered here", http.StatusMethodNotAllowed)
		return
	}
	name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
	if name == "" {
		name = front
	}
	f := s.files[name]
	if f == nil && isView(name) {
		name, f = front, s.files[front]
	}
	if f == nil {
		w.Header().Set("Cache-Control", askFirst)
		http.Error(w, "there is no such file; go to the front page", http.StatusNotFound)
		return
	}
	if name == front {
		allowImagery(w.Header(), r)
		r.Header.Del("If-None-Match") // its policy may have changed where its content has not
	}
	f.serve(w, r)
}

// apart are the first parts of addresses that are not the page's.
var apart = []string{"api", "tiles"}

// isView tells an address of the page's own from that of a file: views have no
// ending.
func isView(name string) bool {
	first, _, _ := strings.Cut(name, "/")
	for _, other := range apart {
		if first == other {
			return false
		}
	}
	return path.Ext(name) == ""
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	coding, v := f.best(r.Header.Get("Accept-Encoding"))
	head := w.Header()
	head.Set("Content-Type", f.kind)
	head.Set("Cache-Control", f.keepFor)
	head.Add("Vary", "Accept-Encoding")
	head.Set("ETag", v.etag)
	if matches(r.Header.Get("If-None-Match"), v.etag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	if coding == unzipped {
		unzip(w, v.content)
		return
	}
	if coding != "" {
		head.Set("Content-Encoding", coding)
	}
	head.Set("Content-Length", strconv.Itoa(len(v.content)))
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodGet {
		_, _ = w.Write(v.content) // the client may have gone
	}
}

// best is the smallest form that the client takes.
func (f *file) best(accepted string) (coding string, v variant) {
	for _, coding := range []string{"br", "gzip"} {
		if v, held := f.encoded[coding]; held && accepts(accepted, coding) {
			return coding, v
		}
	}
	if v, held := f.encoded[""]; held {
		return "", v
	}
	return unzipped, f.encoded["gzip"]
}

// unzipped stands for a file that is held compressed alone and is asked for
// without compression.
const unzipped = "unzipped"

// unzip serves a client that takes no compression from the compressed copy.
func unzip(w http.ResponseWriter, content []byte) {
	plain, err := gzip.NewReader(bytes.NewReader(content))
	if err != nil {
		http.Error(w, "the file is broken", http.StatusInternalServerError)
		return
	}
	w.WriteHeader(http.StatusOK)
	_, _ = io.Copy(w, plain) // the client may have gone
}

// accepts reads an Accept-Encoding header (RFC 9110, section 12.5.3).
func accepts(header, coding string) bool {
	for _, part := range strings.Split(header, ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if name = strings.TrimSpace(name); name != coding && name != "*" {
			continue
		}
		weight = strings.TrimPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
		if q, err := strconv.ParseFloat(weight, 64); err == nil && q == 0 {
			return false
		}
		return true
	}
	return false
}

// etag is the content's hash, so that it stays the same over restarts.
func etag(content []byte) string {
	sum := sha256.Sum256(content)
	return `"` + hex.EncodeToString(sum[:12]) + `"`
}

func matches(header, tag string) bool {
	for _, one := range strings.Split(header, ",") {
		if one = strings.TrimPrefix(strings.TrimSpace(one), "W/"); one == tag || one == "*" {
			return true
		}
	}
	return false
}
