package review

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"

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

// start trades the token for the cookie. The token then leaves the address
// bar, so that it is in no screenshot.
func (e *entrance) start(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet || !guard.Same(r.URL.Query().Get("token"), e.token) {
		http.Error(w, "this address is of another run: open the one that 'downlead review' printed last", http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: e.cookieName(), Value: e.secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
