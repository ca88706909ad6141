// Package browsertest starts Debian's headless Chromium for the tests of the
// pages, once a process: to start one costs more than most of the tests.
package browsertest

import (
	"context"
	"os"
	"os/exec"
	"testing"

	"github.com/chromedp/chromedp"
)

// Browser is the one browser of a package's tests, with the flags it needs.
type Browser struct {
	flags []chromedp.ExecAllocatorOption
	ctx   context.Context
	stop  func()
	err   error
}

// New makes a browser that is started when the first page is opened.
func New(flags ...chromedp.ExecAllocatorOption) *Browser { return &Browser{flags: flags} }

// Open returns a context in which pages of the browser are opened, or skips the
// test where there is none. One test at a time opens the first.
func (b *Browser) Open(t testing.TB) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed: the page is not tested in a browser (apt-get install chromium)")
	}
	if testing.Short() {
		t.Skip("the browser is left out of the short tests")
	}
	if b.ctx == nil && b.err == nil {
		b.start(path)
	}
	if b.err != nil {
		t.Fatal(b.err)
	}
	return b.ctx
}

func (b *Browser) start(path string) {
	dir, err := os.MkdirTemp("", "browser-")
	if err != nil {
		b.err = err
		return
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(dir), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("hide-scrollbars", true))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), append(options, b.flags...)...)
	ctx, stop := chromedp.NewContext(alloc)
	b.ctx, b.err = ctx, chromedp.Do(ctx)
	b.stop = func() {
		stop()
		stopAlloc()
		os.RemoveAll(dir)
	}
}

// Main runs a package's tests and ends its browser.
func (b *Browser) Main(m *testing.M) {
	code := m.Run()
	if b.stop != nil {
		b.stop()
	}
	os.Exit(code)
}
