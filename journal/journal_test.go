package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// All data of these tests is invented.

var evening = time.Date(2026, 11, 20, 18, 0, 0, 0, time.UTC)

// ticking is a clock that moves one second at each look.
func ticking() func() time.Time {
	var looks atomic.Int64
	return func() time.Time { return evening.Add(time.Duration(looks.Add(1)) * time.Second) }
}

func openTemp(t testing.TB) (*Journal, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "data", "journal.db")
	return mustOpen(t, path, Options{Create: true, Now: ticking()}), path
}

func mustOpen(t testing.TB, path string, o Options) *Journal {
	t.Helper()
	j, err := Open(t.Context(), path, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

func mustAppend(t testing.TB, j *Journal, drafts ...record.Draft) []record.Record {
	t.Helper()
	records, err := j.Append(t.Context(), drafts...)
	if err != nil {
		t.Fatal(err)
	}
	return records
}

func start(job string) record.Draft {
	return record.Draft{Entry: entry.Job{Verb: "start", Number: job}}
}

func note(job, text string) record.Draft {
	return record.Draft{Job: job, Phrase: "note " + text, Entry: entry.Note{Text: text}}
}

func reading(job string, level int64) record.Draft {
	return record.Draft{Job: job, Phrase: "ground block dish side", Entry: entry.Reading{
		Point: entry.Point{Element: entry.GroundBlock, Side: entry.DishSide},
		Level: entry.NewDecimal(level, 0),
	}}
}

var decimals = cmp.AllowUnexported(entry.Decimal{})

func TestWhatIsAppendedIsReadBack(t *testing.T) {
	j, path := openTemp(t)
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	full := reading("4412", -41)
	full.At = time.Date(2026, 11, 20, 12, 30, 0, 123_456_789, chicago)
	full.TimeSource, full.Origin = record.FromRecording, record.Voice
	full.Heard = &record.Heard{Grammar: -1234, Ratio: -5, WorstWord: -900, Margin: 40, SNR: 21, At: 1500}
	full.Unconfirmed = true
	stored := mustAppend(t, j, start("4412"), full, note("4412", "<dog> & \u2028 cat \x00 é"))
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	j = mustOpen(t, path, Options{})
	got, err := j.Job(t.Context(), "4412")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(stored, got, decimals); d != "" {
		t.Errorf("read back (-stored +read):\n%s", d)
	}
	if want := "2026-11-20T12:30:00.123-06:00"; got[1].At.Format("2006-01-02T15:04:05.000Z07:00") != want || got[1].Zone != "America/Chicago" {
		t.Errorf("time %v in %q, want %s", got[1].At, got[1].Zone, want)
	}
	head, n, err := j.Head(t.Context())
	if err != nil || n != 3 || head != stored[2].Hash {
		t.Errorf("Head() = %v, %d, %v", head, n, err)
	}
}

func TestJobs(t *testing.T) {
	j, _ := openTemp(t)
	ctx := t.Context()
	refused := func(want error, d record.Draft) {
		t.Helper()
		_, n, _ := j.Head(ctx)
		if _, err := j.Append(ctx, d); !errors.Is(err, want) {
			t.Errorf("Append(%v) = %v, want %v", d.Entry, err, want)
		}
		if _, after, _ := j.Head(ctx); after != n {
			t.Errorf("refused append of %v left %d records, not %d", d.Entry, after, n)
		}
	}
	current := func(want string) {
		t.Helper()
		if got, err := j.CurrentJob(ctx); got != want || (want == "") != errors.Is(err, ErrNoJob) {
			t.Errorf("CurrentJob() = %q, %v; want %q", got, err, want)
		}
	}
	job := func(number, verb, text string) record.Draft {
		return record.Draft{Job: number, Entry: entry.Job{Verb: verb, Text: text}}
	}
	current("")
	refused(ErrNoJob, reading("1", -40))
	refused(ErrNoJob, job("1", "close", ""))
	refused(ErrNoJob, job("", "start", ""))
	mustAppend(t, j, start("1"), start("2"))
	current("2")
	mustAppend(t, j, start("1"))
	current("1")
	mustAppend(t, j, record.Draft{Job: "1", Entry: entry.Site{Text: "12 Quarry Lane"}}, job("1", "close", "done"))
	current("2")
	refused(ErrClosed, start("1"))
	refused(ErrClosed, job("1", "close", ""))
	mustAppend(t, j, job("1", "reopen", "still fails in rain"))
	current("1")
	mustAppend(t, j, job("1", "close", ""), job("2", "close", ""))
	current("")
	list, err := j.Jobs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || list[0].Number != "2" || list[1].Number != "1" || list[1].Count != 6 || list[1].Open || list[1].Site != "12 Quarry Lane" || list[1].Closed.IsZero() {
		t.Errorf("Jobs() = %+v", list)
	}
	mustAppend(t, j, start("3"), record.Draft{Job: "3", Entry: entry.Site{Text: "12, QUARRY LN."}})
	if at, err := j.AtSite(ctx, list[1].SiteKey); err != nil || len(at) != 2 || at[0].Number != "3" {
		t.Errorf("AtSite(%q) = %+v, %v", list[1].SiteKey, at, err)
	}
}

// What was done to a job by a phrase that had to be confirmed holds from its
// confirmation on, and not if that is undone.
func TestUnconfirmedStartAndClose(t *testing.T) {
	j, _ := openTemp(t)
	confirm := func(job string, seq int64) record.Draft {
		return record.Draft{Job: job, Entry: entry.Correction{Verb: "confirm", Entry: seq}}
	}
	unsure := func(job, verb string) record.Draft {
		return record.Draft{Job: job, Unconfirmed: true, Entry: entry.Job{Verb: verb, Number: job}}
	}
	for i, c := range []struct {
		draft   record.Draft
		current string
		open    string // the open jobs
	}{
		{start("1"), "1", "1"},
		{unsure("2", "start"), "1", "2 1"},
		{note("2", "x"), "1", "2 1"},
		{confirm("2", 2), "2", "2 1"},
		{unsure("2", "close"), "2", "2 1"},
		{confirm("2", 0), "1", "1"},
		{record.Draft{Job: "2", Entry: scratch(0, 6)}, "2", "2 1"},
		{confirm("2", 5), "1", "1"},
		{unsure("1", "close"), "1", "1"},
		{record.Draft{Job: "1", Entry: scratch(0, 9)}, "1", "1"},
		{confirm("1", 9), "1", "1"},
		{unsure("2", "reopen"), "1", "1"},
		{confirm("2", 12), "2", "2 1"},
	} {
		mustAppend(t, j, c.draft)
		current, err := j.CurrentJob(t.Context())
		list, err2 := j.Search(t.Context(), Query{Open: true})
		if err := errors.Join(err, err2); err != nil {
			t.Fatal(err)
		}
		if current != c.current || numbers(list) != c.open {
			t.Errorf("after entry %d, %+v: current %s, open %s; want %s, %s", i+1, c.draft.Entry, current, numbers(list), c.current, c.open)
		}
		if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
			t.Errorf("after entry %d: %+v", i+1, r)
		}
	}
	if err := j.Redraw(t.Context()); err != nil {
		t.Fatal(err)
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
		t.Errorf("redrawn: %+v", r)
	}
}

// Whatever is said, the table of jobs kept on the way is the one that verify
// draws from the records.
func TestTheListOfJobsFollows(t *testing.T) {
	for seed := range uint64(pick(25, 500)) {
		random := rand.New(rand.NewPCG(seed, 2))
		j, _ := openTemp(t)
		mustAppend(t, j, start("1"))
		seq := int64(1)
		for range 20 {
			d := randomRecord(random, seq+1).Draft
			d.Job = "1"
			switch random.IntN(8) {
			case 0:
				d.Entry = entry.Site{Text: fmt.Sprint(seq, " Quarry Lane")}
			case 1:
				d.Entry = entry.Job{Verb: []string{"start", "close", "reopen", "complaint"}[random.IntN(4)], Number: "1"}
			}
			if r, err := j.Append(t.Context(), d); err == nil {
				seq = r[0].Seq
			}
		}
		if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
			records, _ := j.Job(t.Context(), "1")
			for _, r := range records {
				t.Logf("%d unconfirmed=%v %+v", r.Seq, r.Unconfirmed, r.Entry)
			}
			t.Fatalf("seed %d: %+v", seed, r)
		}
		j.Close()
	}
}

