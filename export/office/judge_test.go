package office

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"downlead/export/office/officetest"
	"downlead/export/quality"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// jobsOf makes all jobs of a journal, as an export does.
func jobsOf(t testing.TB, j *journal.Journal) []Job {
	t.Helper()
	id, err := j.Identity(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	_, count, err := j.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	changes, err := j.Changed(t.Context(), 0, count)
	if err != nil {
		t.Fatal(err)
	}
	var out []Job
	for _, c := range changes {
		records, err := j.UpTo(t.Context(), c.Job, c.Last)
		if err != nil {
			t.Fatal(err)
		}
		job, err := NewJob(id, records)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, job)
	}
	return out
}

// team is some invented journals, as they lie in a folder and in a database.
type team struct {
	paths  []string
	office *Office
}

func newTeam(t testing.TB, s *officetest.Server, technicians, jobs int) team {
	t.Helper()
	dir := t.TempDir()
	m := team{office: open(t, s.URL)}
	for i, name := range officetest.Names(technicians) {
		path := officetest.Write(t, dir, name, jobs, uint64(i+1))
		put(t, m.office, path, Options{Version: "test"})
		m.paths = append(m.paths, path)
	}
	return m
}

// visits are those of the journals themselves.
func (m team) visits(t testing.TB) []quality.Visited {
	t.Helper()
	var out []quality.Visited
	for _, path := range m.paths {
		for _, j := range jobsOf(t, reader(t, path)) {
			out = append(out, j.Visits...)
		}
	}
	return out
}

// The database judges every visit as the quality record of the journals does:
// 1,000 invented jobs of four technicians, who come to the same addresses.
func TestJudgeVisits(t *testing.T) {
	m := newTeam(t, officetest.Start(t), 4, 250)
	zone, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	all := m.visits(t)
	for _, days := range []int{0, 14, 30} {
		asOf := time.Date(2026, 11, 10, 12, 0, 0, 0, time.UTC)
		in := quality.QualityInput{Visits: quality.Team(all), Month: "2026-10", Zone: zone, FixDays: days, Version: "test", AsOf: asOf}
		q, err := quality.NewQuality(in)
		if err != nil {
			t.Fatal(err)
		}
		type judged struct {
			First, ByJob string
			ByVisit      int
			Repeat       bool
		}
		rows, err := m.office.conn.Query(t.Context(), `SELECT journal_id::text, job, visit_no, first_fix, coalesce(undone_job, ''), coalesce(undone_visit, 0), is_repeat
			FROM downlead.judge_visits($1, $2, $3, $4)`, q.From, q.To, days, asOf)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]judged{}
		for rows.Next() {
			var journal, job string
			var visit int
			var j judged
			if err := rows.Scan(&journal, &job, &visit, &j.First, &j.ByJob, &j.ByVisit, &j.Repeat); err != nil {
				t.Fatal(err)
			}
			got[fmt.Sprint(journal, " ", job, " ", visit)] = j
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
		if len(got) != len(q.Jobs) || len(got) < 400 {
			t.Fatalf("%d days: %d visits judged, %d in the record", days, len(got), len(q.Jobs))
		}
		repeats, undone := 0, 0
		for _, j := range q.Jobs {
			g := got[fmt.Sprint(j.Journal, " ", j.Job, " ", j.Visit)]
			if g.First != j.FirstTime || g.Repeat != j.Repeat || (g.ByJob != "") != (j.RepeatBy != "") {
				t.Errorf("%d days, job %s visit %d: %+v, the record has %s, repeat %v, by %q", days, j.Job, j.Visit, g, j.FirstTime, j.Repeat, j.RepeatBy)
			}
			if g.Repeat {
				repeats++
			}
			if g.ByJob != "" {
				undone++
			}
		}
		if days > 0 && (repeats < 50 || undone < 50) {
			t.Errorf("%d days: %d repeats, %d undone: too few to tell", days, repeats, undone)
		}
		figures(t, m.office, q, asOf)
	}
}

// figures compares the sums.
func figures(t *testing.T, o *Office, q quality.Quality, asOf time.Time) {
	t.Helper()
	for _, f := range q.Figures {
		if f.Name != "first_time_fix" && f.Name != "repeat" {
			continue
		}
		var hits, cases, pending int
		var low, high float64
		err := o.conn.QueryRow(t.Context(), "SELECT hits, cases, pending, low, high FROM downlead.fix_figures($1, $2, $3, $4) WHERE technician IS NULL AND figure = $5",
			q.From, q.To, q.FixDays, asOf, f.Name).Scan(&hits, &cases, &pending, &low, &high)
		if err != nil {
			t.Fatal(err)
		}
		if hits != f.Numerator || cases != f.Denominator || pending != f.Pending || math.Abs(low-f.Low) > 1e-9 || math.Abs(high-f.High) > 1e-9 {
			t.Errorf("%s: %d of %d, %d pending, %.4f to %.4f; the record has %d of %d, %d, %.4f to %.4f", f.Name, hits, cases, pending, low, high, f.Numerator, f.Denominator, f.Pending, f.Low, f.High)
		}
	}
}

// A visit to an address undoes a colleague's fix there. Worked out by hand: of
// three visits the first was undone by the second (9 days on), the second held.
func TestRepeatByAColleague(t *testing.T) {
	s, dir := officetest.Start(t), t.TempDir()
	o := open(t, s.URL)
	behind := entry.Point{Element: entry.Receiver, Number: 1, Side: entry.DishSide}
	for _, v := range []struct {
		technician, address string
		day                 int
	}{{"Ana Example", "12 A Street", 1}, {"Ben Example", "12 a st.", 10}, {"Cy Example", "13 A Street", 12}} {
		path := filepath.Join(dir, v.technician+".db")
		j, err := journal.Open(t.Context(), path, journal.Options{Create: true, Technician: v.technician})
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range []entry.Entry{
			entry.Job{Verb: "start", Number: "1"},
			entry.Site{Text: v.address},
			entry.Time{Mark: "arrived"},
			entry.Reading{Point: behind, Verdict: entry.Fail, Level: entry.NewDecimal(-60, 0)},
			entry.Action{Action: "replaced", Element: entry.GroundBlock},
			entry.Reading{Point: behind, Verdict: entry.Pass, Level: entry.NewDecimal(-44, 0)},
			entry.Time{Mark: "departed"},
			entry.Job{Verb: "close"},
		} {
			at := time.Date(2026, 11, v.day, 9, i, 0, 0, time.UTC)
			if _, err := j.Append(t.Context(), record.Draft{Job: "1", At: at, Entry: e}); err != nil {
				t.Fatal(err)
			}
		}
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
		put(t, o, path, Options{})
	}
	rows, err := o.conn.Query(t.Context(), "SELECT technician || ' ' || first_fix || ' ' || is_repeat FROM downlead.judge_visits('2026-11-01Z', '2026-12-01Z', 30, '2027-01-15Z') ORDER BY 1")
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"Ana Example no false", "Ben Example yes true", "Cy Example yes false"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
