package journal

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Run with DOWNLEAD_LONG=1 for the sizes that count (a million entries, which
// takes minutes to make): go test -run '^$' -bench . ./journal

// perJob is how many entries an invented job has here.
const perJob = 100

// fill makes a journal of jobs with perJob entries each and returns its path.
func fill(b *testing.B, jobs int) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "journal.db")
	j := mustOpen(b, path, Options{Create: true})
	var drafts []record.Draft
	for n := range jobs {
		drafts = append(drafts, benchJob(fmt.Sprint(10000+n))...)
		if len(drafts) >= 10*perJob || n == jobs-1 {
			mustAppend(b, j, drafts...)
			drafts = drafts[:0]
		}
	}
	if err := j.Close(); err != nil {
		b.Fatal(err)
	}
	return path
}

func benchJob(number string) []record.Draft {
	d := []record.Draft{start(number), {Job: number, Entry: entry.Site{Text: number + " Quarry Lane"}}}
	for i := len(d); i < perJob; i++ {
		switch {
		case i%20 == 0:
			d = append(d, record.Draft{Job: number, Entry: scratch(1, 0)})
		case i%7 == 0:
			d = append(d, note(number, "call before entering"))
		default:
			d = append(d, benchReading(number, int64(-40-i%15)))
		}
	}
	return d
}

func benchReading(job string, level int64) record.Draft {
	return record.Draft{
		Job: job, At: evening, Zone: "America/Chicago", Origin: record.Voice,
		Phrase: "ground block dish side pass minus forty one",
		Heard:  &record.Heard{Grammar: -1234, Ratio: -12, WorstWord: -987, Margin: 45, SNR: 21, At: 15000},
		Entry: entry.Reading{
			Point:   entry.Point{Element: entry.GroundBlock, Number: 1, Side: entry.DishSide},
			Verdict: entry.Pass, Level: entry.NewDecimal(level, 0), Assumed: []string{"sign"},
		},
	}
}

// BenchmarkAppend compares an append with a bare INSERT of the same text under
// the same settings, each with its own commit. The two take turns, on files of
// their own, because the disk's mood changes from second to second; their
// medians are compared. Goal: at most 1.25 times.
func BenchmarkAppend(b *testing.B) {
	j := mustOpen(b, filepath.Join(b.TempDir(), "journal.db"), Options{Create: true})
	r := mustAppend(b, j, start("1"), benchReading("1", -41))
	text, err := encode(2, &r[1].Draft)
	if err != nil {
		b.Fatal(err)
	}
	other := mustOpen(b, filepath.Join(b.TempDir(), "bare.db"), Options{Create: true})
	if _, err := other.conn.ExecContext(b.Context(), "CREATE TABLE bare (seq INTEGER PRIMARY KEY, body TEXT NOT NULL) STRICT"); err != nil {
		b.Fatal(err)
	}
	insert, err := other.conn.PrepareContext(b.Context(), "INSERT INTO bare (body) VALUES (?)")
	if err != nil {
		b.Fatal(err)
	}
	var bare, entry []time.Duration
	for b.Loop() {
		t := time.Now()
		if _, err := insert.Exec(string(text)); err != nil {
			b.Fatal(err)
		}
		bare = append(bare, time.Since(t))
		t = time.Now()
		mustAppend(b, j, benchReading("1", -41))
		entry = append(entry, time.Since(t))
	}
	slices.Sort(bare)
	slices.Sort(entry)
	b.ReportMetric(float64(bare[len(bare)/2].Microseconds()), "bare-µs")
	b.ReportMetric(float64(entry[len(entry)/2].Microseconds()), "entry-µs")
	b.ReportMetric(float64(entry[len(entry)/2])/float64(bare[len(bare)/2]), "ratio")
}

// BenchmarkVerify: goal above 200,000 entries a second over a million.
func BenchmarkVerify(b *testing.B) {
	jobs := pick(100, 10_000)
	path := fill(b, jobs)
	j := mustOpen(b, path, Options{})
	b.Run(fmt.Sprintf("entries=%d", jobs*perJob), func(b *testing.B) {
		for b.Loop() {
			if r := mustVerify(b, j, VerifyOptions{}); !r.OK || r.Records != int64(jobs*perJob) {
				b.Fatalf("%+v", r)
			}
		}
		b.ReportMetric(float64(jobs*perJob)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
	})
}

// BenchmarkOpenAppend: opening and appending one. Goal: a journal of a million
// entries within twice an empty one's time.
func BenchmarkOpenAppend(b *testing.B) {
	for _, jobs := range []int{1, pick(100, 10_000)} {
		path := fill(b, jobs)
		b.Run(fmt.Sprintf("entries=%d", jobs*perJob), func(b *testing.B) {
			for b.Loop() {
				j, err := Open(context.Background(), path, Options{})
				if err != nil {
					b.Fatal(err)
				}
				mustAppend(b, j, benchReading("10000", -41))
				if err := j.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkReplay: one job out of 10,000, read, checked and replayed. Goal:
// under 5 ms. BenchmarkJobs lists and searches the 10,000.
func BenchmarkReplay(b *testing.B) {
	jobs := pick(100, 10_000)
	j := mustOpen(b, fill(b, jobs), Options{ReadOnly: true})
	n := 0
	b.Run(fmt.Sprintf("jobs=%d", jobs), func(b *testing.B) {
		for b.Loop() {
			records, err := j.Job(b.Context(), fmt.Sprint(10000+n*7919%jobs))
			if err != nil || len(records) != perJob || len(record.Current(records)) == 0 {
				b.Fatal(len(records), err)
			}
			n++
		}
	})
	for name, q := range map[string]Query{
		"page": {Limit: 50},
		"text": {Text: "quarry 12345", Limit: 50},
		"all":  {Text: "ground block call", Limit: 50},
		"list": {},
	} {
		b.Run("search="+name, func(b *testing.B) {
			for b.Loop() {
				if _, err := j.Search(b.Context(), q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkView replays a job of thousands of entries, half of them corrections.
func BenchmarkView(b *testing.B) {
	var entries []any
	for i := range 5000 {
		entries = append(entries, at(-40), scratch(1+i%2, 0))
	}
	records := sequence(entries...)
	for b.Loop() {
		record.View(records)
	}
	b.ReportMetric(float64(len(records))*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}
