package office

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"downlead/export/file"
	"downlead/journal"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// batchJobs is how many jobs go in in one transaction: enough that a commit
// costs little, few enough that little is done again after a failure. A judgement.
const batchJobs = 1000

// Options of Export.
type Options struct {
	Redact   bool          // without names, addresses and free words
	Anew     bool          // take what is stored of this journal out, and store it all
	DryRun   bool          // say what would be stored, and store nothing
	Version  string        // of the product
	Progress file.Progress // told after every batch
}

// Result is what an export did.
type Result struct {
	Journal string `json:"journal"`
	Since   int64  `json:"since"`   // stored before: entries up to here
	To      int64  `json:"to"`      // and now
	Changed int    `json:"changed"` // jobs with entries in between
	Added   int    `json:"added"`   // of which stored by this run
	Rows    int64  `json:"rows"`
	DryRun  bool   `json:"dry_run,omitempty"`
}

// Export stores the jobs of a journal that have entries since the last export,
// each in whole, in order of their last entries. A batch is one transaction,
// and says in it how far the journal is stored: whatever interrupts it, what is
// stored is whole, and the next run goes on from there. Entries made while it
// runs are for the next run. Several may run at once.
func (o *Office) Export(ctx context.Context, j *journal.Journal, opt Options) (Result, error) {
	return o.exportIn(ctx, j, opt, batchJobs)
}

// exportIn is Export in batches of so many jobs.
func (o *Office) exportIn(ctx context.Context, j *journal.Journal, opt Options, batch int) (Result, error) {
	r, err := o.export(ctx, j, opt, batch)
	if err != nil {
		return r, fmt.Errorf("office database: %w", hint(err))
	}
	return r, nil
}

func (o *Office) export(ctx context.Context, j *journal.Journal, opt Options, batch int) (Result, error) {
	id, err := j.Identity(ctx)
	if err != nil {
		return Result{}, err
	}
	if id == "" {
		return Result{}, errors.New("the journal has no identity yet: open it once to write, with any entry")
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		return Result{}, err
	}
	r := Result{Journal: id, To: count, DryRun: opt.DryRun}
	was, err := o.stored(ctx, id)
	if err != nil {
		return r, err
	}
	if err := was.fits(ctx, j, count, opt); err != nil {
		return r, err
	}
	if !opt.Anew {
		r.Since = was.to
	}
	changes, err := j.Changed(ctx, r.Since, count)
	if err != nil {
		return r, err
	}
	r.Changed = len(changes)
	if opt.DryRun {
		return r, nil
	}
	e := exporter{o: o, j: j, id: id, opt: opt, head: head.String(), count: count, r: &r, size: batch}
	if err := o.conn.QueryRow(ctx, "SELECT bytes FROM downlead_data.salt").Scan((*[]byte)(&e.key)); err != nil {
		return r, err
	}
	if e.types, err = o.columnTypes(ctx); err != nil {
		return r, err
	}
	if opt.Anew { // in one transaction: at no moment is half of it there
		e.size = max(1, len(changes))
	}
	if err := e.run(ctx, changes); err != nil {
		return r, err
	}
	return r, o.analyse(ctx, r.Added)
}

// analyse has the server count its rows anew after many came in: until it has,
// it plans questions as if the tables were empty. A user who may not is none.
func (o *Office) analyse(ctx context.Context, added int) error {
	if added < batchJobs {
		return nil
	}
	for _, t := range newSheets().all() {
		if _, err := o.conn.Exec(ctx, "ANALYZE downlead_data."+t.table); err != nil {
			return err
		}
	}
	return nil
}

// stored is how far a journal is stored.
type stored struct {
	to       int64
	hash     string
	redacted bool
}

func (o *Office) stored(ctx context.Context, id string) (stored, error) {
	var s stored
	err := o.conn.QueryRow(ctx, "SELECT stored_to, head_hash, is_redacted FROM downlead_data.journal WHERE journal_id = $1", id).Scan(&s.to, &s.hash, &s.redacted)
	if errors.Is(err, pgx.ErrNoRows) {
		err = nil
	}
	return s, err
}

