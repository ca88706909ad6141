package journal

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Append stores drafts in one transaction and returns them as records, after
// the commit has reached the disk: all of them or none. It is not cut short by
// ctx, because an entry half acknowledged is worse than a late one.
//
// A job's start opens it and any number may be started once; a closed one is
// reopened with its reason (ErrClosed says so). An entry of a job that was
// never started is ErrNoJob. ErrBusy, ErrFull and ErrReadOnly say that
// nothing was stored; ErrMoved that it went into a file which is not the
// journal any more.
func (j *Journal) Append(ctx context.Context, drafts ...record.Draft) ([]record.Record, error) {
	ctx = context.WithoutCancel(ctx)
	records, err := j.append(ctx, drafts)
	if err != nil {
		return nil, fmt.Errorf("append to the journal: %w", err)
	}
	return records, nil
}

func (j *Journal) append(ctx context.Context, drafts []record.Draft) ([]record.Record, error) {
	if j.writer == nil {
		return nil, fmt.Errorf("%w: it was opened to read", ErrReadOnly)
	}
	if len(drafts) == 0 {
		return nil, nil
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.closed {
		return nil, errors.New("it was closed")
	}
	records := make([]record.Record, len(drafts))
	for i, d := range drafts {
		d.Technician = cmp.Or(d.Technician, j.technician)
		if err := settle(&d, j.now, &j.zones); err != nil {
			return nil, err
		}
		records[i].Draft = d
	}
	fresh := newDrawn()
	if err := j.immediate(ctx, func() error { return j.storeAll(ctx, records, fresh) }); err != nil {
		return nil, err
	}
	j.drawn.learn(fresh)
	// The commit is on the disk; was it the file that everyone will open?
	if err := j.stat(); err != nil {
		return nil, err
	}
	return records, nil
}

// immediate runs f in a transaction that holds the write lock from its
// beginning. It speaks to the one connection itself: database/sql starts a
// goroutine for each of its transactions, and waking it costs as much as a
// third of the commit.
func (j *Journal) immediate(ctx context.Context, f func() error) (err error) {
	if _, err := j.conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return explain(err)
	}
	defer func() {
		if err != nil {
			// It may have been rolled back already, by SQLite itself.
			_, _ = j.conn.ExecContext(ctx, "ROLLBACK")
		}
	}()
	if err := f(); err != nil {
		return err
	}
	_, err = j.conn.ExecContext(ctx, "COMMIT")
	return explain(err)
}

// storeAll adds records to the chain's end, which cannot move meanwhile.
func (j *Journal) storeAll(ctx context.Context, records []record.Record, fresh *drawn) error {
	head, seq, err := readHead(ctx, j.conn)
	if err != nil {
		return err
	}
	for i := range records {
		r := &records[i]
		r.Seq, r.Prev = seq+int64(i)+1, head
		if err := j.store(ctx, r, fresh); err != nil {
			return err
		}
		head = r.Hash
	}
	return fresh.write(ctx, j.conn)
}

// store adds one record and what is drawn from it.
func (j *Journal) store(ctx context.Context, r *record.Record, fresh *drawn) error {
	if err := j.admit(ctx, &r.Draft, fresh); err != nil {
		return err
	}
	text, err := encode(r.Seq, &r.Draft)
	if err != nil {
		return err
	}
	r.Hash = record.Chain(r.Prev, text)
	clip := sql.NullString{String: r.Clip, Valid: r.Clip != ""}
	_, err = j.conn.ExecContext(ctx, "INSERT INTO record (seq, job, kind, clip, body, hash) VALUES (?, ?, ?, ?, ?, ?)",
		r.Seq, r.Job, string(r.Entry.Kind()), clip, string(text), r.Hash[:])
	if err != nil {
		return explain(err)
	}
	fresh.note(r.Job, text, &j.drawn)
	return j.follow(ctx, r)
}

// admit checks that a draft may be added as things stand.
func (j *Journal) admit(ctx context.Context, d *record.Draft, fresh *drawn) error {
	if err := j.admitFile(d); err != nil {
		return err
	}
	switch e := d.Entry.(type) {
	case entry.Control, entry.Answer:
		return fmt.Errorf("a %s steers the talk and is not stored", d.Entry.Kind())
	case entry.Job:
		return admitJob(ctx, j.conn, d.Job, e)
	case entry.Correction:
		if err := admitCorrection(ctx, j.conn, d.Job, e); err != nil {
			return err
		}
	}
	if d.Job == "" || j.drawn.has(d.Job) || fresh.has(d.Job) {
		return nil // once started, a job stays
	}
	_, err := jobState(ctx, j.conn, d.Job)
	return err
}

func admitJob(ctx context.Context, q querier, number string, e entry.Job) error {
	if number == "" {
		return fmt.Errorf("%w: say the job's number", ErrNoJob)
	}
	open, err := jobState(ctx, q, number)
	switch e.Verb {
	case "start":
		if err == nil && !open {
			return fmt.Errorf("%w: job %s was started before; reopen it, with the reason", ErrClosed, number)
		}
		if errors.Is(err, ErrNoJob) {
			return nil
		}
	case "close":
		if err == nil && !open {
			return fmt.Errorf("%w: job %s was closed before", ErrClosed, number)
		}
	case "complaint", "reopen":
	case "switch", "rename":
		if err == nil && !open {
			return fmt.Errorf("%w: job %s was closed before; reopen it, with the reason", ErrClosed, number)
		}
	default:
		return fmt.Errorf("%q is not done to a job", e.Verb)
	}
	return err
}

func jobState(ctx context.Context, q querier, number string) (open bool, err error) {
	err = q.QueryRowContext(ctx, "SELECT open FROM job WHERE number = ?", number).Scan(&open)
	if errors.Is(err, sql.ErrNoRows) {
		return false, fmt.Errorf("%w: %s; start it first", ErrNoJob, number)
	}
	return open, explain(err)
}

// admitCorrection checks that what a correction names is of its own job, and
// that what it puts there may stand there.
func admitCorrection(ctx context.Context, q querier, job string, c entry.Correction) error {
	switch {
	case len(c.Replace) > 0 && c.Entry == 0:
		return errors.New("a correction that puts new entries names the one they take the place of")
	case len(c.Replace) > 0:
	case c.Verb != "scratch" && c.Verb != "change" && c.Verb != "confirm":
		return fmt.Errorf("%q is no correction: scratch, change and confirm are", c.Verb)
	}
	for _, e := range c.Replace {
		switch e := e.(type) {
		case entry.Correction, entry.Closeout, entry.Purge, entry.Sample, entry.Control, entry.Answer:
			return fmt.Errorf("a %s cannot take the place of an entry", e.Kind())
		case entry.Job:
			if e.Verb != "complaint" {
				return fmt.Errorf("a job's %s cannot take the place of an entry", e.Verb)
			}
		}
	}
	if c.Entry == 0 {
		return nil
	}
	var owner string
	err := q.QueryRowContext(ctx, "SELECT job FROM record WHERE seq = ?", c.Entry).Scan(&owner)
	if errors.Is(err, sql.ErrNoRows) || err == nil && owner != job {
		return fmt.Errorf("entry %d is not one of job %s: a correction stays in its job", c.Entry, job)
	}
	return explain(err)
}
