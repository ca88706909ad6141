package review

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/guard"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// ok stands for the pages: whatever reaches it got past the guard.
var ok = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
	if _, err := io.Copy(io.Discard, r.Body); err != nil {
		http.Error(w, err.Error(), http.StatusRequestEntityTooLarge)
	}
})

// TestGuard asks as strangers do. Each stranger is turned away by one guard
// alone: the request is right in every other way, so that the test fails when
// that guard is missing.
func TestGuard(t *testing.T) {
	g := &entrance{port: 4000, token: "token", secret: "secret"}
	tests := []struct {
		name   string
		method string
		target string
		host   string
		change func(r *http.Request)
		want   int
	}{
		{"the page itself", "GET", "/", "", nil, 200},
		{"by name", "GET", "/", "localhost:4000", nil, 200},
		{"a form of the page", "POST", "/job/1/say", "", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-origin") }, 200},

		// A site that has pointed its own name at 127.0.0.1 is same-origin to
		// the browser: only the name gives it away.
		{"rebound host reads", "GET", "/", "evil.example:4000", nil, 421},
		{"rebound host writes", "POST", "/job/1/say", "evil.example:4000", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-origin") }, 421},
		{"other port", "GET", "/", "127.0.0.1:4001", nil, 421},
		{"no port", "GET", "/", "127.0.0.1", nil, 421},
		{"host with a tail", "GET", "/", "127.0.0.1:4000.evil.example", nil, 421},
		{"rebound host with the token", "GET", "/start?token=token", "evil.example:4000", nil, 421},

		{"cross-site form", "POST", "/job/1/say", "", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"same-site form of another port", "POST", "/job/1/say", "", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		{"cross-origin form of an old browser", "POST", "/job/1/say", "", func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") }, 403},

		{"no cookie", "GET", "/", "", func(r *http.Request) { r.Header.Del("Cookie") }, 403},
		{"wrong cookie", "GET", "/", "", func(r *http.Request) { r.Header.Set("Cookie", "downlead-4000=secreT") }, 403},
		{"cookie of another run", "GET", "/", "", func(r *http.Request) { r.Header.Set("Cookie", "downlead-4001=secret") }, 403},
		{"token in place of the cookie", "GET", "/?token=token", "", func(r *http.Request) { r.Header.Del("Cookie") }, 403},
		{"no cookie for the style", "GET", "/static/style.css", "", func(r *http.Request) { r.Header.Del("Cookie") }, 403},

		{"start without a token", "GET", "/start", "", nil, 403},
		{"start with a wrong token", "GET", "/start?token=tokem", "", nil, 403},
		{"start with the token", "GET", "/start?token=token", "", func(r *http.Request) { r.Header.Del("Cookie") }, 303},
		{"start by a form", "POST", "/start?token=token", "", nil, 403},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest(tt.method, tt.target, nil)
			r.Host = "127.0.0.1:4000"
			if tt.host != "" {
				r.Host = tt.host
			}
			r.Header.Set("Cookie", "downlead-4000=secret")
			if tt.change != nil {
				tt.change(r)
			}
			w := httptest.NewRecorder()
			g.wrap(ok).ServeHTTP(w, r)
			if w.Code != tt.want {
				t.Errorf("status %d, want %d: %s", w.Code, tt.want, w.Body)
			}
			if csp := w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none';") || strings.Contains(csp, "unsafe") {
				t.Errorf("content security policy %q", csp)
			}
		})
	}
}

func TestStartGivesTheCookieAndHidesTheToken(t *testing.T) {
	g := &entrance{port: 4000, token: "token", secret: "secret"}
	r := httptest.NewRequest("GET", "/start?token=token", nil)
	r.Host = "127.0.0.1:4000"
	w := httptest.NewRecorder()
	g.wrap(ok).ServeHTTP(w, r)
	if got := w.Header().Get("Location"); got != "/" {
		t.Errorf("goes on to %q, want /", got)
	}
	cookies := w.Result().Cookies()
	if len(cookies) != 1 {
		t.Fatalf("got %d cookies, want 1", len(cookies))
	}
	c := cookies[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Value != "secret" || c.Domain != "" || c.MaxAge != 0 {
		t.Errorf("cookie %v: want HttpOnly, SameSite=Strict, of this host, for this sitting", c)
	}
}

func TestBodyLimits(t *testing.T) {
	g := &entrance{port: 4000, token: "token", secret: "secret"}
	tests := []struct {
		name, path string
		size       int
		chunked    bool // the length is not said before
		want       int
	}{
		{"a phrase", "/job/1/say", 2000, false, 200},
		{"too long a phrase", "/job/1/say", guard.FormLimit + 1, false, 413},
		{"too long a phrase, length not said", "/job/1/say", guard.FormLimit + 1, true, 413},
		{"a photograph", "/job/1/photographs", guard.FormLimit + 1, false, 200},
		{"too large a photograph", "/job/1/photographs", guard.PhotoLimit + 1, false, 413},
		{"too large a photograph, length not said", "/job/1/photographs", guard.PhotoLimit + 1, true, 413},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest("POST", tt.path, bytes.NewReader(make([]byte, tt.size)))
			r.Host = "127.0.0.1:4000"
			r.Header.Set("Cookie", "downlead-4000=secret")
			if tt.chunked {
				r.ContentLength = -1
			}
			w := httptest.NewRecorder()
			g.wrap(ok).ServeHTTP(w, r)
			if w.Code != tt.want {
				t.Errorf("status %d, want %d", w.Code, tt.want)
			}
		})
	}
}

