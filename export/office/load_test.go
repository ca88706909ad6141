package office

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"downlead/export/office/officetest"
	"downlead/grammar/entry"
)

// TestTeamLoad measures, and is no test of speed: it runs with DOWNLEAD_TEAM set
// to how many jobs (make team). It stores that many jobs of twenty technicians,
// and beside it, in the same run, the same rows by a bare COPY, into the same
// tables with the same indexes; then one more entry.
func TestTeamLoad(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("DOWNLEAD_TEAM"))
	if err != nil {
		t.Skip("a measurement: DOWNLEAD_TEAM says of how many jobs")
	}
	s, dir := officetest.Start(t), t.TempDir()
	o := open(t, s.URL)
	pattern := min(n, 1000)
	path := officetest.Write(t, dir, "Ana Example", pattern, 1)
	jobs := jobsOf(t, reader(t, path))

	began := time.Now()
	r := loadCopies(t, o, jobs, n)
	stored := time.Since(began)
	t.Logf("%d jobs, %d rows of 20 technicians stored in %.1f s", r.Added, r.Rows, stored.Seconds())

	bare := bareCopy(t, s)
	t.Logf("the same rows by a bare COPY in %.1f s: %.2f times", bare.Seconds(), stored.Seconds()/bare.Seconds())
	t.Logf("size: %s", s.SQL(t, "SELECT pg_size_pretty(pg_database_size(current_database()))", "-At"))

	began = time.Now()
	whole := put(t, o, path, Options{})
	t.Logf("from a journal of %d jobs, read, concluded and stored: %.2f s, %.0f jobs a second", whole.Added, time.Since(began).Seconds(), float64(whole.Added)/time.Since(began).Seconds())
	say(t, path, "7", entry.Note{Text: "one more"})
	began = time.Now()
	one := put(t, o, path, Options{})
	t.Logf("one more entry: %d job in %.3f s", one.Added, time.Since(began).Seconds())
	if err := o.analyse(t.Context(), r.Added); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{
		"SELECT * FROM downlead.fix_figures('2026-10-01', '2026-11-01')", "SELECT * FROM downlead.restock('2026-10-01', '2026-11-01')",
		"SELECT * FROM downlead.minutes_by_fault('2026-10-01', '2026-11-01')", "SELECT * FROM downlead.margins_by_season()",
	} {
		began = time.Now()
		s.SQL(t, sql, "-At")
		t.Logf("%.2f s: %s", time.Since(began).Seconds(), sql)
	}
}

// loadCopies stores n jobs made from some: in twenty journals, each with its own
// numbers, one batch after another, the next made while one is stored.
func loadCopies(t *testing.T, o *Office, some []Job, n int) Result {
	t.Helper()
	var r Result
	var key salt
	if err := o.conn.QueryRow(t.Context(), "SELECT bytes FROM downlead_data.salt").Scan((*[]byte)(&key)); err != nil {
		t.Fatal(err)
	}
	types, err := o.columnTypes(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	type portion struct {
		e    *exporter
		jobs []Job
	}
	ready := make(chan portion)
	go func() {
		defer close(ready)
		for k := range 20 {
			id := fmt.Sprintf("00000000-0000-4000-8000-%012d", k+1)
			e := &exporter{o: o, id: id, key: key, types: types, r: &r, opt: Options{Version: "load"}}
			for from := 0; from < n/20; from += batchJobs {
				jobs := make([]Job, min(batchJobs, n/20-from))
				var wait sync.WaitGroup
				for half := range 2 {
					wait.Go(func() {
						m := pgtype.NewMap()
						for i := half; i < len(jobs); i += 2 {
							j := some[(from+i)%len(some)]
							j.Journal, j.Number, j.Technician = id, fmt.Sprint(from+i+1), fmt.Sprintf("Technician %d", k+1)
							j.Last = int64((from + i + 1) * 40)
							if a := j.site().Address; a != "" { // not twenty times the same town
								j.Visits = slices.Clone(j.Visits)
								for v := range j.Visits {
									j.Visits[v].Closeout.Site.Address = fmt.Sprintf("%s, town %d", a, k/4*1000+(from+i)/len(some))
								}
							}
							jobs[i], _ = j.pack(key, types, m)
						}
					})
				}
				wait.Wait()
				e.count = jobs[len(jobs)-1].Last
				ready <- portion{e, jobs}
			}
		}
	}()
	for p := range ready {
		if err := p.e.store(context.Background(), p.jobs, false); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// bareCopy writes all tables to files and copies them back in by the server's
// own client, in one transaction, into the tables as they are.
func bareCopy(t *testing.T, s *officetest.Server) time.Duration {
	t.Helper()
	dir := s.Folder(t)
	out, in := "", "BEGIN;\n"
	for _, table := range newSheets().all() {
		file := filepath.Join(dir, table.table+".copy")
		out += fmt.Sprintf("COPY downlead_data.%s TO '%s' (FORMAT binary);\n", table.table, file)
		in += fmt.Sprintf("\\copy downlead_data.%s FROM '%s' (FORMAT binary)\n", table.table, file)
	}
	s.SQL(t, out)
	for _, table := range newSheets().all() {
		s.SQL(t, "TRUNCATE downlead_data."+table.table)
	}
	s.SQL(t, "CHECKPOINT")
	began := time.Now()
	s.SQL(t, in+"COMMIT;\n")
	return time.Since(began)
}
