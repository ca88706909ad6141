// Package guard stands before the pages that the program serves: the review
// page on this machine, the phone's page on the local network.
//
// It knows nothing of what is on them. A page says under which names it is
// reached, whose cookie is good, and what may be seen without one; all else is
// refused here, the same for both.
package guard

import (
	"crypto/subtle"
	"net/http"
	"strings"
)

// FormLimit is the largest body, in bytes, of a request that is no upload: a
// phrase, a reason.
const FormLimit = 64 << 10

// PhotoLimit is the largest photograph that is taken, in bytes.
const PhotoLimit = 24 << 20

// Guard is what a page lets in.
type Guard struct {
	Policy string          // the Content-Security-Policy of every answer
	Hosts  map[string]bool // names and ports that the page is reached under, in lower case
	Wrong  string          // told to who names another host

	// Open answers what may be asked for without the cookie, and says whether
	// it did.
	Open func(w http.ResponseWriter, r *http.Request) bool
	// Known reports whether a request shows a good cookie; Strange is told to
	// who shows none.
	Known   func(r *http.Request) bool
	Strange func(w http.ResponseWriter, r *http.Request)
}

// Wrap puts the guard before pages.
func (g *Guard) Wrap(pages http.Handler) http.Handler {
	changes := http.NewCrossOriginProtection().Handler(limitBody(pages))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", g.Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !g.Hosts[strings.ToLower(r.Host)]:
			// A name that a stranger has pointed at this machine.
			http.Error(w, g.Wrong, http.StatusMisdirectedRequest)
		case g.Open != nil && g.Open(w, r):
		case !g.Known(r):
			g.Strange(w, r)
		default:
			changes.ServeHTTP(w, r)
		}
	})
}

// Same compares two secrets in a time that tells nothing of them.
func Same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// limitBody refuses a body that is larger than its page takes.
func limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		limit := int64(FormLimit)
		if strings.HasSuffix(r.URL.Path, "/photographs") {
			limit = PhotoLimit
		}
		if r.ContentLength > limit {
			http.Error(w, "that is too large to be taken", http.StatusRequestEntityTooLarge)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
}
