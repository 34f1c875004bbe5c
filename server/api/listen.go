package api

import (
	"context"
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

// Serve answers at the address until the context ends, and then lets the
// replies under way finish. An address without a host means loopback; ready,
// which may be nil, is told the address once it is open.
func Serve(ctx context.Context, address string, handler http.Handler, log *slog.Logger, ready func(net.Addr)) error {
	listener, err := listen(ctx, address)
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
	if ready != nil {
		ready(listener.Addr())
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
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

func listen(ctx context.Context, address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("the address %q: %w", address, err)
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
