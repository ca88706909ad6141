package review

import (
	"context"
	"crypto/rand"
	"fmt"
	"net"
	"net/http"

	"downlead/cmd/downlead/guard"
)

// Serve serves the page on a free port of the loopback address until ctx is
// done, and then lets the requests that are under way finish. It calls ready
// once, with the address to open: the only one that lets a browser in.
func Serve(ctx context.Context, cfg Config, ready func(url string)) error {
	return serve(ctx, cfg, guard.UsualLimits(), ready)
}

func serve(ctx context.Context, cfg Config, l guard.Limits, ready func(url string)) error {
	cfg, err := cfg.checked()
	if err != nil {
		return err
	}
	pages, err := loadPages()
	if err != nil {
		return err
	}
	s := newServer(cfg, pages)
	defer s.working.Wait() // nothing reads the journal after Serve
	return serveOn(ctx, l, ready, s.routes())
}

// serveOn serves pages behind the entrance.
func serveOn(ctx context.Context, l guard.Limits, ready func(url string), pages http.Handler) error {
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp4", "127.0.0.1:0")
	if err != nil {
		return fmt.Errorf("open a port on this machine for the page: %w", err)
	}
	e := &entrance{port: listener.Addr().(*net.TCPAddr).Port, token: rand.Text(), secret: rand.Text()}
	if ready != nil {
		ready(e.startURL())
	}
	return guard.Serve(ctx, listener, e.wrap(pages), l)
}
