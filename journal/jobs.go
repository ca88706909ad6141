package journal

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Jobs returns all jobs, the newest first.
func (j *Journal) Jobs(ctx context.Context) ([]record.Summary, error) {
	return j.summaries(ctx, "ORDER BY job.start DESC")
}

// Recent returns the most jobs that were started last, the newest first.
func (j *Journal) Recent(ctx context.Context, most int) ([]record.Summary, error) {
	return j.summaries(ctx, "ORDER BY job.start DESC LIMIT ?", most)
}

// Summary returns one job at a glance; ErrNoJob when there is none of that number.
func (j *Journal) Summary(ctx context.Context, number string) (record.Summary, error) {
	list, err := j.summaries(ctx, "WHERE job.number = ?", number)
	if err != nil {
		return record.Summary{}, err
	}
	if len(list) == 0 {
		return record.Summary{}, ErrNoJob
	}
	return list[0], nil
}

// AtSite returns the jobs at one site, the newest first. The key is a
// Summary's, or SiteKey's of an address.
func (j *Journal) AtSite(ctx context.Context, key string) ([]record.Summary, error) {
	if key == "" {
		return nil, nil
	}
	return j.summaries(ctx, "WHERE job.site_key = ? ORDER BY job.start DESC", key)
}

// Moved returns the numbers that jobs were put under which had a wrong one, by
// the wrong one; see record.MovedTo.
func (j *Journal) Moved(ctx context.Context) (map[string]string, error) {
	records, err := j.recordsFrom(ctx, j.readers, `WHERE r.job IN (SELECT job FROM record WHERE kind = 'job' AND instr(body, '"rename"') > 0) ORDER BY r.seq`)
	if err != nil {
		return nil, err
	}
	byJob := map[string][]record.Record{}
	for _, r := range records {
		byJob[r.Job] = append(byJob[r.Job], r)
	}
	moved := map[string]string{}
	for job, own := range byJob {
		if to := record.MovedTo(record.Current(own)); to != "" {
			moved[job] = to
		}
	}
	return moved, nil
}

func (j *Journal) summaries(ctx context.Context, clause string, args ...any) ([]record.Summary, error) {
	rows, err := j.readers.QueryContext(ctx, `
		SELECT job.number, job.start, job.site, job.site_key, job.opened, job.closed, job.open,
		       (SELECT count(*) FROM record WHERE record.job = job.number),
		       (SELECT hash FROM record WHERE seq = (SELECT max(seq) FROM record WHERE record.job = job.number))
		FROM job `+clause, args...)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var list []record.Summary
	for rows.Next() {
		var s record.Summary
		var opened int64
		var closed sql.NullInt64
		var head sql.RawBytes
		if err := rows.Scan(&s.Number, &s.Seq, &s.Site, &s.SiteKey, &opened, &closed, &s.Open, &s.Count, &head); err != nil {
			return nil, explain(err)
		}
		copy(s.Head[:], head)
		s.Opened = time.UnixMilli(opened).UTC()
		if closed.Valid {
			s.Closed = time.UnixMilli(closed.Int64).UTC()
		}
		list = append(list, s)
	}
	return list, explain(rows.Err())
}

// jobRow is a row of the table of jobs.
type jobRow struct {
	start, turn int64 // the records that started it, and that last made it current; turn 0: none yet
	open        bool
	opened      int64 // milliseconds since 1970
	closed      sql.NullInt64
	site, key   string
}

// happen puts what was done to a job into its row; seq is the record from
// which on it holds.
func (row *jobRow) happen(verb string, seq int64, at time.Time) {
	switch verb {
	case "start":
		row.turn = seq
	case "close":
		row.open, row.closed = false, sql.NullInt64{Int64: at.UnixMilli(), Valid: true}
	case "reopen":
		row.open, row.closed, row.turn = true, sql.NullInt64{}, seq
	case "switch":
		row.turn = seq
	case "rename": // all that was said goes on under another number
		row.open, row.closed = false, sql.NullInt64{Int64: at.UnixMilli(), Valid: true}
	}
}

// rowOf draws a job's row from its records, corrections and all. What was not
// confirmed at first holds from its confirmation on; a start makes the row even
// so, as the entries after it need a job.
func rowOf(records []record.Record) jobRow {
	row := jobRow{open: true}
	var events []record.Viewed
	for _, v := range record.View(records) {
		job, ok := v.Entry.(entry.Job)
		if !ok {
			if s, ok := v.Entry.(entry.Site); ok && s.Text != "" && v.SupersededBy == 0 && record.Counts(&v.Record) {
				row.site, row.key = s.Text, record.SiteKey(s.Text)
			}
			continue
		}
		if job.Verb == "start" && row.start == 0 {
			row.start, row.opened = v.Seq, v.At.UnixMilli()
		}
		if v.SupersededBy == 0 && !v.Unconfirmed {
			if n := len(v.CorrectedBy); n > 0 {
				v.Seq = v.CorrectedBy[n-1]
			}
			events = append(events, v)
		}
	}
	slices.SortStableFunc(events, func(a, b record.Viewed) int { return cmp.Compare(a.Seq, b.Seq) })
	for _, v := range events {
		row.happen(v.Entry.(entry.Job).Verb, v.Seq, v.At)
	}
	return row
}

