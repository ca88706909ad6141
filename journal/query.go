package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"downlead/journal/record"
)

// Head returns the chain's head and the number of records. An empty journal
// has a head of zeros.
func (j *Journal) Head(ctx context.Context) (record.Hash, int64, error) {
	return readHead(ctx, j.readers)
}

func readHead(ctx context.Context, q querier) (h record.Hash, seq int64, err error) {
	var b sql.RawBytes
	rows, err := q.QueryContext(ctx, "SELECT seq, hash FROM record ORDER BY seq DESC LIMIT 1")
	if err != nil {
		return h, 0, explain(err)
	}
	defer rows.Close()
	if rows.Next() {
		if err := rows.Scan(&seq, &b); err != nil {
			return h, 0, explain(err)
		}
		copy(h[:], b)
	}
	return h, seq, explain(rows.Err())
}

// Job returns the records of a job, in order of seq, each checked against the
// chain. Errors: ErrNoJob, ErrNotIntact.
func (j *Journal) Job(ctx context.Context, number string) ([]record.Record, error) {
	records, err := j.records(ctx, "WHERE r.job = ? ORDER BY r.seq", number)
	if err == nil && len(records) == 0 {
		err = fmt.Errorf("%w: %s", ErrNoJob, number)
	}
	return records, err
}

// Record returns one record.
func (j *Journal) Record(ctx context.Context, seq int64) (record.Record, error) {
	records, err := j.records(ctx, "WHERE r.seq = ?", seq)
	if err != nil {
		return record.Record{}, err
	}
	if len(records) == 0 {
		return record.Record{}, fmt.Errorf("the journal has no entry %d", seq)
	}
	return records[0], nil
}

// Since returns up to limit records after seq, of every job, in order.
func (j *Journal) Since(ctx context.Context, seq int64, limit int) ([]record.Record, error) {
	return j.records(ctx, "WHERE r.seq > ? ORDER BY r.seq LIMIT ?", seq, limit)
}

// records reads and checks the records that a clause selects.
func (j *Journal) records(ctx context.Context, clause string, args ...any) ([]record.Record, error) {
	return j.recordsFrom(ctx, j.readers, clause, args...)
}

func (j *Journal) recordsFrom(ctx context.Context, q querier, clause string, args ...any) ([]record.Record, error) {
	rows, err := q.QueryContext(ctx, `SELECT r.seq, r.body, r.hash, p.hash FROM record r LEFT JOIN record p ON p.seq = r.seq - 1 `+clause, args...)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var out []record.Record
	var text, hash, prev sql.RawBytes
	for rows.Next() {
		var seq int64
		if err := rows.Scan(&seq, &text, &hash, &prev); err != nil {
			return nil, explain(err)
		}
		r, err := j.record(seq, text, hash, prev)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, explain(rows.Err())
}

// record turns a row into a record, or says that it does not fit the chain.
func (j *Journal) record(seq int64, text, hash, prev []byte) (record.Record, error) {
	r := record.Record{Seq: seq}
	copy(r.Prev[:], prev)
	copy(r.Hash[:], hash)
	if (prev == nil) != (seq == 1) || record.Chain(r.Prev, text) != r.Hash {
		return r, &DamageError{Seq: seq, What: "its text or its hash was changed"}
	}
	inside, d, err := decode(text, &j.zones)
	if err != nil {
		return r, &DamageError{Seq: seq, What: "it cannot be read: " + err.Error()}
	}
	if inside != seq {
		return r, &DamageError{Seq: seq, What: fmt.Sprintf("its text says it is entry %d", inside)}
	}
	r.Draft = d
	return r, nil
}

// CurrentJob returns the number of the job last started or reopened and not
// closed; ErrNoJob when there is none.
func (j *Journal) CurrentJob(ctx context.Context) (string, error) {
	var number string
	row := j.readers.QueryRowContext(ctx, "SELECT number FROM job WHERE open = 1 AND turn > 0 ORDER BY turn DESC LIMIT 1")
	err := row.Scan(&number)
	if errors.Is(err, sql.ErrNoRows) {
		return "", fmt.Errorf("%w: none is open", ErrNoJob)
	}
	return number, explain(err)
}

// Samples returns the draws of inspection samples, in order.
func (j *Journal) Samples(ctx context.Context) ([]record.Record, error) {
	return j.records(ctx, "WHERE r.job = '' AND r.kind = 'sample' ORDER BY r.seq")
}

// Imports returns the marks of imports of the file with this SHA-256, of every
// job, in order.
func (j *Journal) Imports(ctx context.Context, sum string) ([]record.Record, error) {
	return j.records(ctx, "WHERE r.kind = 'import' AND instr(r.body, ?) > 0 ORDER BY r.seq", sum)
}

// CountAt returns how many records there were when the chain's head was a hash.
func (j *Journal) CountAt(ctx context.Context, head record.Hash) (int64, error) {
	var seq int64
	err := j.readers.QueryRowContext(ctx, "SELECT seq FROM record WHERE hash = ?", head[:]).Scan(&seq)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, fmt.Errorf("%s was never the head of this journal: take it from the record that was handed out", head)
	}
	return seq, explain(err)
}

// Change names a job that has entries after some point of the chain.
type Change struct {
	Job  string // "" for what was logged outside any job
	Last int64  // seq of its last entry
}

// Changed returns the jobs that have an entry after seq and none after upTo,
// in order of their last entry: whoever has taken in those up to some job has
// all jobs whose last entry is not after that one's.
func (j *Journal) Changed(ctx context.Context, seq, upTo int64) ([]Change, error) {
	rows, err := j.readers.QueryContext(ctx, "SELECT job, max(seq) FROM record WHERE seq > ? AND seq <= ? GROUP BY job ORDER BY 2", seq, upTo)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var out []Change
	for rows.Next() {
		var c Change
		if err := rows.Scan(&c.Job, &c.Last); err != nil {
			return nil, explain(err)
		}
		out = append(out, c)
	}
	return out, explain(rows.Err())
}

// UpTo returns the records of a job, "" for those outside any, up to a seq, in
// order, each checked against the chain.
func (j *Journal) UpTo(ctx context.Context, job string, seq int64) ([]record.Record, error) {
	return j.records(ctx, "WHERE r.job = ? AND r.seq <= ? ORDER BY r.seq", job, seq)
}

// HashAt returns the chain's hash at an entry; that of an empty journal at 0.
func (j *Journal) HashAt(ctx context.Context, seq int64) (record.Hash, error) {
	if seq == 0 {
		return record.Hash{}, nil
	}
	r, err := j.Record(ctx, seq)
	if err != nil {
		return record.Hash{}, fmt.Errorf("hash of the chain: %w", err)
	}
	return r.Hash, nil
}