// fits refuses a journal that is not the one that was stored, and one that was
// stored in another way.
func (s stored) fits(ctx context.Context, j *journal.Journal, count int64, opt Options) error {
	if s.to == 0 || opt.Anew {
		return nil
	}
	if s.redacted != opt.Redact {
		how, want := "whole", "redacted"
		if s.redacted {
			how, want = want, how
		}
		return fmt.Errorf("%w: it is there %s and would now be %s; --anew takes it out and stores it all again", ErrRedacted, how, want)
	}
	if s.to <= count {
		hash, err := j.HashAt(ctx, s.to)
		if err != nil {
			return err
		}
		if hash.String() == s.hash {
			return nil
		}
	}
	return fmt.Errorf("%w: up to entry %d, with hash %.16s…; the file may be an older copy: find the newer one, or, if this is the one that counts, --anew takes out what is stored and stores it all again", ErrForked, s.to, s.hash)
}

// exporter is one run.
type exporter struct {
	o     *Office
	j     *journal.Journal
	id    string
	opt   Options
	key   salt
	types columnTypes
	head  string
	count int64
	size  int
	r     *Result
}

// made is a batch of jobs, or why it could not be made.
type made struct {
	jobs []Job
	err  error
}

// run stores batch after batch; while one is stored the next is made.
func (e *exporter) run(ctx context.Context, changes []journal.Change) error {
	ctx, cancel := context.WithCancel(ctx)
	batches := make(chan made)
	var wait sync.WaitGroup
	wait.Go(func() {
		defer close(batches)
		for from := 0; from < len(changes); from += e.size {
			jobs, err := e.make(ctx, changes[from:min(from+e.size, len(changes))])
			select {
			case batches <- made{jobs, err}:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
		}
	})
	defer wait.Wait()
	defer cancel()
	done := 0
	for b := range batches {
		if b.err != nil {
			return b.err
		}
		done += len(b.jobs)
		if err := e.store(ctx, b.jobs, done == len(changes)); err != nil {
			return err
		}
		if e.opt.Progress != nil {
			e.opt.Progress(done, len(changes))
		}
	}
	if len(changes) == 0 && (e.count > e.r.Since || e.opt.Anew) {
		return e.store(ctx, nil, true)
	}
	return ctx.Err()
}

// make reads and concludes jobs, on all processors, in their order.
func (e *exporter) make(ctx context.Context, changes []journal.Change) ([]Job, error) {
	jobs, errs := make([]Job, len(changes)), make([]error, len(changes))
	next := make(chan int)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			m := pgtype.NewMap()
			for i := range next {
				jobs[i], errs[i] = e.one(ctx, changes[i], m)
			}
		})
	}
	for i := range changes {
		next <- i
	}
	close(next)
	wait.Wait()
	return jobs, errors.Join(errs...)
}

func (e *exporter) one(ctx context.Context, c journal.Change, m *pgtype.Map) (Job, error) {
	records, err := e.j.UpTo(ctx, c.Job, c.Last)
	if err != nil {
		return Job{}, err
	}
	job, err := NewJob(e.id, records)
	if err == nil && e.opt.Redact {
		job, err = job.redact(e.key)
	}
	if err != nil {
		return job, err
	}
	return job.pack(e.key, e.types, m)
}

// store puts a batch in, in one transaction; last says that it is the run's last.
func (e *exporter) store(ctx context.Context, jobs []Job, last bool) error {
	var upTo stored
	if n := len(jobs); n > 0 {
		upTo = stored{to: jobs[n-1].Last, hash: jobs[n-1].Hash}
	}
	return pgx.BeginFunc(ctx, e.o.conn, func(tx pgx.Tx) error {
		to, err := e.lock(ctx, tx)
		if err != nil {
			return err
		}
		for len(jobs) > 0 && jobs[0].Last <= to { // another run of the same journal was quicker
			jobs = jobs[1:]
		}
		rows, err := e.put(ctx, tx, jobs, to > 0)
		if err != nil {
			return err
		}
		mark := stored{to: e.count, hash: e.head}
		if !last {
			mark = upTo
		}
		if mark.to > to {
			if err := e.note(ctx, tx, jobs, mark); err != nil {
				return err
			}
		}
		e.r.Added += len(jobs)
		e.r.Rows += rows
		return nil
	})
}

