package journal

import (
	"errors"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// A job is handed on, whole, where one of its entries lies in the time, whose end
// is no part of it; jobs come in order of their numbers, and the first error ends it.
func TestFold(t *testing.T) {
	j, err := Open(t.Context(), filepath.Join(t.TempDir(), "journal.db"), Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	started := map[string]bool{}
	at := time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC)
	for _, d := range []struct {
		job   string
		hours int
	}{{"9", 0}, {"3", 1}, {"7", 2}, {"3", 3}, {"", 1}} {
		draft := record.Draft{Job: d.job, At: at.Add(time.Duration(d.hours) * time.Hour), Zone: "UTC", Entry: entry.Note{Text: "x"}}
		if d.job != "" && !started[d.job] {
			draft.Entry, started[d.job] = entry.Job{Verb: "start", Number: d.job}, true
		}
		if _, err := j.Append(t.Context(), draft); err != nil {
			t.Fatal(err)
		}
	}
	hour := func(n int) time.Time { return at.Add(time.Duration(n) * time.Hour) }
	for _, c := range []struct {
		from, to time.Time
		want     []string
	}{
		{time.Time{}, time.Time{}, []string{" 1", "3 2", "7 1", "9 1"}},
		{hour(0), hour(1), []string{"9 1"}},
		{hour(1), hour(2), []string{" 1", "3 2"}},
		{hour(2), hour(4), []string{"3 2", "7 1"}},
		{hour(4), time.Time{}, nil},
	} {
		got, err := Fold(t.Context(), j, c.from, c.to, func(job string, records []record.Record) (string, error) {
			return job + " " + string(rune('0'+len(records))), nil
		})
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%v to %v: %q, %v; want %q", c.from, c.to, got, err, c.want)
		}
	}
	full := errors.New("the disk is full")
	taken := 0
	err = FoldEach(t.Context(), j, time.Time{}, time.Time{}, func(job string, _ []record.Record) (string, error) { return job, nil }, func(string) error {
		if taken++; taken == 2 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) || taken != 2 {
		t.Errorf("%d taken, %v", taken, err)
	}
}
