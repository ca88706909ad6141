package review

import (
	"crypto/subtle"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
)

// The largest bodies that are read, in bytes.
const (
	formLimit  = 64 << 10 // a phrase, a reason
	photoLimit = 24 << 20 // a photograph
)

// policy lets the page load its own style, script, pictures and sound, talk
// to itself, and nothing else: no inline script runs, whatever a note says.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; media-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard stands before every request. A page on loopback can be reached by
// every site that the same browser has open, so who asks must show the
// cookie, must name this machine as the host, and may change things only from
// the page itself.
type guard struct {
	port   int
	token  string // in the start address
	secret string // in the cookie
	hosts  map[string]bool
	cross  *http.CrossOriginProtection
}

func newGuard(port int, token, secret string) *guard {
	p := strconv.Itoa(port)
	return &guard{
		port: port, token: token, secret: secret,
		hosts: map[string]bool{"127.0.0.1:" + p: true, "localhost:" + p: true},
		cross: http.NewCrossOriginProtection(),
	}
}

func (g *guard) startURL() string {
	return fmt.Sprintf("http://127.0.0.1:%d/start?token=%s", g.port, url.QueryEscape(g.token))
}

// cookieName has the port in it because cookies are shared by all ports of a
// host: two open journals must not log each other out.
func (g *guard) cookieName() string { return fmt.Sprintf("downlead-%d", g.port) }

func (g *guard) wrap(pages http.Handler) http.Handler {
	changes := g.cross.Handler(limitBody(pages))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !g.hosts[strings.ToLower(r.Host)]:
			// A name that a stranger has pointed at this machine.
			http.Error(w, "this page answers to 127.0.0.1 alone", http.StatusMisdirectedRequest)
		case r.URL.Path == "/start":
			g.start(w, r)
		case !g.known(r):
			http.Error(w, "open the address that 'downlead review' printed: it lets this browser in", http.StatusForbidden)
		default:
			changes.ServeHTTP(w, r)
		}
	})
}

// start trades the token for the cookie. The token then leaves the address
// bar, so that it is in no screenshot.
func (g *guard) start(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet || !same(r.URL.Query().Get("token"), g.token) {
		http.Error(w, "this address is of another run: open the one that 'downlead review' printed last", http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: g.cookieName(), Value: g.secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (g *guard) known(r *http.Request) bool {
	c, err := r.Cookie(g.cookieName())
	return err == nil && same(c.Value, g.secret)
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

func limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		limit := int64(formLimit)
		if strings.HasSuffix(r.URL.Path, "/photographs") {
			limit = photoLimit
		}
		if r.ContentLength > limit {
			http.Error(w, "that is too large to be taken", http.StatusRequestEntityTooLarge)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
}
