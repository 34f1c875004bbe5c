package api

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// Time limits of a connection: a phone on a slow link gets a 16 MB outline
// through in the reading time, and a stuck client holds nothing for long. Our
// own choice.
const (
	headerTime   = 5 * time.Second
	readTime     = 60 * time.Second
	writeTime    = 60 * time.Second
	idleTime     = 120 * time.Second
	farewellTime = 10 * time.Second // for replies that are under way when the server ends
	headerMost   = 64 << 10         // bytes
)

// Listening is where and how a server answers. An Address without a host means
// loopback. With Certificates it answers by https alone. Ready, which may be
// nil, is told the address once it is open.
type Listening struct {
	Address      string
	Certificates []tls.Certificate
	Ready        func(net.Addr)
}

// Serve answers until the context ends, and then lets the replies under way
// finish.
func Serve(ctx context.Context, at Listening, handler http.Handler, log *slog.Logger) error {
	listener, err := at.open(ctx)
	if err != nil {
		return err
	}
	server := &http.Server{
		Handler:           headAsGet(handler),
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       readTime,
		WriteTimeout:      writeTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    headerMost,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	if at.Ready != nil {
		at.Ready(listener.Addr())
	}
	ended := make(chan error, 1)
	go func() { ended <- at.serve(server, listener) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serving: %w", err)
	case <-ctx.Done():
	}
	farewell, cancel := context.WithTimeout(context.WithoutCancel(ctx), farewellTime)
	defer cancel()
	if err := server.Shutdown(farewell); err != nil {
		return errors.Join(fmt.Errorf("ending: %w", err), server.Close())
	}
	return nil
}

func (at Listening) serve(server *http.Server, listener net.Listener) error {
	if len(at.Certificates) == 0 {
		return server.Serve(listener)
	}
	server.TLSConfig = &tls.Config{Certificates: at.Certificates, MinVersion: tls.VersionTLS12}
	return server.ServeTLS(listener, "", "")
}

func (at Listening) open(ctx context.Context) (net.Listener, error) {
	host, port, err := net.SplitHostPort(at.Address)
	if err != nil {
		return nil, fmt.Errorf("the address %q: %w", at.Address, err)
	}
	if host == "" {
		host = "127.0.0.1"
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", net.JoinHostPort(host, port))
	if err != nil {
		return nil, fmt.Errorf("opening the address: %w", err)
	}
	return listener, nil
}

// HostsOf lists the hosts by which a server listening there may be called: the
// address's own, or every address of this machine when it listens on all.
func HostsOf(address string) []string {
	host, _, err := net.SplitHostPort(address)
	if err != nil || host == "" {
		return nil
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsUnspecified() {
		return []string{host}
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var hosts []string
	for _, a := range addresses {
		if network, ok := a.(*net.IPNet); ok {
			hosts = append(hosts, network.IP.String())
		}
	}
	return hosts
}