// lock makes sure that one run at a time stores a journal, and returns how far
// it is stored.
func (e *exporter) lock(ctx context.Context, tx pgx.Tx) (int64, error) {
	if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock(hashtextextended($1, 0))", e.id); err != nil {
		return 0, err
	}
	if e.opt.Anew {
		return 0, e.takeOut(ctx, tx)
	}
	var to int64
	err := tx.QueryRow(ctx, "SELECT stored_to FROM downlead_data.journal WHERE journal_id = $1", e.id).Scan(&to)
	if errors.Is(err, pgx.ErrNoRows) {
		err = nil
	}
	return to, err
}

// takeOut deletes all rows of a journal.
func (e *exporter) takeOut(ctx context.Context, tx pgx.Tx) error {
	for _, t := range newSheets().all()[1:] {
		if _, err := tx.Exec(ctx, "DELETE FROM downlead_data."+t.table+" WHERE job_id IN (SELECT job_id FROM downlead_data.job WHERE journal_id = $1)", e.id); err != nil {
			return err
		}
	}
	for _, t := range []string{"job", "journal"} {
		if _, err := tx.Exec(ctx, "DELETE FROM downlead_data."+t+" WHERE journal_id = $1", e.id); err != nil {
			return err
		}
	}
	return nil
}

// put copies the rows of jobs in.
func (e *exporter) put(ctx context.Context, tx pgx.Tx, jobs []Job, before bool) (int64, error) {
	if len(jobs) == 0 {
		return 0, nil
	}
	if before {
		if err := e.supersede(ctx, tx, jobs); err != nil {
			return 0, err
		}
	}
	ids, err := tx.Query(ctx, "SELECT nextval('downlead_data.job_ids') FROM generate_series(1, $1)", len(jobs))
	if err != nil {
		return 0, err
	}
	id, err := pgx.CollectRows(ids, pgx.RowTo[int64])
	if err != nil {
		return 0, err
	}
	return copyIn(ctx, tx, jobs, id)
}

// supersede marks the versions that the jobs replace. Of the time without a job
// only the newest version is kept: every day would add a copy of the year.
func (e *exporter) supersede(ctx context.Context, tx pgx.Tx, jobs []Job) error {
	numbers := make([]string, len(jobs))
	for i, j := range jobs {
		numbers[i] = clean(j.Number)
	}
	uuid, err := uuidOf(e.id)
	if err != nil {
		return err
	}
	if slices.Contains(numbers, "") {
		for _, t := range newSheets().all()[1:] {
			if _, err := tx.Exec(ctx, "DELETE FROM downlead_data."+t.table+" WHERE job_id IN (SELECT job_id FROM downlead_data.job WHERE journal_id = $1 AND job = '')", uuid); err != nil {
				return err
			}
		}
		if _, err := tx.Exec(ctx, "DELETE FROM downlead_data.job WHERE journal_id = $1 AND job = ''", uuid); err != nil {
			return err
		}
	}
	for _, sql := range []string{
		`UPDATE downlead_data.visit SET is_latest = false WHERE is_latest AND job_id IN
			(SELECT job_id FROM downlead_data.job WHERE journal_id = $1 AND job = ANY($2) AND is_latest)`,
		"UPDATE downlead_data.job SET is_latest = false WHERE journal_id = $1 AND job = ANY($2) AND is_latest",
	} {
		if _, err := tx.Exec(ctx, sql, uuid, numbers); err != nil {
			return err
		}
	}
	return nil
}

// note keeps how far the journal is stored.
func (e *exporter) note(ctx context.Context, tx pgx.Tx, jobs []Job, s stored) error {
	technician, zone := "", ""
	for _, j := range jobs {
		if j.Technician != "" {
			technician = clean(j.Technician)
		}
		zone = j.Zone
	}
	var uuid pgtype.UUID
	uuid, err := uuidOf(e.id)
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `INSERT INTO downlead_data.journal AS was (journal_id, technician, time_zone, is_redacted, stored_to, head_hash, product)
		VALUES ($1, $2, $3, $4, $5, $6, $7)
		ON CONFLICT (journal_id) DO UPDATE SET technician = coalesce(nullif($2, ''), was.technician), time_zone = coalesce(nullif($3, ''), was.time_zone),
			is_redacted = $4, stored_to = $5, head_hash = $6, product = $7, stored_at = now()`,
		uuid, technician, zone, e.opt.Redact, s.to, s.hash, e.opt.Version)
	return err
}
