package main

import (
	"cmp"
	"context"
	"slices"
	"time"

	"downlead/export/quality"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// sample is the month's sample where it is drawn already, nil where it is to
// be drawn from the journal's head: drawn again for an auditor from the head
// named, or as it was kept. What was drawn while the month still ran stands
// until the lot is another; what was drawn after its end stands for good.
func (e *env) sample(ctx context.Context, j *journal.Journal, f qualityFlags, visits []quality.Visited, from, to time.Time) (*quality.Sample, error) {
	if f.head != "" {
		return e.sampleAt(ctx, j, f, from, to)
	}
	record, kept, err := lastSample(ctx, j, f.month, cmp.Or(f.lot, f.month))
	if err != nil || kept.Head == "" {
		return nil, err
	}
	old, err := e.lotAt(ctx, j, from, to, kept.Count)
	if err != nil {
		return nil, err
	}
	now := quality.Lot(visits, from, to)
	if record.At.Before(to) && !slices.Equal(old, now) {
		return nil, nil
	}
	s, err := quality.KeptSample(kept)
	s.After = slices.DeleteFunc(now, func(v string) bool { return slices.Contains(old, v) })
	return &s, err
}

// sampleAt draws the sample as it was drawn when the journal's head was the one
// that is named.
func (e *env) sampleAt(ctx context.Context, j *journal.Journal, f qualityFlags, from, to time.Time) (*quality.Sample, error) {
	head, err := record.ParseHash(f.head)
	if err != nil {
		return nil, usageError{err}
	}
	count, err := j.CountAt(ctx, head)
	if err != nil {
		return nil, err
	}
	lot, err := e.lotAt(ctx, j, from, to, count)
	if err != nil {
		return nil, err
	}
	s := quality.Draw(cmp.Or(f.lot, f.month), head, count, lot)
	return &s, nil
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
func (e *env) keepSample(ctx context.Context, g *global, q *quality.Quality) error {
	j, err := e.openJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	_, err = j.Append(ctx, record.Draft{
		At: e.now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Tool, Entry: q.Sample.Entry(q.Month),
	})
	q.Sample.Kept = err == nil
	return err
}

// lotAt names the visits that were in the month's lot when the journal had so
// many records.
func (e *env) lotAt(ctx context.Context, j *journal.Journal, from, to time.Time, count int64) ([]string, error) {
	visits, err := e.visits(ctx, j, from, to, 0, count, func(records []record.Record) ([]quality.Visited, error) {
		return quality.NewLotVisits(records), nil
	})
	return quality.Lot(visits, from, to), err
}
