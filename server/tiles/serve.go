package tiles

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"

	"evenfall/geo/fault"
)

// Base is where the tiles lie, and Path the address of one.
const (
	Base     = "/tiles"
	Path     = Base + "/{z}/{x}/{y}"
	InfoPath = Base + "/info.json"
)

// fewMinutes is how long a browser shows a tile without asking again: the file
// may be exchanged for another.
const fewMinutes = "private, max-age=300"

// Handler serves Path and InfoPath. Without a file (nil) there is no tile, and
// the description is empty: that there are none is an answer, not an error.
func Handler(s *Set) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "only GET and HEAD are answered here", http.StatusMethodNotAllowed)
		case s == nil && r.URL.Path == InfoPath:
			describe(w, struct{}{})
		case s == nil:
			http.Error(w, "there is no tile file: start the server with one", http.StatusNotFound)
		case r.URL.Path == InfoPath:
			describe(w, s.info)
		default:
			s.serveTile(w, r)
		}
	})
}

func describe(w http.ResponseWriter, info any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-cache")
	_ = json.NewEncoder(w).Encode(info) // the client may have gone
}

func (s *Set) serveTile(w http.ResponseWriter, r *http.Request) {
	zoom, column, row, ok := placeOf(r.URL.Path)
	if !ok {
		http.Error(w, "a tile's address is "+Path, http.StatusNotFound)
		return
	}
	picture, err := s.Tile(r.Context(), zoom, column, row)
	if found, isFault := fault.From(err); isFault {
		http.Error(w, found.Error(), http.StatusBadRequest)
		return
	}
	if err != nil {
		http.Error(w, "the tile file cannot be read", http.StatusInternalServerError)
		return
	}
	kind := pictureType(picture)
	if kind == "" {
		http.Error(w, "the file has no picture there", http.StatusNotFound)
		return
	}
	send(w, r, kind, picture)
}

func send(w http.ResponseWriter, r *http.Request, kind string, picture []byte) {
	sum := sha256.Sum256(picture)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	head := w.Header()
	head.Set("Content-Type", kind)
	head.Set("Cache-Control", fewMinutes)
	head.Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	head.Set("Content-Length", strconv.Itoa(len(picture)))
	if r.Method == http.MethodGet {
		_, _ = w.Write(picture) // the client may have gone
	}
}

// placeOf reads the numbers of an address; an ending such as .png is let pass.
func placeOf(path string) (zoom, column, row int, ok bool) {
	parts := strings.Split(strings.TrimPrefix(path, Base+"/"), "/")
	if len(parts) != 3 {
		return 0, 0, 0, false
	}
	parts[2], _, _ = strings.Cut(parts[2], ".")
	var n [3]int
	for i, part := range parts {
		v, err := strconv.ParseUint(part, 10, 31)
		if err != nil {
			return 0, 0, 0, false
		}
		n[i] = int(v)
	}
	return n[0], n[1], n[2], true
}

// pictureType tells the pictures that browsers show by their first bytes;
// empty for anything else, which is never sent.
func pictureType(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case len(data) > 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return "image/webp"
	}
	return ""
}
