package records

import (
	"cmp"
	"context"
	"slices"
	"time"

	"downlead/cmd/downlead/cli"
	"downlead/export/quality"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// drawn is a draw of the month's sample that was made already: the one that was
// kept, or for an auditor the one as from the head that is named.
type drawn struct {
	count int64     // records that the journal then had; 0: none was made
	at    time.Time // when it was kept
	kept  entry.Sample
	head  record.Hash // named by an auditor
}

func drawnBefore(ctx context.Context, j *journal.Journal, f qualityFlags) (d drawn, err error) {
	if f.head != "" {
		if d.head, err = record.ParseHash(f.head); err != nil {
			return d, cli.UsageError{Err: err}
		}
		d.count, err = j.CountAt(ctx, d.head)
		return d, err
	}
	r, kept, err := lastSample(ctx, j, f.month, cmp.Or(f.lot, f.month))
	if err != nil || kept.Head == "" {
		return d, err
	}
	return drawn{count: kept.Count, at: r.At, kept: kept}, nil
}

// sample is the sample of a lot as it was drawn from the lot then; nil where it
// is to be drawn from the journal's head. What was drawn while the month still
// ran stands until the lot is another; what was drawn after its end stands for
// good.
func (d drawn) sample(f qualityFlags, now, then []string, monthEnd time.Time) (*quality.Sample, error) {
	switch {
	case f.head != "":
		s := quality.Draw(cmp.Or(f.lot, f.month), d.head, d.count, then)
		return &s, nil
	case d.count == 0 || d.at.Before(monthEnd) && !slices.Equal(then, now):
		return nil, nil
	}
	s, err := quality.KeptSample(d.kept)
	s.After = slices.DeleteFunc(now, func(v string) bool { return slices.Contains(then, v) })
	return &s, err
}

// lastSample is the draw that was kept last of a lot; its Head is "" where
// there is none.
func lastSample(ctx context.Context, j *journal.Journal, month, lot string) (record record.Record, kept entry.Sample, err error) {
	records, err := j.Samples(ctx)
	for _, r := range records {
		if s, ok := r.Entry.(entry.Sample); ok && s.Month == month && s.Lot == lot {
			record, kept = r, s
		}
	}
	return record, kept, err
}

// keepSample keeps the draw in the journal.
func keepSample(ctx context.Context, e *cli.Env, g *cli.Global, q *quality.Quality) error {
	j, err := e.OpenJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	_, err = j.Append(ctx, record.Draft{
		At: e.Now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Tool, Entry: q.Sample.Entry(q.Month),
	})
	q.Sample.Kept = err == nil
	return err
}
