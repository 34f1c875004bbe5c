// Package tiles serves the pictures of one local MBTiles file, an open format
// for map tiles in a SQLite database (MBTiles specification 1.3). The file is
// only read.
package tiles

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	_ "modernc.org/sqlite" // the driver, named in sql.Open

	"evenfall/geo/fault"
)

// deepest is the finest zoom that an address may name: at 30 a tile is 4 cm
// wide, and its column still fits in 32 bits.
const deepest = 30

// readers is how many tiles are looked up side by side; a browser asks for six
// at a time of one host.
const readers = 6

// Info is what a map has to know of the tiles. Bounds are west, south, east
// and north in degrees; Path has {z}, {x} and {y} in it, rows counted from the
// north.
type Info struct {
	Name        string     `json:"name"`
	Attribution string     `json:"attribution,omitempty"`
	MinZoom     int        `json:"min_zoom"`
	MaxZoom     int        `json:"max_zoom"`
	Bounds      [4]float64 `json:"bounds"`
	Path        string     `json:"path"`
}

// Set is an open tile file. It is safe for use by many goroutines.
type Set struct {
	db   *sql.DB
	info Info
}

// Open opens a tile file. What is wrong with it is a fault of the kinds unread
// or missing.
func Open(ctx context.Context, path string) (*Set, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("finding the tile file: %w", err)
	}
	if found, err := os.Stat(full); err != nil || found.IsDir() {
		return nil, fault.New("tiles_missing", "there is no tile file at "+path, "name an MBTiles file").Of(fault.Missing).In("tiles")
	}
	db, err := sql.Open("sqlite", address(full))
	if err != nil {
		return nil, fmt.Errorf("opening the tile file: %w", err)
	}
	db.SetMaxOpenConns(readers)
	s := &Set{db: db}
	if err := s.read(ctx); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

// address opens for reading alone and trusts nothing that the file's schema
// may call.
func address(path string) string {
	query := url.Values{"mode": {"ro"}, "_pragma": {"busy_timeout(5000)", "query_only(ON)", "trusted_schema(OFF)"}}
	name := (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath()
	return (&url.URL{Scheme: "file", Opaque: name, RawQuery: query.Encode()}).String()
}

// Close lets go of the file.
func (s *Set) Close() error { return s.db.Close() }

func wrongFile(what string) *fault.Error {
	return fault.New("tiles_file", "the tile file "+what, "give an MBTiles file that holds PNG, JPEG or WebP pictures").Of(fault.Unread).In("tiles")
}

// read looks at the metadata and at one tile, so that a wrong file is refused
// at once and not picture by picture.
func (s *Set) read(ctx context.Context) error {
	values, err := s.metadata(ctx)
	if err != nil {
		return wrongFile("is not an MBTiles database")
	}
	info := Info{Name: values["name"], Attribution: plain(values["attribution"]), Path: Path, Bounds: [4]float64{-180, -85.0511, 180, 85.0511}}
	var least, most sql.NullInt64
	if err := s.db.QueryRowContext(ctx, "SELECT min(zoom_level), max(zoom_level) FROM tiles").Scan(&least, &most); err != nil {
		return wrongFile("has no table of tiles")
	}
	if !most.Valid || least.Int64 < 0 || most.Int64 > deepest {
		return wrongFile("is empty")
	}
	info.MinZoom, info.MaxZoom = int(least.Int64), int(most.Int64)
	if b, ok := boundsOf(values["bounds"]); ok {
		info.Bounds = b
	}
	var sample []byte
	if err := s.db.QueryRowContext(ctx, "SELECT tile_data FROM tiles LIMIT 1").Scan(&sample); err != nil || pictureType(sample) == "" {
		return wrongFile("holds something other than pictures")
	}
	s.info = info
	return nil
}

func (s *Set) metadata(ctx context.Context) (map[string]string, error) {
	rows, err := s.db.QueryContext(ctx, "SELECT name, value FROM metadata")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	values := map[string]string{}
	for rows.Next() {
		var name, value sql.NullString
		if err := rows.Scan(&name, &value); err != nil {
			return nil, err
		}
		values[name.String] = value.String
	}
	return values, rows.Err()
}

// plain drops the HTML that an attribution may hold, tag by tag.
func plain(html string) string {
	var b strings.Builder
	inTag := false
	for _, r := range html {
		switch {
		case r == '<':
			inTag = true
		case r == '>' && inTag:
			inTag = false
		case !inTag:
			b.WriteRune(r)
		}
	}
	return strings.TrimSpace(b.String())
}

// boundsOf reads "west,south,east,north".
func boundsOf(text string) (b [4]float64, ok bool) {
	parts := strings.Split(text, ",")
	if len(parts) != len(b) {
		return b, false
	}
	for i, part := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || !(v >= -180 && v <= 180) {
			return b, false
		}
		b[i] = v
	}
	return b, b[0] < b[2] && b[1] < b[3]
}

// Tile is the picture at a zoom, column and row, the row counted from the
// north as web maps do; the file counts from the south. It is nil where the
// file has none.
func (s *Set) Tile(ctx context.Context, zoom, column, row int) ([]byte, error) {
	if zoom < 0 || zoom > deepest || column < 0 || row < 0 || column >= 1<<zoom || row >= 1<<zoom {
		return nil, fault.New("tile_place", fmt.Sprintf("there is no tile %d/%d/%d", zoom, column, row),
			"ask for columns and rows from 0 up to 2 to the power of the zoom, less one")
	}
	var picture []byte
	err := s.db.QueryRowContext(ctx,
		"SELECT tile_data FROM tiles WHERE zoom_level = ? AND tile_column = ? AND tile_row = ?",
		zoom, column, 1<<zoom-1-row).Scan(&picture)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading a tile: %w", err)
	}
	return picture, nil
}
