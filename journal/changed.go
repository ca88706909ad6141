package journal

import (
	"context"
	"fmt"

	"downlead/journal/record"
)

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
