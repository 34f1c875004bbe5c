package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"

	"evenfall/agronomy"
	"evenfall/fixtures"
	"evenfall/frontend"
	"evenfall/server/api"
	"evenfall/server/print"
	"evenfall/server/render"
	"evenfall/server/site"
	"evenfall/server/store"
	"evenfall/server/tiles"
)

// serveCommand runs the server until it is interrupted.
type serveCommand struct {
	Listen string      `help:"Address to listen at; loopback unless another host is named." default:"127.0.0.1:8321" placeholder:"HOST:PORT"`
	Data   string      `help:"Database file; in your data folder if left out." placeholder:"FILE" type:"path"`
	Demo   bool        `help:"Use a database of its own, filled with an invented property."`
	Host   []string    `help:"Another host name by which this server may be called; repeat for more." placeholder:"NAME"`
	Cert   string      `name:"certificate" help:"Serve by https with the certificate in this PEM file; a phone keeps the page for times without a signal only then." placeholder:"FILE" type:"path" and:"https"`
	Key    string      `help:"The certificate's private key, a PEM file." placeholder:"FILE" type:"path" and:"https"`
	Tiles  string      `help:"Local map pictures, as an MBTiles file." placeholder:"FILE" type:"path"`
	Paper  print.Paper `help:"Paper of the printed page: Letter or A4." enum:"Letter,A4" default:"Letter"`
}

// Run wires store, sheets and renderers together and serves them.
func (a serveCommand) Run(ctx context.Context, c *console) (failed error) {
	scheme, certificates, err := a.certificates()
	if err != nil {
		return err
	}
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
	pages, err := a.pages(ctx)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewJSONHandler(c.err, nil))
	handler := api.New(api.Services{
		Store: db, Prepare: agronomy.Prepare, Turns: api.NewTurns(runtime.GOMAXPROCS(0)),
		Renderers: renderers(a.Paper), Pages: pages,
		Hosts: append(api.HostsOf(a.Listen), a.Host...), Clock: c.now, Log: log,
	})
	ready := func(at net.Addr) {
		fmt.Fprintf(c.out, "Evenfall is at %s://%s (data in %s). Press Ctrl-C to stop.\n", scheme, at, path)
	}
	return api.Serve(ctx, api.Listening{Address: a.Listen, Certificates: certificates, Ready: ready}, handler, log)
}

// certificates are what the server shows for itself, with the scheme that it
// then answers by; without any it answers by http.
func (a serveCommand) certificates() (scheme string, certificates []tls.Certificate, err error) {
	if a.Cert == "" {
		return "http", nil, nil
	}
	pair, err := tls.LoadX509KeyPair(a.Cert, a.Key)
	if err != nil {
		return "", nil, fmt.Errorf("reading the certificate %s and its key %s: %w", a.Cert, a.Key, err)
	}
	return "https", []tls.Certificate{pair}, nil
}

// pages is the page with the local map pictures beside it. A binary that was
// compiled before the page was built serves the interface for programs alone.
func (a serveCommand) pages(ctx context.Context) (http.Handler, error) {
	mux := http.NewServeMux()
	var set *tiles.Set
	if a.Tiles != "" {
		opened, err := tiles.Open(ctx, a.Tiles)
		if err != nil {
			return nil, err
		}
		set = opened
	}
	mux.Handle(tiles.Base+"/", tiles.Handler(set))
	files, err := frontend.Pages()
	if errors.Is(err, frontend.ErrNotBuilt) {
		mux.HandleFunc("/", func(w http.ResponseWriter, _ *http.Request) {
			http.Error(w, err.Error(), http.StatusNotFound)
		})
		return mux, nil
	}
	if err != nil {
		return nil, err
	}
	page, err := site.New(files)
	if err != nil {
		return nil, err
	}
	mux.Handle("/", page)
	return mux, nil
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
