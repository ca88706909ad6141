package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"downlead/grammar"
)

// Jobs returns all jobs, the newest first.
func (j *Journal) Jobs(ctx context.Context) ([]Summary, error) {
	return j.summaries(ctx, "ORDER BY job.start DESC")
}

// Summary returns one job at a glance; ErrNoJob when there is none of that number.
func (j *Journal) Summary(ctx context.Context, number string) (Summary, error) {
	list, err := j.summaries(ctx, "WHERE job.number = ?", number)
	if err != nil {
		return Summary{}, err
	}
	if len(list) == 0 {
		return Summary{}, ErrNoJob
	}
	return list[0], nil
}

// AtSite returns the jobs at one site, the newest first. The key is a
// Summary's, or SiteKey's of an address.
func (j *Journal) AtSite(ctx context.Context, key string) ([]Summary, error) {
	if key == "" {
		return nil, nil
	}
	return j.summaries(ctx, "WHERE job.site_key = ? ORDER BY job.start DESC", key)
}

func (j *Journal) summaries(ctx context.Context, clause string, args ...any) ([]Summary, error) {
	rows, err := j.readers.QueryContext(ctx, `
		SELECT job.number, job.start, job.site, job.site_key, job.opened, job.closed, job.open,
		       (SELECT count(*) FROM record WHERE record.job = job.number),
		       (SELECT hash FROM record WHERE seq = (SELECT max(seq) FROM record WHERE record.job = job.number))
		FROM job `+clause, args...)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var list []Summary
	for rows.Next() {
		var s Summary
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

// follow keeps the table of jobs in step with a new record.
func (j *Journal) follow(ctx context.Context, r *Record) error {
	exec := func(query string, args ...any) error {
		_, err := j.conn.ExecContext(ctx, query, args...)
		return explain(err)
	}
	var err error
	switch e := r.Entry.(type) {
	case grammar.Job:
		switch e.Verb {
		case "start":
			err = exec(`INSERT INTO job (number, start, turn, open, opened, site, site_key) VALUES (?1, ?2, ?2, 1, ?3, '', '')
				ON CONFLICT (number) DO UPDATE SET turn = ?2`, r.Job, r.Seq, r.At.UnixMilli())
		case "close":
			err = exec("UPDATE job SET open = 0, closed = ?2 WHERE number = ?1", r.Job, r.At.UnixMilli())
		case "reopen":
			err = exec("UPDATE job SET open = 1, closed = NULL, turn = ?2 WHERE number = ?1", r.Job, r.Seq)
		}
	case grammar.Site:
		if e.Text != "" && !r.Unconfirmed {
			err = exec("UPDATE job SET site = ?2, site_key = ?3 WHERE number = ?1", r.Job, e.Text, SiteKey(e.Text))
		}
	case grammar.Correction:
		if e.Verb != "change" || len(e.Replace) > 0 {
			err = j.redrawSite(ctx, r.Job)
		}
	}
	return err
}

// redrawSite finds a job's address again after a correction. A damaged record
// of the job must not keep the correction from being stored: reading the job
// and verifying will name it.
func (j *Journal) redrawSite(ctx context.Context, job string) error {
	records, err := j.recordsFrom(ctx, j.conn, "WHERE r.job = ? ORDER BY r.seq", job)
	if errors.Is(err, ErrNotIntact) {
		return nil
	}
	if err != nil {
		return err
	}
	site := siteOf(records)
	_, err = j.conn.ExecContext(ctx, "UPDATE job SET site = ?2, site_key = ?3 WHERE number = ?1 AND site <> ?2", job, site, SiteKey(site))
	return explain(err)
}

// siteOf returns the address of a job as it counts now.
func siteOf(records []Record) string {
	site := ""
	for _, r := range Current(records) {
		if s, ok := r.Entry.(grammar.Site); ok && s.Text != "" {
			site = s.Text
		}
	}
	return site
}

// Redraw makes the tables of jobs and words anew from the records, for when
// Verify found that they say something else. The records are not touched.
func (j *Journal) Redraw(ctx context.Context) error {
	if j.writer == nil {
		return fmt.Errorf("redraw the lists: %w: the journal was opened to read", ErrReadOnly)
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	ctx = context.WithoutCancel(ctx)
	err := j.immediate(ctx, func() error {
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
