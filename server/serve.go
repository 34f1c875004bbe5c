package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"runtime"

	"evenfall/agronomy"
	"evenfall/fixtures"
	"evenfall/server/api"
	"evenfall/server/print"
	"evenfall/server/render"
	"evenfall/server/store"
)

// serveCommand runs the server until it is interrupted.
type serveCommand struct {
	Listen string      `help:"Address to listen at; loopback unless another host is named." default:"127.0.0.1:8321" placeholder:"HOST:PORT"`
	Data   string      `help:"Database file; in your data folder if left out." placeholder:"FILE" type:"path"`
	Demo   bool        `help:"Use a database of its own, filled with an invented property."`
	Host   []string    `help:"Another host name by which this server may be called; repeat for more." placeholder:"NAME"`
	Paper  print.Paper `help:"Paper of the printed page: Letter or A4." enum:"Letter,A4" default:"Letter"`
}

// Run wires store, sheets and renderers together and serves them.
func (a serveCommand) Run(ctx context.Context, c *console) (failed error) {
	path, err := a.database()
	if err != nil {
		return err
	}
	db, err := store.Open(ctx, path, c.now)
	if err != nil {
		return err
	}
	defer func() { failed = errors.Join(failed, db.Close()) }()
	if a.Demo {
		if err := fillDemo(ctx, db, fixtures.Files); err != nil {
			return fmt.Errorf("laying out the demo: %w", err)
		}
	}
	log := slog.New(slog.NewJSONHandler(c.err, nil))
	site := api.New(api.Services{
		Store: db, Prepare: agronomy.Prepare, Turns: api.NewTurns(runtime.GOMAXPROCS(0)), Renderers: renderers(a.Paper),
		Hosts: append(api.HostsOf(a.Listen), a.Host...), Clock: c.now, Log: log,
	})
	return api.Serve(ctx, a.Listen, site, log, func(at net.Addr) {
		fmt.Fprintf(c.out, "Evenfall is at http://%s (data in %s). Press Ctrl-C to stop.\n", at, path)
	})
}

// database is the file to keep things in.
func (a serveCommand) database() (string, error) {
	if a.Data != "" {
		return a.Data, nil
	}
	folder, err := dataFolder()
	if err != nil {
		return "", err
	}
	if a.Demo {
		return filepath.Join(folder, "demo.db"), nil
	}
	return filepath.Join(folder, "evenfall.db"), nil
}

// dataFolder follows the XDG base directory rules where they are set, and the
// system's own folder for settings elsewhere.
func dataFolder() (string, error) {
	if data := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "evenfall"), nil
	}
	settings, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("finding your data folder (name a file with --data): %w", err)
	}
	return filepath.Join(settings, "evenfall"), nil
}

func renderers(paper print.Paper) map[api.Format]func(io.Writer, agronomy.Sheet) error {
	return map[api.Format]func(io.Writer, agronomy.Sheet) error{
		api.PDF:     func(w io.Writer, s agronomy.Sheet) error { return print.PDF(w, s, paper) },
		api.GPX:     render.GPX,
		api.GeoJSON: render.GeoJSON,
		api.KML:     render.KML,
		api.ICS:     render.Calendar,
	}
}
