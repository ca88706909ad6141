package review

import (
	"fmt"
	"html"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"

	"downlead/cmd/downlead/guard"
)

// policy lets the page load its own style, script, pictures and sound, talk
// to itself, and nothing else: no inline script runs, whatever a note says.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; media-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// entrance lets in who opened the start address. A page on loopback can be
// reached by every site that the same browser has open, so who asks must show
// the cookie, must name this machine as the host, and may change things only
// from the page itself.
type entrance struct {
	port   int
	token  string // in the start address
	secret string // in the cookie
	used   atomic.Bool
}

func (e *entrance) startURL() string {
	return fmt.Sprintf("http://127.0.0.1:%d/start?token=%s", e.port, url.QueryEscape(e.token))
}

// cookieName has the port in it because cookies are shared by all ports of a
// host: two open journals must not log each other out.
func (e *entrance) cookieName() string { return fmt.Sprintf("downlead-%d", e.port) }

func (e *entrance) wrap(pages http.Handler) http.Handler {
	p := strconv.Itoa(e.port)
	g := guard.Guard{
		Policy: policy,
		Hosts:  map[string]bool{"127.0.0.1:" + p: true, "localhost:" + p: true},
		Wrong:  "this page answers to 127.0.0.1 alone",
		Open: func(w http.ResponseWriter, r *http.Request) bool {
			if r.URL.Path != "/start" {
				return false
			}
			e.start(w, r)
			return true
		},
		Known: func(r *http.Request) bool {
			c, err := r.Cookie(e.cookieName())
			return err == nil && guard.Same(c.Value, e.secret)
		},
		Strange: func(w http.ResponseWriter, _ *http.Request) {
			http.Error(w, "open the address that 'downlead review' printed: it lets this browser in", http.StatusForbidden)
		},
	}
	return g.Wrap(pages)
}

// start trades the token for the cookie, once: an address that was seen in a
// history, a list of processes or a screenshot lets nobody in (OWASP, Session
// Management Cheat Sheet: no session identifier in an address; renew it).
func (e *entrance) start(w http.ResponseWriter, r *http.Request) {
	switch {
	case r.Method != http.MethodGet || !guard.Same(r.URL.Query().Get("token"), e.token):
		http.Error(w, "this address is of another run: open the one that 'downlead review' printed last", http.StatusForbidden)
		return
	case e.used.Swap(true):
		http.Error(w, fmt.Sprintf("this address was used, and lets in once: go on in that browser at http://127.0.0.1:%d/, or run 'downlead review' again", e.port), http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: e.cookieName(), Value: e.secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	if r.Header.Get("Sec-Fetch-Site") == "cross-site" {
		// From the file that OpenFile wrote: a browser sends a strict cookie with
		// a request only when one of our own pages asks for it (RFC 6265bis, 5.2).
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = io.WriteString(w, `<!DOCTYPE html><html lang="en"><title>downlead</title><link rel="icon" href="/static/icon.svg"><meta http-equiv="refresh" content="0; url=/"><p><a href="/">Go on</a></p></html>`)
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// OpenFile writes, into a new folder for its owner alone, a page that leads to
// an address. A browser is started with the page's name: arguments of programs
// are read by everyone on the machine. remove removes it.
func OpenFile(address string) (path string, remove func(), err error) {
	dir, err := os.MkdirTemp("", "downlead-review-*") // mode 0700
	if err != nil {
		return "", nil, err
	}
	remove = func() { os.RemoveAll(dir) }
	path = filepath.Join(dir, "open.html")
	a := html.EscapeString(address)
	page := `<!DOCTYPE html><html lang="en"><title>downlead</title><meta name="referrer" content="no-referrer"><meta http-equiv="refresh" content="0; url=` + a + `"><p><a href="` + a + `">Open the review page</a></p></html>`
	if err := os.WriteFile(path, []byte(page), 0o600); err != nil {
		remove()
		return "", nil, err
	}
	return path, remove, nil
}
