package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// calls keeps n closed calls of 20 entries in a new journal, eight a day, the
// last on the day before that of testEnv, and leaves one job open.
func calls(b testing.TB, n int) (file string) {
	b.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	type step struct {
		phrase string
		said   []entry.Entry
	}
	var steps []step
	for _, phrase := range []string{
		"on the road", "arrived", "threshold seventy five",
		"path dish, L N B, fifty feet, ground block, thirty feet, wall plate, six foot jumper, receiver one",
		"behind receiver one, fail, minus sixty eight", "wall plate receiver side, fail, minus sixty",
		"ground block receiver side, fail, minus fifty one", "ground block dish side, pass, minus thirty six",
		"replaced ground block", "used two fittings", "behind receiver one, pass, minus forty six",
		"outlet pass", "input test pass receiver one", "dish pass", "mount pass", "cabling pass", "education done", "leaving",
	} {
		said, err := p.Parse(phrase)
		if err != nil {
			b.Fatal(err)
		}
		steps = append(steps, step{phrase, said})
	}
	file = filepath.Join(b.TempDir(), "journal.db")
	now := func() time.Time { return time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC) }
	j, err := journal.Open(context.Background(), file, journal.Options{Create: true, Now: now})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	first := time.Date(2026, 11, 18, 8, 0, 0, 0, time.UTC).AddDate(0, 0, -(n+7)/8)
	for day := 0; day*8 < n; day++ {
		var drafts []record.Draft
		for i := day * 8; i < min(n, day*8+8); i++ {
			at, number := first.AddDate(0, 0, day).Add(time.Duration(i%8)*time.Hour), fmt.Sprint(10_000+i)
			keep := func(phrase string, e entry.Entry) {
				at = at.Add(2 * time.Minute)
				drafts = append(drafts, record.Draft{Job: number, At: at, Zone: "UTC", Origin: record.Typed, TimeSource: record.FromClock, Phrase: phrase, Entry: e})
			}
			keep("start job "+number, entry.Job{Verb: "start", Number: number})
			for _, s := range steps {
				for _, e := range s.said {
					keep(s.phrase, e)
				}
			}
			keep("close job", entry.Job{Verb: "close", Text: "customer had to leave"})
		}
		if _, err := j.Append(context.Background(), drafts...); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := j.Append(context.Background(), record.Draft{Job: "4412", At: now(), Zone: "UTC", Origin: record.Typed, TimeSource: record.FromClock, Phrase: "start job 4412", Entry: entry.Job{Verb: "start", Number: "4412"}}); err != nil {
		b.Fatal(err)
	}
	return file
}

// BenchmarkCommands times whole commands over journals of 100, 1,000 and 10,000
// closed calls: the cost is to be linear in the jobs, and in nothing more.
func BenchmarkCommands(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		file := calls(b, n)
		for _, line := range []string{
			"pay --week 2026-W46", "quality --month 2026-11", "export --parquet OUT --force", "job", "job show 10050", "diagnose", "say what next",
			"say ground block dish side, pass, minus thirty six",
		} {
			b.Run(fmt.Sprintf("%s/jobs=%d", strings.ReplaceAll(line, " ", "_"), n), func(b *testing.B) {
				e, out, errs := testEnv(b, "")
				rates := filepath.Join(b.TempDir(), "rates.toml")
				if code := run(b.Context(), e, []string{"pay", "--example"}); code != exitDone {
					b.Fatal(errs)
				}
				if err := os.WriteFile(rates, out.Bytes(), 0o600); err != nil {
					b.Fatal(err)
				}
				args := strings.Fields(strings.ReplaceAll(line, "OUT", filepath.Join(b.TempDir(), "all.parquet")))
				args = append(args, "--journal", file)
				if args[0] == "pay" {
					args = append(args, "--rates", rates)
				}
				for b.Loop() {
					out.Reset()
					if code := run(b.Context(), e, args); code != exitDone {
						b.Fatalf("exit code %d: %s", code, errs)
					}
				}
			})
		}
	}
}
