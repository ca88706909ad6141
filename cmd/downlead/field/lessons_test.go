package field

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/cmd/downlead/clitest"
	"downlead/diagnose/fault"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// What is kept between two commands is what the jobs teach when they are read
// again: after a correction, too, and where the file is damaged.
func TestLessonsAreThoseOfTheJobs(t *testing.T) {
	ctx := t.Context()
	e, _, _ := clitest.Env(t, "")
	j, err := journal.Open(ctx, clitest.Calls(t, 9), journal.Options{Now: e.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	check := func(when, but string, want int) {
		t.Helper()
		got, err := lessons(ctx, e, j, but)
		if err != nil {
			t.Fatal(err)
		}
		jobs, err := j.Jobs(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var fresh []fault.Lesson
		for _, s := range jobs {
			records, err := j.Job(ctx, s.Number)
			if err != nil {
				t.Fatal(err)
			}
			if !s.Open && s.Number != but {
				fresh = append(fresh, fault.LessonOf(records))
			}
		}
		if d := cmp.Diff(fresh, got); d != "" {
			t.Errorf("%s: -read again, +kept:\n%s", when, d)
		}
		if n := len(slices.DeleteFunc(got, func(l fault.Lesson) bool { return len(l.Found) == 0 })); n != want {
			t.Errorf("%s: %d jobs prove a fault, want %d", when, n, want)
		}
	}
	check("at first", "4412", 9)
	check("from the file", "4412", 9)
	check("but one", "10003", 8)
	records, err := j.Job(ctx, "10004")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		if _, ok := r.Entry.(entry.Action); ok {
			_, err = j.Append(ctx, record.Draft{Job: "10004", At: time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC), Origin: record.Typed, TimeSource: record.FromClock, Entry: entry.Correction{Verb: "scratch", Entry: r.Seq}})
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	check("after a correction", "4412", 8)
	kept, err := filepath.Glob(filepath.Join(e.Folder("XDG_CACHE_HOME", ".cache"), "*"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, error %v", kept, err)
	}
	if err := os.WriteFile(kept[0], []byte("{half"), 0o600); err != nil {
		t.Fatal(err)
	}
	check("from a damaged file", "4412", 8)
	check("from the file made anew", "4412", 8)
}
