package review

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"runtime/debug"
	"sync"

	"downlead/export/figure"
	"downlead/journal"
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed static/style.css static/page.js static/icon.svg
var staticFiles embed.FS

func loadPages() (*template.Template, error) {
	pages, err := template.New("").Funcs(template.FuncMap{
		"minus": func(a, b int) int { return a - b }, "glyph": figure.Glyph,
	}).ParseFS(templateFiles, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("read the page's templates: %w", err)
	}
	return pages, nil
}

// server holds what the handlers share.
type server struct {
	cfg   Config
	pages *template.Template

	flashes flashes
	deeds   sync.Mutex // held from looking at an entry to correcting it: two tabs must not both find it untouched

	mu      sync.Mutex
	facts   map[string]*facts      // by job, as last read
	known   map[string]*conclusion // by job, as last begun
	lacks   map[string]lacking     // by job, for the list
	working sync.WaitGroup         // conclusions under way
}

func newServer(cfg Config, pages *template.Template) *server {
	return &server{cfg: cfg, pages: pages, facts: map[string]*facts{}, known: map[string]*conclusion{}, lacks: map[string]lacking{}}
}

// handler is a page or a deed that may fail.
type handler func(w http.ResponseWriter, r *http.Request) error

func (s *server) routes() http.Handler {
	mux := http.NewServeMux()
	for pattern, h := range map[string]handler{
		"GET /{$}":                              s.jobsPage,
		"GET /records":                          s.recordsPage,
		"POST /records/{record}":                s.saveRecord,
		"GET /check":                            s.checkPhrase,
		"GET /job/{job}":                        s.callPage,
		"GET /job/{job}/entries":                s.entriesPage,
		"GET /job/{job}/plan":                   s.planPage,
		"GET /job/{job}/closeout":               s.closeoutPage,
		"GET /job/{job}/closeout/{format}":      s.showCloseout,
		"POST /job/{job}/closeout":              s.saveCloseout,
		"GET /job/{job}/live":                   s.live,
		"GET /job/{job}/clip/{sum}":             s.clip,
		"GET /job/{job}/photograph/{sum}":       s.photograph,
		"POST /job/{job}/photographs":           s.attach,
		"POST /job/{job}/say":                   s.say,
		"POST /job/{job}/tick":                  s.tick,
		"POST /job/{job}/close":                 s.closeJob,
		"POST /job/{job}/reopen":                s.reopenJob,
		"POST /job/{job}/entry/{entry}":         s.correct,
		"POST /job/{job}/entry/{entry}/confirm": s.confirm,
		"POST /job/{job}/entry/{entry}/scratch": s.scratch,
	} {
		mux.Handle(pattern, s.page(h))
	}
	if s.cfg.Pair != nil {
		mux.Handle("GET /phone", s.page(s.phonePage))
		mux.Handle("POST /phone", s.page(s.invitePhone))
	}
	mux.HandleFunc("GET /static/{file}", func(w http.ResponseWriter, r *http.Request) {
		http.ServeFileFS(w, r, staticFiles, "static/"+r.PathValue("file"))
	})
	return mux
}

// failure is an error with the page that tells of it.
type failure struct {
	status int
	title  string
	text   string
	kept   string // what was typed, so that it is not lost
}

func (f failure) Error() string { return f.text }

func (s *server) page(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := s.guarded(h, w, r)
		if err == nil {
			return
		}
		f := failure{status: http.StatusInternalServerError, title: "That did not work", text: err.Error()}
		var tooLarge *http.MaxBytesError
		switch {
		case errors.As(err, &f):
		case errors.As(err, &tooLarge):
			f.status, f.title, f.text = http.StatusRequestEntityTooLarge, "That is too large", fmt.Sprintf("At most %d kB are taken here.", tooLarge.Limit>>10)
		case errors.Is(err, journal.ErrNoJob):
			f.status, f.title, f.text = http.StatusNotFound, "No such job", "The journal has no job of that number."
		case errors.Is(err, journal.ErrBusy):
			f.status, f.title, f.text = http.StatusServiceUnavailable, "The journal is busy", "Another program is writing. Nothing was kept; try again."
		case errors.Is(err, journal.ErrClosed):
			f.status, f.title, f.text = http.StatusConflict, "The job is closed", "It was closed meanwhile. Reopen it under Plan, with the reason."
		case r.Context().Err() != nil:
			return // nobody is there to be told
		}
		back := r.Header.Get("Referer")
		if u, err := url.Parse(back); err != nil || u.Host != r.Host {
			back = "/"
		} else {
			back = u.RequestURI()
		}
		_ = s.render(w, f.status, "error", struct {
			head
			Message, Kept, Back string
		}{s.head(f.title, ""), f.text, f.kept, back})
	})
}

// guarded turns a page's panic into an error: the last guard.
func (s *server) guarded(h handler, w http.ResponseWriter, r *http.Request) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = s.failed(p)
		}
	}()
	return h(w, r)
}

// failed hands a panic on to whoever keeps reports of them.
func (s *server) failed(p any) error {
	where := ""
	if s.cfg.Crashed != nil {
		where = " " + s.cfg.Crashed(p, debug.Stack())
	}
	return errors.New("The program itself failed here; what was acknowledged is kept." + where) //nolint:staticcheck // a sentence of the page
}

// head is what every page has.
type head struct {
	Title      string
	Here       string // "jobs", "records", "phone" or ""
	HasRecords bool
	HasPhone   bool
	Tour       *TourStep
	Again      string // the address at which there will be more to see in a moment; ""
}

func (s *server) head(title, here string) head {
	r := s.cfg.Records
	return head{Title: title, Here: here, HasRecords: r.Pay.Preview != nil || r.Quality.Preview != nil, HasPhone: s.cfg.Pair != nil, Tour: s.cfg.Tour}
}

// render writes a page whole or not at all.
func (s *server) render(w http.ResponseWriter, status int, name string, data any) error {
	var b bytes.Buffer
	if err := s.pages.ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // a reader that is gone needs nothing
	return nil
}

// base is the address of a job's page.
func base(number string) string { return "/job/" + url.PathEscape(number) }
