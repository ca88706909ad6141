package clitest

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// Calls keeps n closed calls of 20 entries in a new journal, eight a day, the
// last on the day before that of testEnv, and leaves one job open.
func Calls(b testing.TB, n int) (file string) {
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
