package review

import (
	"crypto/rand"
	"net/http"
	"strings"
	"sync"
)

// flashes are what forms told, kept until the page after them is shown. A
// change answers with a redirect, so that loading a page again repeats
// nothing, and the words cross it here: in the address they would be in every
// history.
type flashes struct {
	mu    sync.Mutex
	texts map[string]string
	order []string
}

// flashesKept is how many are kept: one for every tab that may be between a
// form and its page.
const flashesKept = 64

func (f *flashes) add(text string) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.texts == nil {
		f.texts = map[string]string{}
	}
	if len(f.order) >= flashesKept {
		delete(f.texts, f.order[0])
		f.order = f.order[1:]
	}
	id := rand.Text()
	f.texts[id] = text
	f.order = append(f.order, id)
	return id
}

func (f *flashes) text(id string) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.texts[id]
}

// back sends the browser to a page after a change, with words about it.
func (s *server) back(w http.ResponseWriter, r *http.Request, where, text string) error {
	join := "?"
	if strings.Contains(where, "?") {
		join = "&"
	}
	http.Redirect(w, r, where+join+"told="+s.flashes.add(text), http.StatusSeeOther)
	return nil
}
