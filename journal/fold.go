package journal

import (
	"context"
	"database/sql"
	"runtime"
	"sync"
	"time"

	"downlead/journal/record"
)

// Fold hands every job that has an entry in [from, to) to f, all its records in
// order of seq, and returns what f made of them, in order of job number. The
// records outside any job come first, as those of the job "". Zero times mean
// no limit. Reading and f run on all processors: f is called by several
// goroutines at once. The first error ends it.
func Fold[T any](ctx context.Context, j *Journal, from, to time.Time, f func(job string, records []record.Record) (T, error)) ([]T, error) {
	var out []T
	err := FoldEach(ctx, j, from, to, f, func(made T) error {
		out = append(out, made)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// FoldEach does what Fold does and keeps nothing: what f made goes to take, one
// after another, in order of job number.
func FoldEach[T any](ctx context.Context, j *Journal, from, to time.Time, f func(job string, records []record.Record) (T, error), take func(T) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	jobs := make(chan rawJob, 64) // read ahead: enough that no one waits; a judgement
	var mu sync.Mutex
	next, early := 0, map[int]T{} // early: made before one of a lower number
	hand := func(index int, made T) error {
		mu.Lock()
		defer mu.Unlock()
		early[index] = made
		for {
			made, ok := early[next]
			if !ok || ctx.Err() != nil {
				return nil
			}
			delete(early, next)
			next++
			if err := take(made); err != nil {
				return err
			}
		}
	}
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for raw := range jobs {
				made, err := foldJob(j, raw, f)
				if err == nil {
					err = hand(raw.index, made)
				}
				if err != nil {
					cancel(err)
				}
			}
		})
	}
	err := j.eachRaw(ctx, from, to, jobs)
	close(jobs)
	wait.Wait()
	if cause := context.Cause(ctx); cause != nil {
		return cause
	}
	return err
}

// rawJob is one job's rows as they stand in the file.
type rawJob struct {
	index int
	job   string
	rows  []rawRow
}

type rawRow struct {
	seq              int64
	text, hash, prev []byte
}

func foldJob[T any](j *Journal, raw rawJob, f func(string, []record.Record) (T, error)) (T, error) {
	records := make([]record.Record, len(raw.rows))
	for i, r := range raw.rows {
		var err error
		if records[i], err = j.record(r.seq, r.text, r.hash, r.prev); err != nil {
			var none T
			return none, err
		}
	}
	return f(raw.job, records)
}

// timeIn is where a record's canonical text holds its time: "at" is the first
// of its members, and every stored time has one width, so times compare as text.
const timeIn = "substr(r.body, 8, 24)"

// eachRaw sends the rows of the jobs, one job after another.
func (j *Journal) eachRaw(ctx context.Context, from, to time.Time, jobs chan<- rawJob) error {
	where, args := "", []any{}
	if !from.IsZero() || !to.IsZero() {
		lo, hi := "", "9"+stamp
		if !from.IsZero() {
			lo = from.UTC().Format(stamp)
		}
		if !to.IsZero() {
			hi = to.UTC().Format(stamp)
		}
		where = "WHERE r.job IN (SELECT r.job FROM record r WHERE " + timeIn + " >= ? AND " + timeIn + " < ?)"
		args = []any{lo, hi}
	}
	rows, err := j.readers.QueryContext(ctx, `SELECT r.job, r.seq, r.body, r.hash, p.hash
		FROM record r LEFT JOIN record p ON p.seq = r.seq - 1 `+where+` ORDER BY r.job, r.seq`, args...)
	if err != nil {
		return explain(err)
	}
	defer rows.Close()
	send := func(raw rawJob) error {
		if len(raw.rows) == 0 {
			return nil
		}
		select {
		case jobs <- raw:
			return nil
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
	raw := rawJob{}
	var job, text, hash, prev sql.RawBytes
	for rows.Next() {
		var r rawRow
		if err := rows.Scan(&job, &r.seq, &text, &hash, &prev); err != nil {
			return explain(err)
		}
		if string(job) != raw.job {
			if err := send(raw); err != nil {
				return err
			}
			next := raw.index
			if len(raw.rows) > 0 {
				next++
			}
			raw = rawJob{index: next, job: string(job)}
		}
		r.text, r.hash, r.prev = clone(text), clone(hash), clone(prev)
		raw.rows = append(raw.rows, r)
	}
	if err := rows.Err(); err != nil {
		return explain(err)
	}
	return send(raw)
}

// clone copies what the driver lends; nil stays nil.
func clone(b sql.RawBytes) []byte {
	if b == nil {
		return nil
	}
	return append(make([]byte, 0, len(b)), b...)
}