func TestAppendIsAllOrNothing(t *testing.T) {
	j, _ := openTemp(t)
	for _, steers := range []entry.Entry{entry.Control{Verb: "pause"}, entry.Answer{Yes: true}} {
		_, err := j.Append(t.Context(), start("7"), note("7", "one"), record.Draft{Job: "7", Entry: steers})
		if err == nil {
			t.Fatalf("a %s was stored", steers.Kind())
		}
		if _, n, _ := j.Head(t.Context()); n != 0 {
			t.Errorf("%d records are left of a refused append", n)
		}
	}
}

func TestCorrectionsThatAreRefused(t *testing.T) {
	j, _ := openTemp(t)
	mustAppend(t, j, start("1"), note("1", "a"), start("2"))
	for _, c := range []entry.Correction{
		{Verb: "scratch", Entry: 3}, // another job's
		{Verb: "scratch", Entry: 99},
		{Verb: "scratch", Entry: -1},
		{Verb: "forget"},
		{},
		{Verb: "change", Replace: []entry.Entry{entry.Note{Text: "b"}}},
		{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Correction{Verb: "scratch"}}},
		{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Job{Verb: "close"}}},
		{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Purge{Entry: 2}}},
	} {
		if r, err := j.Append(t.Context(), record.Draft{Job: "1", Entry: c}); err == nil {
			t.Errorf("%+v was stored: %v", c, r)
		}
	}
	if _, err := j.Append(t.Context(), record.Draft{Job: "1"}); err == nil {
		t.Error("a draft without an entry was stored")
	}
	for _, number := range []string{" 1", "a\nb", strings.Repeat("1", 65)} {
		if _, err := j.Append(t.Context(), start(number)); err == nil {
			t.Errorf("%q was taken for a job's number", number)
		}
	}
}

