package tiles_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"image"
	"image/color"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/geo/fault"
	"evenfall/server/tiles"
)

// picture is a one-coloured PNG, so that tiles can be told apart.
func picture(t *testing.T, shade uint8) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 4, 4))
	for i := range m.Pix {
		m.Pix[i] = color.Gray{Y: shade}.Y
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// made is a tile file made by the statements.
func made(t *testing.T, statements ...string) (path string, db *sql.DB) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "a field #1.mbtiles")
	db, err := sql.Open("sqlite", "file:"+strings.NewReplacer(" ", "%20", "#", "%23").Replace(path))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
	return path, db
}

const (
	metadataTable = "CREATE TABLE metadata (name text, value text)"
	tilesTable    = "CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob)"
)

func opened(t *testing.T) *tiles.Set {
	t.Helper()
	path, db := made(t, metadataTable, tilesTable,
		`INSERT INTO metadata VALUES ('name', 'North fields'), ('bounds', '-95.5,44,-95,44.5'), ('format', 'png'),
		('attribution', '<a href="https://imagery.example">Imagery office</a>')`)
	// The file counts rows from the south: at zoom 1 row 1 is the northern one.
	for _, one := range []struct {
		zoom, column, row int
		shade             uint8
	}{{0, 0, 0, 10}, {1, 0, 1, 20}, {1, 0, 0, 30}} {
		if _, err := db.Exec("INSERT INTO tiles VALUES (?, ?, ?, ?)", one.zoom, one.column, one.row, picture(t, one.shade)); err != nil {
			t.Fatal(err)
		}
	}
	s, err := tiles.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestTiles(t *testing.T) {
	h := tiles.Handler(opened(t))
	for _, c := range []struct {
		path   string
		status int
		shade  uint8
	}{
		{"/tiles/0/0/0", 200, 10},
		{"/tiles/1/0/0", 200, 20}, // the northern one
		{"/tiles/1/0/1.png", 200, 30},
		{"/tiles/1/1/1", 404, 0},
		{"/tiles/1/2/0", 400, 0},
		{"/tiles/1/0/2", 400, 0},
		{"/tiles/31/0/0", 400, 0},
		{"/tiles/-1/0/0", 404, 0},
		{"/tiles/1/0", 404, 0},
		{"/tiles/1/0/x", 404, 0},
		{"/tiles/99999999999999999999/0/0", 404, 0},
	} {
		t.Run(c.path, func(t *testing.T) {
			w := httptest.NewRecorder()
			h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, c.path, nil))
			if w.Code != c.status {
				t.Fatalf("status %d, want %d: %s", w.Code, c.status, w.Body)
			}
			if c.status != 200 {
				return
			}
			if !bytes.Equal(w.Body.Bytes(), picture(t, c.shade)) || w.Header().Get("Content-Type") != "image/png" {
				t.Errorf("another picture, of type %s", w.Header().Get("Content-Type"))
			}
			again := httptest.NewRequest(http.MethodGet, c.path, nil)
			again.Header.Set("If-None-Match", w.Header().Get("ETag"))
			w = httptest.NewRecorder()
			h.ServeHTTP(w, again)
			if w.Code != http.StatusNotModified {
				t.Errorf("asked again: status %d", w.Code)
			}
		})
	}
}

func TestInfo(t *testing.T) {
	w := httptest.NewRecorder()
	tiles.Handler(opened(t)).ServeHTTP(w, httptest.NewRequest(http.MethodGet, tiles.InfoPath, nil))
	var got tiles.Info
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	want := tiles.Info{Name: "North fields", Attribution: "Imagery office", MinZoom: 0, MaxZoom: 1,
		Bounds: [4]float64{-95.5, 44, -95, 44.5}, Path: "/tiles/{z}/{x}/{y}"}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestNoFile(t *testing.T) {
	w := httptest.NewRecorder()
	tiles.Handler(nil).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/tiles/0/0/0", nil))
	if w.Code != http.StatusNotFound {
		t.Errorf("status %d", w.Code)
	}
	w = httptest.NewRecorder()
	tiles.Handler(nil).ServeHTTP(w, httptest.NewRequest(http.MethodGet, tiles.InfoPath, nil))
	if w.Code != http.StatusOK || strings.TrimSpace(w.Body.String()) != "{}" || w.Header().Get("Content-Type") != "application/json" {
		t.Errorf("the description: status %d, %s", w.Code, w.Body)
	}
}

func TestNothingIsWritten(t *testing.T) {
	w := httptest.NewRecorder()
	tiles.Handler(opened(t)).ServeHTTP(w, httptest.NewRequest(http.MethodPut, "/tiles/0/0/0", nil))
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("status %d", w.Code)
	}
}

func TestWrongFiles(t *testing.T) {
	text := filepath.Join(t.TempDir(), "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a database ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	other, _ := made(t, "CREATE TABLE crops (name text)")
	noTiles, _ := made(t, metadataTable)
	empty, _ := made(t, metadataTable, tilesTable)
	vector, _ := made(t, metadataTable, tilesTable, "INSERT INTO tiles VALUES (0, 0, 0, x'1f8b0800')")
	for name, path := range map[string]string{
		"text": text, "another database": other, "no tiles": noTiles, "empty": empty, "vector tiles": vector,
		"a folder": t.TempDir(), "nothing there": filepath.Join(t.TempDir(), "gone.mbtiles"),
	} {
		t.Run(name, func(t *testing.T) {
			s, err := tiles.Open(t.Context(), path)
			if err == nil {
				_ = s.Close()
				t.Fatal("it was opened")
			}
			found, ok := fault.From(err)
			if !ok || found.Remedy == "" {
				t.Errorf("no fault: %v", err)
			}
		})
	}
}

// The file may be on a read-only medium, and must not change.
func TestTheFileStaysAsItWas(t *testing.T) {
	path, db := made(t, metadataTable, tilesTable)
	if _, err := db.Exec("INSERT INTO tiles VALUES (0, 0, 0, ?)", picture(t, 1)); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := tiles.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Tile(t.Context(), 0, 0, 0); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	after, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil || !bytes.Equal(before, after) || len(entries) != 1 {
		t.Errorf("the file or its folder changed: %v %v", entries, err)
	}
}