// TestOversizedFormKeepsNothing sends a phrase over the limit to the page
// itself.
func TestOversizedFormKeepsNothing(t *testing.T) {
	s := demoSite(t, "close job")
	before := len(s.records("4412"))
	status, _ := s.post("/job/4412/say", url.Values{"phrase": {strings.Repeat("pass ", guard.FormLimit/5)}})
	if status != http.StatusRequestEntityTooLarge {
		t.Errorf("status %d, want 413", status)
	}
	if got := len(s.records("4412")); got != before {
		t.Errorf("%d entries, want %d", got, before)
	}
}

// TestSlowClients holds connections open as slowly as it can. Each limit has
// a client that only it gets rid of in time.
func TestSlowClients(t *testing.T) {
	const short = 300 * time.Millisecond
	s := openWith(t, Config{Journal: newJournal(t), Parser: newParser(t)}, guard.Limits{Header: short, Read: 10 * short, Write: short, Idle: short})
	host := strings.TrimPrefix(s.root, "http://")
	s.in()
	cookies := s.client.Jar.Cookies(mustURL(t, s.root))
	tests := []struct {
		name, send string
		within     time.Duration
	}{
		{"header never ends", "GET / HTTP/1.1\r\nHost: " + host + "\r\nX-Slow: ", 6 * short},
		{"body never comes", "POST /job/1/say HTTP/1.1\r\nHost: " + host + "\r\nCookie: " + cookies[0].String() + "\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\nphr", 40 * short},
		{"says nothing", "", 6 * short},
		{"says nothing more", "GET / HTTP/1.1\r\nHost: " + host + "\r\n\r\n", 6 * short},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			conn, err := net.Dial("tcp", host)
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			if _, err := io.WriteString(conn, tt.send); err != nil {
				t.Fatal(err)
			}
			if err := conn.SetReadDeadline(time.Now().Add(tt.within)); err != nil {
				t.Fatal(err)
			}
			if _, err := io.Copy(io.Discard, conn); err != nil {
				t.Errorf("the connection was not closed: %v", err)
			}
		})
	}
}

func mustURL(t testing.TB, s string) *url.URL {
	t.Helper()
	u, err := url.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// hostile are texts that would become markup if they were not escaped where
// they stand: in a text, in an attribute, in a figure's title.
var hostile = []string{
	`<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`,
	`' onmouseover='alert(1)`,
	`</title><svg onload=alert(1)>`,
	`{{.Base}} javascript:alert(1)`,
}

// TestScriptInANote stores hostile words wherever free words go, and looks
// for them as markup on every page.
func TestScriptInANote(t *testing.T) {
	j := newJournal(t)
	for i, bad := range hostile {
		for _, e := range []entry.Entry{
			entry.Note{Text: bad},
			entry.Site{Text: bad},
			entry.Job{Verb: "complaint", Text: bad},
			entry.Check{Check: "mount", Verdict: entry.Fail, Remark: bad},
			entry.Unparsed{Text: bad, Reason: bad},
			entry.Reading{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide, Room: bad}, Verdict: entry.Fail, Level: entry.NewDecimal(-61, 0)},
			entry.Photo{SHA256: strings.Repeat("0", 64), Name: bad, Remark: bad},
		} {
			if i == 0 && e.Kind() == entry.KindNote {
				add(t, j, record.Draft{Job: "4412", Entry: entry.Job{Verb: "start", Number: "4412"}})
			}
			// A file that is named must be there: photographs need their picture.
			if p, isPhoto := e.(entry.Photo); isPhoto {
				sum, err := j.PutPhoto(bytes.NewReader(picture(t)))
				if err != nil {
					t.Fatal(err)
				}
				p.SHA256 = sum
				e = p
			}
			add(t, j, record.Draft{Job: "4412", Phrase: bad, Entry: e})
		}
	}
	s := open(t, Config{Journal: j, Parser: newParser(t), Records: Records{Closeout: Record{
		Preview: func(context.Context, string) (string, error) { return strings.Join(hostile, "\n"), nil },
	}}}).in()
	for _, page := range []string{"/", "/?q=" + url.QueryEscape(hostile[1]), "/job/4412", "/job/4412/entries", "/job/4412/plan", "/job/4412/closeout"} {
		status, body := s.get(page)
		if status != http.StatusOK {
			t.Errorf("%s: status %d", page, status)
		}
		if !strings.Contains(body, "alert(1)") {
			t.Errorf("%s does not show the words at all, so it proves nothing", page)
		}
		for _, markup := range []string{"<script>alert", "<img src=x", "<svg onload", "' onmouseover='"} {
			if strings.Contains(body, markup) {
				t.Errorf("%s holds %q unescaped", page, markup)
			}
		}
	}
}

