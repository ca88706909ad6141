package review

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"

	"downlead/cmd/downlead/browsertest"
	"downlead/grammar/entry"
	"downlead/journal/record"

	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

var chromium = browsertest.New()

func TestMain(m *testing.M) { chromium.Main(m) }

// tab is one page of the browser with a keyboard.
type tab struct {
	t    testing.TB
	ctx  context.Context
	site *site

	mu     sync.Mutex
	errors []string // what the page's console complained of
}

// newTab opens the site's start address. Whatever the browser complains of
// while the test runs, a refused script or style among it, fails the test.
func newTab(t testing.TB, s *site, before ...chromedp.Action[chromedp.Void]) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(chromium.Open(t))
	ctx, cancelTime := context.WithTimeout(ctx, 60*time.Second)
	b := &tab{t: t, ctx: ctx, site: s}
	t.Cleanup(func() {
		cancelTime()
		cancel()
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, e := range b.errors {
			t.Error("the browser complains: ", e)
		}
	})
	if err := chromedp.Listen(ctx, func(ev any) {
		if e, ok := ev.(*cdplog.EventEntryAdded); ok && e.Entry.Level == cdplog.EntryLevelError {
			b.mu.Lock()
			defer b.mu.Unlock()
			b.errors = append(b.errors, e.Entry.Text+" "+e.Entry.URL)
		}
	}); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, cdplog.Enable, struct{}{}); err != nil {
		t.Fatal(err)
	}
	b.do(before...)
	// The start address lets in once, and was used by site.in where that was
	// called: the browser goes on with the same cookie.
	address := s.start
	for _, c := range s.client.Jar.Cookies(mustURL(t, s.root)) {
		hidden := true
		if _, err := chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{
			Name: c.Name, Value: c.Value, URL: s.root, HTTPOnly: &hidden, SameSite: network.CookieSameSiteStrict,
		}); err != nil {
			t.Fatal(err)
		}
		address = s.root + "/"
	}
	b.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(address))
	return b
}

// The file that leads to the page does so in a browser, with the strict cookie,
// and the token is then in no address.
func TestTheFileLeadsToThePage(t *testing.T) {
	j := newJournal(t)
	add(t, j, record.Draft{Entry: entry.Job{Verb: "start", Number: "4412"}})
	s := open(t, Config{Journal: j, Parser: newParser(t)})
	path, remove, err := OpenFile(s.start)
	if err != nil {
		t.Fatal(err)
	}
	defer remove()
	led := *s
	led.start = "file://" + path
	b := newTab(t, &led)
	b.until("the page is there", `document.body.innerText.includes("4412")`)
	if at := eval[string](b, "location.href"); strings.Contains(at, "token") || !strings.HasPrefix(at, s.root) {
		t.Errorf("the browser is at %s", at)
	}
	if status, _ := s.get(strings.TrimPrefix(s.start, s.root)); status != http.StatusForbidden {
		t.Errorf("the start address again: %d", status)
	}
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// open goes to a page by its address.
func (b *tab) open(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.site.root + path))
}

// eval runs an expression in the page.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits until an expression is true.
func (b *tab) until(what, expression string) {
	b.t.Helper()
	end := time.Now().Add(15 * time.Second)
	for {
		// While a page is going away an expression may fail: ask the next one.
		v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression))
		if err == nil && v {
			return
		}
		if time.Now().After(end) {
			b.t.Fatalf("%s: never came true: %s (%v)\n%s", what, expression, err, eval[string](b, `document.body.innerText.slice(0, 3000)`))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// keys presses keys, one after the other.
func (b *tab) keys(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

// tabTo presses the tab key until the focus is on an element that matches.
func (b *tab) tabTo(selector string) {
	b.t.Helper()
	for range 400 {
		if eval[bool](b, fmt.Sprintf(`document.activeElement !== null && document.activeElement.matches(%q)`, selector)) {
			return
		}
		b.keys(kb.Tab)
	}
	b.t.Fatalf("the tab key does not reach %s", selector)
}

// enter presses the enter key on a link or a button and waits for its page.
func (b *tab) enter() {
	b.t.Helper()
	eval[bool](b, `document.documentElement.dataset.old = "yes", true`)
	b.keys(kb.Enter)
	b.until("the next page", `document.documentElement.dataset.old === undefined && document.readyState === "complete"`)
}

// replace types over what stands in the field that has the focus.
func (b *tab) replace(text string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	b.keys(text)
}

func (b *tab) text(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`(document.querySelector(%q) || {innerText: ""}).innerText`, selector))
}

// noScript turns the page's scripts off: everything has to work without them.
func noScript() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	})
}

// media sets the colour scheme.
func media(scheme string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
		})
		return err
	})
}

// pages are the pages that the tests of the look go through.
func pages() map[string]string {
	return map[string]string{
		"jobs": "/", "found": "/?q=quarry", "call": "/job/4412", "entries": "/job/4412/entries", "plan": "/job/4412/plan",
		"closeout": "/job/4412/closeout", "records": "/records",
	}
}

// TestWidths looks for anything that is wider than the screen. With
// DOWNLEAD_SHOTS naming a folder it leaves pictures there, to be looked at.
func TestWidths(t *testing.T) {
	s := halfwaySite(t)
	b := newTab(t, s)
	shots := os.Getenv("DOWNLEAD_SHOTS")
	for _, width := range []int64{360, 800, 1920} {
		for _, scheme := range []string{"light", "dark"} {
			if scheme == "dark" && shots == "" {
				continue // it moves nothing
			}
			b.do(chromedp.EmulateViewport(width, 900), media(scheme))
			for name, path := range pages() {
				b.open(path)
				if wide := eval[string](b, `(() => {
					const most = document.documentElement.clientWidth + 1;
					if (document.documentElement.scrollWidth <= most) return "";
					return [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > most).slice(0, 5)
						.map(e => e.tagName + "." + (e.className.baseVal ?? e.className) + " " + (e.textContent || "").trim().slice(0, 30)).join("; ") || "something";
				})()`); wide != "" {
					t.Errorf("%s at %d px is too wide: %s", name, width, wide)
				}
				if out := eval[string](b, `[...document.querySelectorAll("svg[role=img]")].flatMap(svg => {
					const box = svg.getBoundingClientRect();
					return [...svg.querySelectorAll("text")].filter(t => { const r = t.getBoundingClientRect(); return r.right > box.right + 2 || r.left < box.left - 2; }).map(t => t.textContent);
				}).join("; ")`); out != "" {
					t.Errorf("%s at %d px: words reach out of their figure: %s", name, width, out)
				}
				if shots != "" {
					png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
					if err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(filepath.Join(shots, fmt.Sprintf("%s-%d-%s.png", name, width, scheme)), png, 0o600); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
}

// TestPrints prints the call and looks at its text.
func TestPrints(t *testing.T) {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed: the printed page is not read (apt-get install poppler-utils)")
	}
	s := halfwaySite(t)
	b := newTab(t, s)
	b.open("/job/4412")
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPrintBackground()))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "call.pdf")
	if shots := os.Getenv("DOWNLEAD_SHOTS"); shots != "" {
		file = filepath.Join(shots, "call.pdf")
	}
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(reader, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Job 4412", "Ground block", "Level along the path", "Time line"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the printed page does not hold %q", want)
		}
	}
	for _, not := range []string{"Say it by typing", "Keep"} {
		if strings.Contains(string(text), not) {
			t.Errorf("the printed page holds %q, which cannot be used on paper", not)
		}
	}
}
