package review

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"time"
)

// limits are how long a client may take. A page is small and the client is on
// this machine: who is slower than this is stuck, or holds connections open
// on purpose.
type limits struct {
	header, read, write, idle time.Duration
}

var usualLimits = limits{header: 5 * time.Second, read: 30 * time.Second, write: 30 * time.Second, idle: 2 * time.Minute}

// Serve serves the page on a free port of the loopback address until ctx is
// done, and then lets the requests that are under way finish. It calls ready
// once, with the address to open: the only one that lets a browser in.
func Serve(ctx context.Context, cfg Config, ready func(url string)) error {
	return serve(ctx, cfg, usualLimits, ready)
}

func serve(ctx context.Context, cfg Config, l limits, ready func(url string)) error {
	cfg, err := cfg.checked()
	if err != nil {
		return err
	}
	pages, err := loadPages()
	if err != nil {
		return err
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp4", "127.0.0.1:0")
	if err != nil {
		return fmt.Errorf("open a port on this machine for the page: %w", err)
	}
	port := listener.Addr().(*net.TCPAddr).Port
	g := newGuard(port, rand.Text(), rand.Text())
	s := newServer(cfg, pages)
	defer s.working.Wait() // nothing reads the journal after Serve
	server := &http.Server{
		Handler:           g.wrap(s.routes()),
		ReadHeaderTimeout: l.header,
		ReadTimeout:       l.read,
		WriteTimeout:      l.write,
		IdleTimeout:       l.idle,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          log.New(io.Discard, "", 0), // a client that hangs up is no news
		BaseContext:       func(net.Listener) context.Context { return ctx },
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	if ready != nil {
		ready(g.startURL())
	}
	select {
	case err := <-failed:
		return fmt.Errorf("serve the page: %w", err)
	case <-ctx.Done():
	}
	// Event streams end with ctx, so this waits for pages alone.
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := server.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("stop the page: %w", err)
	}
	return nil
}