// TestPathTricks asks for what is not a page.
func TestPathTricks(t *testing.T) {
	s := demoSite(t, "close job")
	for _, path := range []string{
		"/static/../../../etc/passwd", "/static/%2e%2e/%2e%2e/review.go", "/static/..%2f..%2fserver.go", "//etc/passwd", "/static/", "/templates/call.html",
		"/job/4412/clip/..%2f..%2fjournal.db", "/job/4412/clip/" + strings.Repeat("0", 64), "/job/4412/photograph/..%2fjournal.db",
		"/job/..%2f4412", "/job/4412%00", "/job/" + strings.Repeat("9", 3000), "/job/4412/closeout/..%2fpdf", "/job/4412/entry/1",
	} {
		status, body := s.get(path)
		if status == http.StatusOK || status >= 500 {
			t.Errorf("%s: status %d: %.80s", path, status, body)
		}
		if strings.Contains(body, "root:") || strings.Contains(body, "package review") || strings.Contains(body, "SQLite format") {
			t.Errorf("%s gives a file away", path)
		}
	}
}

// TestReadingChangesNothing gets every page there is and compares the head of
// the journal.
func TestReadingChangesNothing(t *testing.T) {
	s := demoSite(t, "")
	ctx := context.Background()
	before, n, err := s.cfg.Journal.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{
		"/", "/?q=splitter&when=week", "/records", "/check?phrase=outlet+pass", "/job/4412", "/job/4412/entries?page=1", "/job/4412/plan",
		"/job/4412/closeout", "/job/4412/closeout/txt", "/job/4412/say?phrase=outlet+pass", "/job/4412/close?reason=x", "/job/4412/entry/3/scratch",
	} {
		s.get(path)
	}
	after, m, err := s.cfg.Journal.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if before != after || n != m {
		t.Errorf("the journal went from %d to %d entries by reading pages", n, m)
	}
}

// multipartForm is a form with a file in it.
func multipartForm(t testing.TB, name string, file []byte, fields map[string]string) (io.Reader, string) {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile("photo", name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := part.Write(file); err != nil {
		t.Fatal(err)
	}
	for k, v := range fields {
		if err := m.WriteField(k, v); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	return &b, m.FormDataContentType()
}

// The start address lets in once (OWASP, Session Management Cheat Sheet).
func TestTheStartAddressIsUsedOnce(t *testing.T) {
	e := &entrance{port: 4000, token: "token", secret: "secret"}
	pages := e.wrap(ok)
	ask := func(target, site string) *httptest.ResponseRecorder {
		r := httptest.NewRequest("GET", target, nil)
		r.Host = "127.0.0.1:4000"
		if site != "" {
			r.Header.Set("Sec-Fetch-Site", site)
		}
		w := httptest.NewRecorder()
		pages.ServeHTTP(w, r)
		return w
	}
	if w := ask("/start?token=wrong", ""); w.Code != 403 || len(w.Result().Cookies()) != 0 {
		t.Errorf("a wrong token: %d", w.Code)
	}
	if w := ask("/start?token=token", ""); w.Code != 303 || len(w.Result().Cookies()) != 1 {
		t.Errorf("the first time: %d", w.Code)
	}
	for range 2 {
		if w := ask("/start?token=token", ""); w.Code != 403 || len(w.Result().Cookies()) != 0 {
			t.Errorf("again: %d, cookies %v", w.Code, w.Result().Cookies())
		}
	}
	// Led there from a file, a page of ours must ask for the next one.
	e = &entrance{port: 4000, token: "token", secret: "secret"}
	pages = e.wrap(ok)
	if w := ask("/start?token=token", "cross-site"); w.Code != 200 || len(w.Result().Cookies()) != 1 || strings.Contains(w.Body.String(), "token") {
		t.Errorf("from the file: %d %s", w.Code, w.Body)
	}
}

// The page that leads to the start address is for its owner alone.
func TestOpenFile(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	path, remove, err := OpenFile("http://127.0.0.1:4000/start?token=T&x")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]os.FileMode{path: 0o600, filepath.Dir(path): 0o700} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	if b, _ := os.ReadFile(path); !strings.Contains(string(b), `url=http://127.0.0.1:4000/start?token=T&amp;x"`) {
		t.Errorf("the page is %s", b)
	}
	remove()
	if _, err := os.Stat(filepath.Dir(path)); err == nil {
		t.Error("it is still there")
	}
}
