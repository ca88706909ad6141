package review

import (
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	audio "downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/guard"
	"downlead/grammar"
	"downlead/journal"
	"downlead/journal/record"
)

// clock is the time of the tests: within the day of the demo call.
func clock() time.Time {
	return time.Date(2026, 11, 18, 11, 0, 0, 0, time.FixedZone("", -7*3600))
}

func newJournal(t testing.TB) *journal.Journal {
	t.Helper()
	return newJournalAt(t, filepath.Join(t.TempDir(), "journal.db"))
}

func newJournalAt(t testing.TB, path string) *journal.Journal {
	t.Helper()
	j, err := journal.Open(context.Background(), path, journal.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := j.Close(); err != nil {
			t.Error(err)
		}
	})
	return j
}

func newParser(t testing.TB) *grammar.Parser {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// demo says the phrases of the invented demo call, from the first to the one
// that begins with until, that one left out. "" means all of them.
func demo(t testing.TB, j *journal.Journal, p *grammar.Parser, until string) {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/demo/call.txt")
	if err != nil {
		t.Fatal(err)
	}
	s, err := dialogue.New(context.Background(), j, p, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		stamp, phrase, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok {
			continue
		}
		if until != "" && strings.HasPrefix(phrase, until) {
			return
		}
		at, err := time.Parse(time.RFC3339, stamp)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Hear(context.Background(), dialogue.Phrase{Text: phrase, At: at, TimeSource: record.FromGiven, Origin: record.Typed}); err != nil {
			t.Fatalf("%s: %v", phrase, err)
		}
	}
}

// add appends one entry to the demo job.
func add(t testing.TB, j *journal.Journal, d record.Draft) record.Record {
	t.Helper()
	if d.Job == "" {
		d.Job = "4412"
	}
	if d.At.IsZero() {
		d.At = clock()
	}
	if d.Origin == "" {
		d.Origin = record.Voice
	}
	if d.TimeSource == "" {
		d.TimeSource = record.FromClock
	}
	records, err := j.Append(context.Background(), d)
	if err != nil {
		t.Fatal(err)
	}
	return records[0]
}

// site is a running page and a browser's worth of cookies.
type site struct {
	t      testing.TB
	start  string // the address with the token
	root   string // the address without
	client *http.Client
	cfg    Config
}

// open serves a journal with the usual guard.Limits.
func open(t testing.TB, cfg Config) *site { return openWith(t, cfg, guard.UsualLimits()) }

func openWith(t testing.TB, cfg Config, l guard.Limits) *site {
	t.Helper()
	if cfg.Now == nil {
		cfg.Now = clock
	}
	ctx, cancel := context.WithCancel(context.Background())
	ready, done := make(chan string, 1), make(chan error, 1)
	go func() { done <- serve(ctx, cfg, l, func(u string) { ready <- u }) }()
	s := &site{t: t, cfg: cfg}
	select {
	case s.start = <-ready:
	case err := <-done:
		t.Fatal(err)
	}
	var once sync.Once
	t.Cleanup(func() {
		once.Do(func() {
			cancel()
			if err := <-done; err != nil {
				t.Errorf("Serve: %v", err)
			}
		})
	})
	u, err := url.Parse(s.start)
	if err != nil {
		t.Fatal(err)
	}
	s.root = "http://" + u.Host
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	s.client = &http.Client{Jar: jar, Timeout: 30 * time.Second}
	t.Cleanup(s.client.CloseIdleConnections)
	return s
}

// in opens the start address, as a browser does.
func (s *site) in() *site {
	s.t.Helper()
	if status, _ := s.get(strings.TrimPrefix(s.start, s.root)); status != http.StatusOK {
		s.t.Fatalf("start address: status %d", status)
	}
	return s
}

func (s *site) do(r *http.Request) (int, string) {
	s.t.Helper()
	resp, err := s.client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return resp.StatusCode, string(b)
}

func (s *site) request(method, path string, body io.Reader) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.root+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

func (s *site) get(path string) (int, string) {
	s.t.Helper()
	return s.do(s.request(http.MethodGet, path, nil))
}

// post sends a form as the page itself would: browsers say where it is from.
func (s *site) post(path string, form url.Values) (int, string) {
	s.t.Helper()
	r := s.request(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", s.root)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(r)
}

func (s *site) records(job string) []record.Record {
	s.t.Helper()
	records, err := s.cfg.Journal.Job(context.Background(), job)
	if err != nil {
		s.t.Fatal(err)
	}
	return records
}

// last is the seq that a form of the job would carry as seen.
func (s *site) last(job string) string {
	records := s.records(job)
	return strconv.FormatInt(records[len(records)-1].Seq, 10)
}

// sound is a second of a 440 Hz tone as a WAV file: something to play.
func sound(t testing.TB) []byte {
	t.Helper()
	samples := make([]int16, audio.Rate)
	for i := range samples {
		samples[i] = int16(8000 * tone(i))
	}
	return audio.WAV(samples)
}

// A week begins on Monday (ISO 8601, 2.2.8). The 18th of November 2026 is a
// Wednesday (week 47 of that year begins on the 16th).
func TestTheWeekBeginsOnMonday(t *testing.T) {
	monday := time.Date(2026, 11, 16, 0, 0, 0, 0, time.UTC)
	for day := range 7 {
		now := monday.AddDate(0, 0, day).Add(23 * time.Hour)
		s := &server{cfg: Config{Now: func() time.Time { return now }}}
		if got := s.beginning("week"); !got.Equal(monday) {
			t.Errorf("on %s it began on %s", now.Format("Monday 2"), got.Format("Monday 2"))
		}
		if got := s.beginning("today"); !got.Equal(now.Truncate(24 * time.Hour)) {
			t.Errorf("on %s today began at %s", now.Format("Monday 2"), got)
		}
	}
}