func TestTheFileRefusesChanges(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"), note("1", "two"), note("1", "three"))
	bare := func(dsn string) *sql.DB { return sql.OpenDB(connector{dsn: dsn}) }
	type execer interface {
		ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	}
	for _, db := range []execer{bare(path), j.conn} { // with the driver's own settings, and with ours
		for _, q := range []string{
			"UPDATE record SET body = '{}' WHERE seq = 2",
			"DELETE FROM record WHERE seq = 3",
			"INSERT OR REPLACE INTO record SELECT seq, job, kind, clip, '{}', hash FROM record WHERE seq = 2",
			"INSERT OR REPLACE INTO record SELECT seq, job, kind, clip, '{}', hash FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 9, job, kind, clip, body, hash FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 0, job, kind, clip, body, hash FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 'x', job, kind, clip, body, hash FROM record WHERE seq = 3",
			"INSERT INTO record (job, kind, body, hash) VALUES ('1', 'note', '{}', 'short')",
		} {
			if _, err := db.ExecContext(t.Context(), q); err == nil {
				t.Errorf("done, and must not be: %s", q)
			}
		}
	}
	if _, err := j.readers.ExecContext(t.Context(), "INSERT INTO word VALUES ('a', 'b')"); err == nil {
		t.Error("a reader wrote")
	}
	if r, err := j.Verify(t.Context(), VerifyOptions{}); err != nil || !r.OK || r.Records != 3 {
		t.Errorf("Verify = %+v, %v", r, err)
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	ours := filepath.Join(dir, "ours.db")
	mustOpen(t, ours, Options{Create: true}).Close()
	altered := func(name, statement string) string {
		data, err := os.ReadFile(ours)
		if err != nil {
			t.Fatal(err)
		}
		p := file(name, data)
		db := sql.OpenDB(connector{dsn: p})
		defer db.Close()
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, c := range []struct {
		name, path string
		want       error
	}{
		{"missing", filepath.Join(dir, "none.db"), ErrNotFound},
		{"a folder", dir, ErrForeign},
		{"empty", file("empty.db", nil), ErrForeign},
		{"text", file("text.db", []byte("hello")), ErrForeign},
		{"another application's", altered("other.db", "PRAGMA application_id = 7"), ErrForeign},
		{"newer", altered("newer.db", "PRAGMA user_version = 99"), ErrNewer},
		{"of a negative version", altered("negative.db", "PRAGMA user_version = -1"), ErrForeign},
		{"of an absurd version", altered("absurd.db", "PRAGMA user_version = 2147483647"), ErrForeign},
		{"without its triggers", altered("notrigger.db", "DROP TRIGGER record_update"), ErrNotIntact},
		{"with a table more", altered("more.db", "CREATE TABLE extra (a)"), ErrNotIntact},
	} {
		before, _ := os.ReadFile(c.path)
		for _, o := range []Options{{}, {Create: c.want != ErrNotFound}, {ReadOnly: true}} {
			j, err := Open(context.Background(), c.path, o)
			if !errors.Is(err, c.want) {
				t.Errorf("%s: Open(%+v) = %v, want %v", c.name, o, err, c.want)
			}
			if err == nil {
				j.Close()
			}
		}
		if after, _ := os.ReadFile(c.path); c.want == ErrForeign && string(after) != string(before) {
			t.Errorf("%s: the file was changed", c.name)
		}
	}
}