// follow keeps the table of jobs in step with a new record.
func (j *Journal) follow(ctx context.Context, r *record.Record) error {
	exec := func(query string, args ...any) error {
		_, err := j.conn.ExecContext(ctx, query, args...)
		return explain(err)
	}
	switch e := r.Entry.(type) {
	case entry.Job:
		turn := r.Seq
		switch {
		case r.Unconfirmed && e.Verb != "start":
		case e.Verb == "start":
			if r.Unconfirmed {
				turn = 0
			}
			return exec(`INSERT INTO job (number, start, turn, open, opened, site, site_key) VALUES (?1, ?2, ?3, 1, ?4, '', '')
				ON CONFLICT (number) DO UPDATE SET turn = max(turn, ?3)`, r.Job, r.Seq, turn, r.At.UnixMilli())
		case e.Verb == "close" || e.Verb == "rename":
			return exec("UPDATE job SET open = 0, closed = ?2 WHERE number = ?1", r.Job, r.At.UnixMilli())
		case e.Verb == "reopen":
			return exec("UPDATE job SET open = 1, closed = NULL, turn = ?2 WHERE number = ?1", r.Job, r.Seq)
		case e.Verb == "switch":
			return exec("UPDATE job SET turn = ?2 WHERE number = ?1", r.Job, r.Seq)
		}
	case entry.Site:
		if e.Text != "" && !r.Unconfirmed {
			return exec("UPDATE job SET site = ?2, site_key = ?3 WHERE number = ?1", r.Job, e.Text, record.SiteKey(e.Text))
		}
	case entry.Correction:
		if e.Verb != "change" || len(e.Replace) > 0 {
			return j.redrawRow(ctx, r.Job)
		}
	}
	return nil
}

// redrawRow draws a job's row again after a correction. A damaged record of the
// job must not keep the correction from being stored: reading the job and
// verifying will name it.
func (j *Journal) redrawRow(ctx context.Context, job string) error {
	records, err := j.recordsFrom(ctx, j.conn, "WHERE r.job = ? ORDER BY r.seq", job)
	if errors.Is(err, ErrNotIntact) {
		return nil
	}
	if err != nil {
		return err
	}
	row := rowOf(records)
	_, err = j.conn.ExecContext(ctx, `UPDATE job SET turn = ?2, open = ?3, closed = ?4, site = ?5, site_key = ?6 WHERE number = ?1
		AND (turn, open, closed, site) IS NOT (?2, ?3, ?4, ?5)`, job, row.turn, row.open, row.closed, row.site, row.key)
	return explain(err)
}

// Redraw makes the tables of jobs and words anew from the records, and the
// schema as it was made, for when Verify found that they say something else.
// The records are not touched. A journal that Open refuses for its schema is
// opened with Options.Repair.
func (j *Journal) Redraw(ctx context.Context) error {
	if j.writer == nil {
		return fmt.Errorf("redraw the lists: %w: the journal was opened to read", ErrReadOnly)
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	ctx = context.WithoutCancel(ctx)
	err := j.immediate(ctx, func() error {
		if err := restoreSchema(ctx, j.conn); err != nil {
			return err
		}
		if _, err := j.conn.ExecContext(ctx, "DELETE FROM job; DELETE FROM word"); err != nil {
			return explain(err)
		}
		return j.redrawAll(ctx)
	})
	if err != nil {
		return fmt.Errorf("redraw the lists: %w", err)
	}
	return nil
}

func (j *Journal) redrawAll(ctx context.Context) error {
	const page = 1000 // records held at a time; a judgement
	for seq := int64(0); ; {
		records, err := j.recordsFrom(ctx, j.conn, "WHERE r.seq > ? ORDER BY r.seq LIMIT ?", seq, page)
		if err != nil {
			return err
		}
		if len(records) == 0 {
			return nil
		}
		words := newDrawn()
		for i := range records {
			r := &records[i]
			text, err := encode(r.Seq, &r.Draft)
			if err != nil {
				return err
			}
			words.note(r.Job, text, &drawn{})
			if err := j.follow(ctx, r); err != nil {
				return err
			}
		}
		if err := words.write(ctx, j.conn); err != nil {
			return err
		}
		seq = records[len(records)-1].Seq
	}
}
