package dialogue

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// take stores the entries of a phrase and answers them.
func (s *Session) take(ctx context.Context, p Phrase, entries []entry.Entry) (Reply, error) {
	before, err := s.records(ctx)
	if err != nil {
		return Reply{}, err
	}
	before = slices.DeleteFunc(before, func(r record.Record) bool {
		return slices.ContainsFunc(p.Amends, func(a record.Record) bool { return a.Seq == r.Seq })
	})
	if asked, ok := closing(entries, before); ok {
		return s.keep(ctx, p, []placed{asked})
	}
	if c, ok := entries[0].(entry.Correction); ok && len(entries) == 1 {
		c, q, nothing := s.correcting(c, before)
		if nothing != "" {
			return Reply{Outcome: Taken, Text: nothing}, nil
		}
		if q != nil && p.Doubt == "" {
			return s.keep(ctx, p, []placed{{entry: c, ask: q}})
		}
		entries = []entry.Entry{c}
	}
	entries = inOrder(p, entries, before)
	placed := s.place(entries, before, p)
	if err := s.askHalf(ctx, p, placed, before); err != nil {
		return Reply{}, err
	}
	if why := p.unshown(placed); why != "" {
		return s.unparsed(ctx, p, &grammar.Error{Message: why})
	}
	return s.keep(ctx, p, placed)
}

// keep stores placed entries, and puts the first of their questions.
func (s *Session) keep(ctx context.Context, p Phrase, placed []placed) (Reply, error) {
	job := s.Job
	records, err := s.store(ctx, &p, placed)
	if err != nil {
		return Reply{}, err
	}
	for i := range placed {
		switch ask := placed[i].ask; {
		case ask == nil:
		case ask.text == "": // asked about together with the first
			s.asked[0].with = append(s.asked[0].with, records[i])
		default:
			ask.record = records[i]
			s.asked = append(s.asked, *ask)
		}
	}
	switch q, err := s.stillSo(ctx, records); {
	case err != nil:
		return Reply{}, err
	case q != nil:
		s.asked = append(s.asked, *q)
	}
	outcome := Taken
	if len(s.asked) > 0 {
		outcome = Asked
	}
	r, err := s.reply(ctx, outcome, records, nil)
	r.Warning = p.warning
	if err == nil && closes(records) {
		next, lerr := s.leave(ctx)
		r.Text, err = r.Text+" "+next, lerr
	}
	if err == nil && Starts(placed[0].entry) {
		other, oerr := s.staysOpen(ctx, job)
		r.Text, err = r.Text+other, oerr
	}
	return r, err
}

// store appends placed entries in one transaction. A job that the phrase
// starts holds the entries after it.
func (s *Session) store(ctx context.Context, p *Phrase, placed []placed) ([]record.Record, error) {
	job := s.Job
	var drafts []record.Draft
	for _, r := range p.Amends {
		drafts = append(drafts, p.draft(job, entry.Correction{Verb: "scratch", Entry: r.Seq}))
	}
	for _, e := range placed {
		if Starts(e.entry) {
			job = e.entry.(entry.Job).Number
		}
		d := p.draft(job, e.entry)
		without, err := s.ofNoJob(ctx, p, job, e.entry)
		if err != nil {
			return nil, err
		}
		if without {
			d.Job = ""
		}
		d.Unconfirmed = e.ask != nil && e.ask.blocks
		drafts = append(drafts, d)
	}
	if len(p.Sound) > 0 {
		// Sound is kept where consent was logged. An entry is worth more than
		// its sound: what is wrong with that is said, and the entry stored.
		clip, err := s.Journal.PutClip(ctx, s.Job, bytes.NewReader(p.Sound))
		if err != nil && !errors.Is(err, journal.ErrNoConsent) && !errors.Is(err, journal.ErrNoJob) {
			p.warning = fmt.Sprintf("the sound could not be kept: %v", err)
		}
		for i := range drafts {
			drafts[i].Clip = clip
		}
	}
	records, err := s.Journal.Append(ctx, drafts...)
	if err != nil {
		return nil, fmt.Errorf("keep %q: %w", p.Text, err)
	}
	s.Job = job
	for _, e := range placed {
		if _, moved := e.entry.(entry.Site); moved || Starts(e.entry) {
			s.Options, err = s.Gather(ctx, job)
		}
	}
	return records[len(p.Amends):], err
}

func (p Phrase) draft(job string, e entry.Entry) record.Draft {
	return record.Draft{
		Job: job, At: p.At, Zone: p.Zone, TimeSource: p.TimeSource, Origin: p.Origin,
		Phrase: p.Text, Heard: p.Heard, Line: p.Line, Entry: e,
	}
}

func (s *Session) append(ctx context.Context, p Phrase, entries ...entry.Entry) ([]record.Record, error) {
	ps := make([]placed, len(entries))
	for i, e := range entries {
		ps[i].entry = e
	}
	return s.store(ctx, &p, ps)
}

func (s *Session) records(ctx context.Context) ([]record.Record, error) {
	if s.Job == "" {
		return nil, nil
	}
	records, err := s.Journal.Job(ctx, s.Job)
	if errors.Is(err, journal.ErrNoJob) {
		return nil, nil
	}
	return records, err
}
