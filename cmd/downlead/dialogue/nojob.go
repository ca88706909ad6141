package dialogue

import (
	"context"
	"errors"

	"downlead/diagnose/visit"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// WithoutJob reports that a phrase marks time without a job, and nothing else.
func WithoutJob(entries []entry.Entry) bool {
	for _, e := range entries {
		if t, ok := e.(entry.Time); !ok || !visit.WithoutJob(t.Mark) {
			return false
		}
	}
	return len(entries) > 0
}

// ofNoJob reports that an entry belongs to no job: a mark of time without one,
// or a departure or a break while such time goes on. job is the one at hand, ""
// where none is.
func (s *Session) ofNoJob(ctx context.Context, p *Phrase, job string, e entry.Entry) (bool, error) {
	t, ok := e.(entry.Time)
	if ok && visit.WithoutJob(t.Mark) {
		return true, nil
	}
	if !ok || t.Mark != "departed" && t.Mark != "break_start" && t.Mark != "break_end" {
		return false, nil
	}
	other, err := s.marked(ctx, "", p)
	if err != nil || other == nil {
		return false, err
	}
	if mark := other.Entry.(entry.Time).Mark; mark == visit.DayEnd || mark == "departed" {
		return false, nil
	}
	if job == "" {
		return true, nil
	}
	own, err := s.marked(ctx, job, p)
	return own == nil || other.Happened().After(own.Happened()), err
}

// allOfNoJob reports that no entry of a phrase needs a job to be open.
func (s *Session) allOfNoJob(ctx context.Context, p *Phrase, entries []entry.Entry) (bool, error) {
	for _, e := range entries {
		if of, err := s.ofNoJob(ctx, p, "", e); err != nil || !of {
			return false, err
		}
	}
	return true, nil
}

// marked is the last time mark of a job before a phrase; nil where there is none.
func (s *Session) marked(ctx context.Context, job string, p *Phrase) (*record.Record, error) {
	records, err := s.Journal.Job(ctx, job)
	if err != nil && !errors.Is(err, journal.ErrNoJob) {
		return nil, err
	}
	var last *record.Record
	for _, r := range record.Current(records) {
		if _, mark := r.Entry.(entry.Time); mark && !r.Happened().After(p.At) && (last == nil || r.Happened().After(last.Happened())) {
			last = &r
		}
	}
	return last, nil
}
