package review

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"

	"downlead/cmd/downlead/guard"
)

// Tour is a walk through a call on its page, phrase by phrase. Each step has a
// journal of its own, as a journal cannot go back.
type Tour struct {
	Steps int
	First int // the step that is shown first; 0 means 1
	// Step returns what the page shows after the first n phrases, n from 1 to
	// Steps. It is asked once for each n, and never for one before the last.
	Step func(ctx context.Context, n int) (Config, error)
}

// TourStep is where a tour stands: the phrase that was said last, and what was
// answered.
type TourStep struct {
	N, Of  int
	At     string // the call's own time
	Said   string
	Answer string
	Job    string // the job's number
}

// ServeTour serves the pages of a tour as Serve does those of a journal, with
// the same guards.
func ServeTour(ctx context.Context, t Tour, ready func(url string)) error {
	s := &tourServer{tour: t}
	if _, err := s.at(ctx, t.First); err != nil {
		return err
	}
	defer func() {
		for _, step := range s.built {
			step.working.Wait()
		}
	}()
	return serveOn(ctx, guard.UsualLimits(), ready, s)
}

// tourServer shows one step at a time.
type tourServer struct {
	tour Tour

	mu    sync.Mutex
	now   int // the step that is shown, from 1
	built []*server
	pages []http.Handler
}

// at goes to a step, and builds those that are not there yet.
func (s *tourServer) at(ctx context.Context, n int) (*server, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	n = max(1, min(n, s.tour.Steps))
	for len(s.built) < n {
		cfg, err := s.tour.Step(context.WithoutCancel(ctx), len(s.built)+1)
		if err != nil {
			return nil, err
		}
		if cfg, err = cfg.checked(); err != nil {
			return nil, err
		}
		pages, err := loadPages()
		if err != nil {
			return nil, err
		}
		step := newServer(cfg, pages)
		s.built, s.pages = append(s.built, step), append(s.pages, step.routes())
	}
	s.now = n
	return s.built[n-1], nil
}

// ServeHTTP answers a step to another place of the call, and hands everything
// else to the step that is shown.
func (s *tourServer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	step, pages := s.built[s.now-1], s.pages[s.now-1]
	s.mu.Unlock()
	switch {
	case r.Method == http.MethodPost && r.URL.Path == "/tour":
		step.page(s.move).ServeHTTP(w, r)
	case r.Method == http.MethodGet && r.URL.Path == "/": // there is one job
		http.Redirect(w, r, base(step.cfg.Tour.Job), http.StatusSeeOther)
	default:
		pages.ServeHTTP(w, r)
	}
}

// move goes to the step that was asked for, and back to the page that asked.
func (s *tourServer) move(w http.ResponseWriter, r *http.Request) error {
	n, err := strconv.Atoi(r.FormValue("to"))
	if err != nil {
		return failure{status: http.StatusBadRequest, title: "No such step", text: fmt.Sprintf("A step of the tour is a number from 1 to %d.", s.tour.Steps)}
	}
	step, err := s.at(r.Context(), n)
	if err != nil {
		return err
	}
	where := base(step.cfg.Tour.Job)
	if u, err := url.Parse(r.Header.Get("Referer")); err == nil && u.Host == r.Host && strings.HasPrefix(u.Path, where) {
		where = u.EscapedPath()
	}
	http.Redirect(w, r, where+"#tour", http.StatusSeeOther)
	return nil
}
