package dialogue

import (
	"context"
	"errors"
	"slices"

	"downlead/diagnose/claim"
	"downlead/diagnose/next"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
)

// Tell is Hear for those who go on whatever a phrase was: where no job is open,
// or the job is closed, the reply says so. Only a journal that cannot be
// written is an error.
func (s *Session) Tell(ctx context.Context, p Phrase) (Reply, error) {
	r, err := s.Hear(ctx, p)
	switch {
	case errors.Is(err, ErrNoJob), errors.Is(err, journal.ErrNoJob):
		return refused("no job is open; say: start job, and its number", ""), nil
	case errors.Is(err, journal.ErrClosed):
		return refused("that job is closed", "reopen job"), nil
	}
	return r, err
}

// understood reads a phrase as entries. What sounds like a phrase is one in
// doubt, and a figure by itself is of the point that was named.
func (s *Session) understood(ctx context.Context, p *Phrase) ([]entry.Entry, error) {
	entries, err := s.Parser.Parse(p.Text)
	var bad *grammar.Error
	if err == nil || s.Job == "" || !errors.As(err, &bad) {
		return entries, err
	}
	if bad.Proposal != nil {
		if slices.ContainsFunc(bad.Proposal.Entries, func(e entry.Entry) bool {
			_, missing := entry.Complete(e, nil)
			return missing == entry.MissingPart
		}) {
			return bad.Proposal.Entries, nil // its place is asked, not its words
		}
		p.Doubt = "it is not as the words are spelt"
		return bad.Proposal.Entries, nil
	}
	if records, rerr := s.records(ctx); rerr == nil {
		if previous := lastPoint(records); previous != nil {
			if beside := s.Parser.ParseBeside(p.Text, *previous); beside != nil {
				return beside, nil
			}
		}
	}
	if r, ok := s.Parser.ParseBare(p.Text); ok {
		named, nerr := s.named(ctx)
		if nerr != nil {
			return nil, nerr
		}
		if named != nil {
			r.Point, r.Assumed = *named, append(r.Assumed, "point")
		}
		return []entry.Entry{r}, nil
	}
	return nil, err
}

// named is the point that the last answer told to read next; nil when it named
// none.
func (s *Session) named(ctx context.Context) (*entry.Point, error) {
	records, err := s.records(ctx)
	if err != nil || len(records) == 0 {
		return nil, err
	}
	switch e := records[len(records)-1].Entry.(type) {
	case entry.Question:
		if e.Question != "next" {
			return nil, nil
		}
	case entry.Reading, entry.Action, entry.Check:
	default:
		return nil, nil
	}
	d := claim.Diagnose(records, s.Options)
	if d.Next == nil || d.Next.Act != next.ActRead || d.Next.Point.Element == "" {
		return nil, nil
	}
	return &d.Next.Point, nil
}
