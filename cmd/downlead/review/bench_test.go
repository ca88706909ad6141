package review

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// slowest is how long a page may take on a machine of two shared cores.
const slowest = 200 * time.Millisecond

// manyJobs fills a journal with closed jobs of a few entries each, the demo
// call last.
func manyJobs(t testing.TB, n int) *site {
	t.Helper()
	j, p := newJournal(t), newParser(t)
	at := clock().AddDate(-3, 0, 0)
	var drafts []record.Draft
	for i := range n {
		number := fmt.Sprint(10_000 + i)
		add := func(phrase string, e entry.Entry) {
			at = at.Add(time.Minute)
			drafts = append(drafts, record.Draft{Job: number, At: at, Origin: record.Typed, TimeSource: record.FromClock, Phrase: phrase, Entry: e})
		}
		add("start job "+number, entry.Job{Verb: "start", Number: number})
		add("", entry.Site{Text: fmt.Sprintf("%d quarry lane", i)})
		add("behind receiver one, fail, minus sixty", entry.Reading{Point: entry.Point{Element: entry.Receiver, Number: 1, Side: entry.DishSide}, Verdict: entry.Fail, Level: entry.NewDecimal(-60, 0)})
		add("replaced ground block", entry.Action{Action: "replaced", Element: entry.GroundBlock})
		add("close job", entry.Job{Verb: "close", Text: "customer had to leave"})
		if len(drafts) > 2000 || i == n-1 {
			if _, err := j.Append(context.Background(), drafts...); err != nil {
				t.Fatal(err)
			}
			drafts = drafts[:0]
		}
	}
	demo(t, j, p, "outlet pass")
	return open(t, Config{Journal: j, Parser: p, Records: realRecords(j)}).in()
}

// longJob is one job of many entries: the demo call, then readings by voice
// at its points, over and over, some corrected, some to be looked at.
func longJob(t testing.TB, n int) *site {
	t.Helper()
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "outlet pass")
	points := []entry.Reading{ // as the demo call leaves them
		{Point: entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}, Level: entry.NewDecimal(-36, 0)},
		{Point: entry.Point{Element: entry.GroundBlock, Side: entry.ReceiverSide}, Level: entry.NewDecimal(-37, 0)},
		{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide}, Level: entry.NewDecimal(-45, 0)},
		{Point: entry.Point{Element: entry.Receiver, Number: 1, Side: entry.DishSide}, Level: entry.NewDecimal(-46, 0)},
	}
	records, err := j.Job(context.Background(), "4412")
	if err != nil {
		t.Fatal(err)
	}
	var drafts []record.Draft
	for i := len(records); i < n; i++ {
		d := record.Draft{Job: "4412", At: clock().Add(time.Duration(i) * time.Second), Origin: record.Voice, TimeSource: record.FromClock, Heard: &record.Heard{Margin: 100_000_000, SNR: 3000}}
		d.Phrase = fmt.Sprintf("reading number %d", i)
		reading := points[i%len(points)]
		reading.Verdict = entry.Pass
		d.Entry = reading
		switch {
		case i%40 == 0:
			d.Heard.Margin = 300
		case i%20 == 0:
			d.Phrase, d.Entry = "scratch that", entry.Correction{Verb: "scratch", Count: 1}
		}
		drafts = append(drafts, d)
	}
	if _, err := j.Append(context.Background(), drafts...); err != nil {
		t.Fatal(err)
	}
	return open(t, Config{Journal: j, Parser: p, Records: realRecords(j)}).in()
}

// BenchmarkPage times a page from the request to its last byte. Cold is the
// first look after an entry came in, warm is every look after that.
func BenchmarkPage(b *testing.B) {
	for _, journal := range []struct {
		name  string
		make  func(testing.TB) *site
		pages []string
	}{
		{"jobs=10000", func(t testing.TB) *site { return manyJobs(t, 10_000) }, []string{"/", "/?page=200", "/?q=quarry", "/?q=9999+quarry", "/job/4412", "/job/10000"}},
		{"entries=2000", func(t testing.TB) *site { return longJob(t, 2_000) }, []string{"/", "/job/4412", "/job/4412/entries", "/job/4412/entries?page=1", "/job/4412/plan"}},
	} {
		b.Run(journal.name, func(b *testing.B) {
			s := journal.make(b)
			for _, page := range journal.pages {
				for _, state := range []string{"cold", "warm"} {
					b.Run("page="+strings.ReplaceAll(page, "/", "-")+"/"+state, func(b *testing.B) {
						b.ReportAllocs()
						for b.Loop() {
							if state == "cold" {
								b.StopTimer()
								add(b, s.cfg.Journal, oneMore())
								b.StartTimer()
							}
							if status, _ := s.get(page); status != http.StatusOK {
								b.Fatalf("status %d", status)
							}
						}
					})
				}
			}
		})
	}
}

func oneMore() record.Draft {
	return record.Draft{Phrase: "note one more", Entry: entry.Note{Text: "one more"}}
}

// TestPagesAreQuick holds the pages of a large journal and of a long job to
// their limit, the first look after a new entry included. One look in a few
// must keep it: the machine may have other things to do.
func TestPagesAreQuick(t *testing.T) {
	if os.Getenv("DOWNLEAD_LONG") == "" {
		t.Skip("times are measured on a quiet machine: make bench")
	}
	for name, c := range map[string]struct {
		site  *site
		pages []string
	}{
		"10,000 jobs":   {manyJobs(t, 10_000), []string{"/", "/?page=200", "/?q=quarry", "/job/4412"}},
		"2,000 entries": {longJob(t, 2_000), []string{"/job/4412", "/job/4412/entries", "/job/4412/plan"}},
	} {
		for _, page := range c.pages {
			best := time.Hour
			for tries := 0; tries < 3 || best > slowest && tries < 15; tries++ {
				add(t, c.site.cfg.Journal, oneMore())
				start := time.Now()
				if status, _ := c.site.get(page); status != http.StatusOK {
					t.Errorf("%s: %s: status %d", name, page, status)
				}
				best = min(best, time.Since(start))
			}
			if best > slowest {
				t.Errorf("%s: %s takes %v, want at most %v", name, page, best, slowest)
			}
			t.Logf("%s: %s: %v", name, page, best)
		}
	}
}
