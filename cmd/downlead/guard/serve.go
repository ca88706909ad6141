package guard

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"time"
)

// Limits are how long a client may take. A page is small and its client is
// near: who is slower than this is stuck, or holds connections open on purpose.
type Limits struct {
	Header, Read, Write, Idle time.Duration
}

// UsualLimits are good for a page.
func UsualLimits() Limits {
	return Limits{Header: 5 * time.Second, Read: 30 * time.Second, Write: 30 * time.Second, Idle: 2 * time.Minute}
}

// Serve serves pages until ctx is done, and then lets the requests that are
// under way finish.
func Serve(ctx context.Context, listener net.Listener, pages http.Handler, l Limits) error {
	server := &http.Server{
		Handler:           pages,
		ReadHeaderTimeout: l.Header,
		ReadTimeout:       l.Read,
		WriteTimeout:      l.Write,
		IdleTimeout:       l.Idle,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          log.New(io.Discard, "", 0), // a client that hangs up is no news
		BaseContext:       func(net.Listener) context.Context { return ctx },
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve the page: %w", err)
	case <-ctx.Done():
	}
	// Streams end with ctx, so this waits for pages alone.
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := server.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("stop the page: %w", err)
	}
	return nil
}
