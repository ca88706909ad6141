package office

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/export/office/officetest"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

func open(t testing.TB, url string) *Office {
	t.Helper()
	o, err := Open(context.Background(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = o.Close(context.Background()) })
	return o
}

func reader(t testing.TB, path string) *journal.Journal {
	t.Helper()
	j, err := journal.Open(context.Background(), path, journal.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

func put(t testing.TB, o *Office, path string, opt Options) Result {
	t.Helper()
	r, err := o.Export(context.Background(), reader(t, path), opt)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func say(t testing.TB, path, job string, entries ...entry.Entry) {
	t.Helper()
	j, err := journal.Open(context.Background(), path, journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	for i, e := range entries {
		at := time.Date(2027, 3, 1, 12, i, 0, 0, time.UTC)
		if _, err := j.Append(context.Background(), record.Draft{Job: job, At: at, Entry: e}); err != nil {
			t.Fatal(err)
		}
	}
}

func one[T any](t testing.TB, o *Office, sql string, args ...any) (v T) {
	t.Helper()
	if err := o.conn.QueryRow(context.Background(), sql, args...).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

func TestExport(t *testing.T) {
	s := officetest.Start(t)
	o, dir := open(t, s.URL), t.TempDir()
	names := officetest.Names(2)
	ana, ben := officetest.Write(t, dir, names[0], 30, 1), officetest.Write(t, dir, names[1], 20, 2)

	t.Run("two technicians' job 1 are two jobs", func(t *testing.T) {
		a, b := put(t, o, ana, Options{}), put(t, o, ben, Options{})
		if a.Added != 30 || b.Added != 20 || a.Journal == b.Journal {
			t.Errorf("%+v %+v", a, b)
		}
		if n := one[int](t, o, "SELECT count(DISTINCT technician) FROM downlead.jobs WHERE job = '1'"); n != 2 {
			t.Errorf("%d technicians have a job 1", n)
		}
		if n := one[int64](t, o, "SELECT sum(n) FROM (SELECT count(*) n FROM downlead_data.job UNION ALL SELECT count(*) FROM downlead_data.visit UNION ALL SELECT count(*) FROM downlead_data.mark UNION ALL SELECT count(*) FROM downlead_data.reading UNION ALL SELECT count(*) FROM downlead_data.repair UNION ALL SELECT count(*) FROM downlead_data.checked UNION ALL SELECT count(*) FROM downlead_data.material UNION ALL SELECT count(*) FROM downlead_data.work_code UNION ALL SELECT count(*) FROM downlead_data.drive UNION ALL SELECT count(*) FROM downlead_data.claim UNION ALL SELECT count(*) FROM downlead_data.observed) x"); n != a.Rows+b.Rows {
			t.Errorf("%d rows there, %d + %d said", n, a.Rows, b.Rows)
		}
	})

	t.Run("again adds nothing", func(t *testing.T) {
		for _, path := range []string{ana, ben} {
			if r := put(t, o, path, Options{}); r.Changed != 0 || r.Added != 0 || r.Rows != 0 {
				t.Errorf("%+v", r)
			}
		}
	})

	t.Run("one entry adds one job", func(t *testing.T) {
		before := one[int](t, o, "SELECT count(*) FROM downlead.readings")
		say(t, ana, "7", entry.Note{Text: "one more"})
		if r := put(t, o, ana, Options{DryRun: true}); r.Changed != 1 || r.Added != 0 {
			t.Errorf("dry: %+v", r)
		}
		if r := put(t, o, ana, Options{}); r.Changed != 1 || r.Added != 1 {
			t.Errorf("%+v", r)
		}
		if n := one[int](t, o, "SELECT count(*) FROM downlead.readings"); n != before {
			t.Errorf("%d readings in the view, %d before", n, before)
		}
		if n := one[int](t, o, "SELECT count(*) FROM downlead_data.job WHERE job = '7' AND journal_id = (SELECT journal_id FROM downlead.people WHERE technician = $1)", names[0]); n != 2 {
			t.Errorf("%d versions of the job", n)
		}
	})

	t.Run("a correction replaces what it corrects", func(t *testing.T) {
		var seq int64
		err := o.conn.QueryRow(t.Context(), "SELECT entry_no FROM downlead.readings WHERE technician = $1 AND job = '3' AND level_dbm IS NOT NULL ORDER BY entry_no LIMIT 1", names[1]).Scan(&seq)
		if err != nil {
			t.Skip("the job has no reading")
		}
		say(t, ben, "3", entry.Correction{Verb: "change", Entry: seq, Level: entry.NewDecimal(-61, -5)})
		put(t, o, ben, Options{})
		if got := one[string](t, o, "SELECT string_agg(level_dbm::text, ' ') FROM downlead.readings WHERE technician = $1 AND job = '3' AND entry_no = $2", names[1], seq); got != "-61.5" {
			t.Errorf("levels %s", got)
		}
		say(t, ben, "3", entry.Correction{Verb: "scratch", Entry: seq})
		put(t, o, ben, Options{})
		if n := one[int](t, o, "SELECT count(*) FROM downlead.readings WHERE technician = $1 AND job = '3' AND entry_no = $2", names[1], seq); n != 0 {
			t.Error("scratched, and still there")
		}
	})

	t.Run("the latest follows the chain and not the clock", func(t *testing.T) {
		j, err := journal.Open(t.Context(), ana, journal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		back := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC) // the clock was set back
		r, err := j.Append(t.Context(), record.Draft{Job: "9", At: back, Entry: entry.Note{Text: "later in the chain"}})
		if err != nil {
			t.Fatal(err)
		}
		put(t, o, ana, Options{})
		if got := one[int64](t, o, "SELECT max(last_entry) FROM downlead.latest WHERE technician = $1 AND job = '9'", names[0]); got != r[0].Seq {
			t.Errorf("latest is entry %d, want %d", got, r[0].Seq)
		}
	})

	t.Run("a job that goes on under another number is no job", func(t *testing.T) {
		say(t, ben, "5", entry.Job{Verb: "reopen", Number: "5"}, entry.Job{Verb: "rename", Number: "9005"})
		put(t, o, ben, Options{})
		if n := one[int](t, o, "SELECT (SELECT count(*) FROM downlead.jobs WHERE technician = $1 AND job = '5') + (SELECT count(*) FROM downlead.visits WHERE technician = $1 AND job = '5')", names[1]); n != 0 {
			t.Errorf("it has %d rows as a job and as visits", n)
		}
	})

	t.Run("time without a job has one version", func(t *testing.T) {
		j, err := journal.Open(t.Context(), ana, journal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		for range 3 {
			if _, err := j.Append(t.Context(), record.Draft{Entry: entry.Time{Mark: "arrived"}}); err != nil {
				t.Fatal(err)
			}
			put(t, o, ana, Options{})
		}
		if v, m := one[int](t, o, "SELECT count(*) FROM downlead_data.job WHERE job = ''"), one[int](t, o, "SELECT count(*) FROM downlead.times WHERE job = ''"); v != 1 || m != 3 {
			t.Errorf("%d versions with %d marks", v, m)
		}
	})

	t.Run("anew is the same again", func(t *testing.T) {
		before := content(t, s)
		put(t, o, ana, Options{Anew: true})
		same(t, before, content(t, s))
		if n := one[int](t, o, "SELECT count(*) FROM downlead_data.job WHERE NOT is_latest AND technician = $1", names[0]); n != 0 {
			t.Errorf("%d old versions", n)
		}
	})

	t.Run("an older copy of the journal is refused", func(t *testing.T) {
		copied := dir + "/copy.db"
		if _, err := reader(t, ben).Backup(t.Context(), copied); err != nil {
			t.Fatal(err)
		}
		say(t, ben, "2", entry.Note{Text: "in the one"})
		put(t, o, ben, Options{})
		if _, err := o.Export(t.Context(), reader(t, copied), Options{}); !errors.Is(err, ErrForked) {
			t.Errorf("shorter: %v", err)
		}
		say(t, copied, "2", entry.Note{Text: "in the other"}, entry.Note{Text: "and on"})
		if _, err := o.Export(t.Context(), reader(t, copied), Options{}); !errors.Is(err, ErrForked) {
			t.Errorf("forked: %v", err)
		}
	})
}

// token is a site's, which differs from database to database.
var token = regexp.MustCompile(`\b[0-9a-f]{16}\b`)

// version is the number of a job's version, the last column of two views.
var version = regexp.MustCompile(`(?m),\d+\)$`)

// content is what the views show, by the server's own client. What differs
// from run to run (numbers of versions, when it was stored) is not in them.
func content(t testing.TB, s *officetest.Server) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, view := range []string{"jobs", "visits", "readings", "checks_done", "sightings", "claims", "repairs", "materials", "times", "drives", "work_codes", "addresses", "remarks", "latest"} {
		list := token.ReplaceAllString(s.SQL(t, fmt.Sprintf("COPY (SELECT v::text FROM downlead.%s v ORDER BY 1) TO STDOUT", view)), "site")
		if view == "jobs" || view == "visits" {
			list = version.ReplaceAllString(list, ")")
		}
		out[view] = list
	}
	out["people"] = s.SQL(t, "COPY (SELECT journal_id, technician, stored_to, jobs, first_began, last_ended FROM downlead.people ORDER BY 1) TO STDOUT")
	return out
}

func same(t testing.TB, want, got map[string]string) {
	t.Helper()
	for view, text := range want {
		if text == got[view] {
			continue
		}
		a, b := strings.Split(text, "\n"), strings.Split(got[view], "\n")
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Errorf("%s, line %d:\nwant %s\ngot  %s", view, i+1, a[i], b[i])
				break
			}
		}
		if len(a) != len(b) {
			t.Errorf("%s: %d rows, want %d", view, len(b), len(a))
		}
	}
}

// Several technicians at once, one of them from two terminals: the same as one
// after another.
func TestAtOnce(t *testing.T) {
	s, dir := officetest.Start(t), t.TempDir()
	var paths []string
	for i, name := range officetest.Names(4) {
		paths = append(paths, officetest.Write(t, dir, name, 25, uint64(i+1)))
	}
	o := open(t, s.URL)
	for _, p := range paths {
		put(t, o, p, Options{})
	}
	want := content(t, s)
	for _, p := range paths { // empty again
		put(t, o, p, Options{Anew: true})
	}
	s.SQL(t, "DROP SCHEMA downlead, downlead_data CASCADE")
	var wait sync.WaitGroup
	added := make([]int, len(paths)+1)
	for i, p := range append(paths, paths[0]) {
		wait.Go(func() {
			mine, err := Open(context.Background(), s.URL) // all make the tables at once, too
			if err != nil {
				t.Error(err)
				return
			}
			defer mine.Close(context.Background())
			j, err := journal.Open(context.Background(), p, journal.Options{ReadOnly: true})
			if err != nil {
				t.Error(err)
				return
			}
			defer j.Close()
			r, err := mine.exportIn(context.Background(), j, Options{}, 3)
			if err != nil {
				t.Error(err)
			}
			added[i] = r.Added
		})
	}
	wait.Wait()
	same(t, want, content(t, s))
	if added[0]+added[4] != 25 || added[1] != 25 {
		t.Errorf("added %v", added)
	}
}

// The server is killed in the middle: what is there is whole, and the next run
// makes it what it would have been.
func TestServerKilled(t *testing.T) {
	s, dir := officetest.Start(t), t.TempDir()
	path := officetest.Write(t, dir, "Ana Example", 60, 1)
	put(t, open(t, s.URL), path, Options{})
	want := content(t, s)
	s.SQL(t, "DROP SCHEMA downlead, downlead_data CASCADE")
	for kill := 1; kill <= 3; kill++ {
		o, err := Open(t.Context(), s.URL)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		_, err = o.exportIn(t.Context(), reader(t, path), Options{Progress: func(done, total int) {
			if n++; n == 2 {
				s.Kill(t)
			}
		}}, 7)
		_ = o.Close(t.Context())
		if err == nil || !strings.Contains(err.Error(), "office database: the ") || !strings.Contains(err.Error(), "run the command again") {
			t.Errorf("killed, and the error is %v", err)
		}
		s.Up(t)
		half := s.SQL(t, `SELECT count(*) FROM downlead_data.job j, downlead_data.journal n WHERE j.last_entry > n.stored_to
			UNION ALL SELECT count(*) FROM downlead_data.job j WHERE NOT EXISTS (SELECT FROM downlead_data.visit v WHERE v.job_id = j.job_id)
			UNION ALL SELECT count(*) FROM downlead_data.reading r WHERE NOT EXISTS (SELECT FROM downlead_data.job j WHERE j.job_id = r.job_id)`, "-At")
		if half != "0\n0\n0\n" {
			t.Errorf("after kill %d something is half there: %s", kill, half)
		}
		if n := strings.TrimSpace(s.SQL(t, "SELECT count(*) FROM downlead_data.job", "-At")); n != fmt.Sprint(14*kill) {
			t.Errorf("after kill %d: %s jobs, want %d: two batches of 7 each", kill, n, 14*kill)
		}
	}
	put(t, open(t, s.URL), path, Options{})
	same(t, want, content(t, s))
}

func TestCancelled(t *testing.T) {
	s := officetest.Start(t)
	path := officetest.Write(t, t.TempDir(), "Ana Example", 3, 1)
	o := open(t, s.URL)
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := o.Export(gone, reader(t, path), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
