package journal

import (
	"context"
	"iter"
	"strings"
	"time"
	"unicode"

	"downlead/journal/record"
)

// Query selects jobs. The zero Query selects all.
type Query struct {
	// Text is words of which each must be found: in the phrases and notes of
	// the job, its address, its number, its elements. Letters match the
	// beginning of a word, anything with a digit a whole one.
	Text   string
	Open   bool  // only jobs that are open
	Before int64 // the Seq of the last job of the page before; 0 for the first page
	Limit  int   // jobs a page; 0 means all
}

// Search returns the jobs a query selects, the newest first.
func (j *Journal) Search(ctx context.Context, q Query) ([]record.Summary, error) {
	where := []string{"1"}
	var args []any
	for _, w := range record.Tokens(q.Text) {
		if strings.ContainsFunc(w, unicode.IsDigit) {
			where = append(where, "job.number IN (SELECT job FROM word WHERE word = ?)")
			args = append(args, w)
			continue
		}
		where = append(where, "job.number IN (SELECT job FROM word WHERE word >= ? AND word < ?)")
		args = append(args, w, w+string(unicode.MaxRune))
	}
	if q.Open {
		where = append(where, "job.open = 1")
	}
	if q.Before > 0 {
		where = append(where, "job.start < ?")
		args = append(args, q.Before)
	}
	limit := q.Limit
	if limit <= 0 {
		limit = -1 // SQLite: no limit
	}
	return j.summaries(ctx, "WHERE "+strings.Join(where, " AND ")+" ORDER BY job.start DESC LIMIT ?", append(args, limit)...)
}

// Watch yields records after seq as they come, from this process or another,
// until ctx is done. It looks at the journal once in every interval, which
// costs one look-up when nothing is new. After an error it goes on looking,
// unless the caller stops.
func (j *Journal) Watch(ctx context.Context, seq int64, every time.Duration) iter.Seq2[record.Record, error] {
	const page = 500 // records held at a time; a judgement
	return func(yield func(record.Record, error) bool) {
		tick := time.NewTicker(every)
		defer tick.Stop()
		for ctx.Err() == nil {
			records, err := j.Since(ctx, seq, page)
			if err != nil && ctx.Err() == nil && !yield(record.Record{}, err) {
				return
			}
			for _, r := range records {
				if !yield(r, nil) {
					return
				}
				seq = r.Seq
			}
			if len(records) == page {
				continue
			}
			select {
			case <-ctx.Done():
			case <-tick.C:
			}
		}
	}
}

// Jump is a clock that went backwards between two records: the order of the
// records is that of their seq, and the times of one of them are wrong.
type Jump struct {
	Seq  int64 // the record with the earlier time
	Back time.Duration
}

// Jumps returns where the machine's clock went backwards. Times that were
// given, recorded or edited do not count.
func Jumps(records []record.Record) []Jump {
	var out []Jump
	var last time.Time
	for _, r := range records {
		if r.TimeSource != record.FromClock {
			continue
		}
		if r.At.Before(last) {
			out = append(out, Jump{r.Seq, last.Sub(r.At)})
		}
		last = r.At
	}
	return out
}
