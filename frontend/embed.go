// Package frontend holds the built page inside the binary.
package frontend

import (
	"embed"
	"errors"
	"io/fs"
)

// dist is what scripts/build.sh makes. Before the first build it holds nothing
// but a mark, so that the rest of the module can be compiled and tested.
//
//go:embed all:dist
var dist embed.FS

// ErrNotBuilt says that this binary was compiled before the page was.
var ErrNotBuilt = errors.New("the page is not in this binary: build it with make, which runs frontend/scripts/build.sh first")

// Pages are the files of the built page. A file may stand there as it is, as
// NAME.br, as NAME.gz, or as several of these.
func Pages() (fs.FS, error) {
	pages, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, err
	}
	if _, err := fs.Stat(pages, "index.html"); err != nil {
		return nil, ErrNotBuilt
	}
	return pages, nil
}
