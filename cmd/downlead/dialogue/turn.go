package dialogue

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// toJob goes to another job, or gives this one its right number.
func (s *Session) toJob(ctx context.Context, p Phrase, j entry.Job) (Reply, error) {
	sum, err := s.Journal.Summary(ctx, j.Number)
	known := err == nil
	if err != nil && !errors.Is(err, journal.ErrNoJob) {
		return Reply{}, err
	}
	if j.Verb == "rename" {
		return s.rename(ctx, p, j, known)
	}
	switch {
	case !known:
		return refused("there is no job "+j.Number, "start job "+j.Number), nil
	case !sum.Open:
		return refused("job "+j.Number+" is closed", "reopen job "+j.Number), nil
	}
	records, err := s.Journal.Append(ctx, p.draft(j.Number, j))
	if err != nil {
		return Reply{}, err
	}
	s.Job, s.asked = j.Number, nil
	if s.Options, err = s.Gather(ctx, s.Job); err != nil {
		return Reply{}, err
	}
	return Reply{Outcome: Taken, Records: records, Text: "On job " + j.Number + " now."}, nil
}

// refused says why a phrase does nothing, and which phrase would; "" where none.
func refused(message, next string) Reply {
	r := Reply{Outcome: Unparsed, Text: message, Next: next, Err: &grammar.Error{Message: message}}
	if next != "" {
		r.Text += "; say: " + next
	}
	return r
}

// begin is for a job that is to be started and is there already: one goes on
// with it where it is open, and is told how to where it is closed.
func (s *Session) begin(ctx context.Context, p Phrase, j entry.Job) (Reply, bool, error) {
	switch _, err := s.Journal.Summary(ctx, j.Number); {
	case errors.Is(err, journal.ErrNoJob):
		return Reply{}, false, nil
	case err != nil:
		return Reply{}, false, err
	}
	j.Verb = "switch"
	r, err := s.toJob(ctx, p, j)
	if err == nil && r.Outcome == Taken {
		r.Text = "Job " + j.Number + " was started before. " + r.Text
	}
	return r, true, err
}

// reopened completes "reopen job": its number may stand before the reason, and
// where none does the job that was closed last is meant.
func (s *Session) reopened(ctx context.Context, j entry.Job) (entry.Job, *Reply, error) {
	words := strings.Fields(j.Text)
	for n := min(len(words), mostDigits); n > 0; n-- {
		entries, err := s.Parser.Parse("back to job " + strings.Join(words[:n], " "))
		if err != nil || len(entries) != 1 {
			continue
		}
		to, ok := entries[0].(entry.Job)
		if !ok || to.Verb != "switch" {
			continue
		}
		sum, err := s.Journal.Summary(ctx, to.Number)
		switch {
		case errors.Is(err, journal.ErrNoJob):
			r := refused("there is no job "+to.Number, "start job "+to.Number)
			return j, &r, nil
		case err != nil:
			return j, nil, err
		case sum.Open:
			r := refused("job "+to.Number+" is open", "back to job "+to.Number)
			return j, &r, nil
		}
		j.Number, j.Text = to.Number, strings.TrimLeft(strings.Join(words[n:], " "), ",.;: ")
		return j, nil, nil
	}
	var err error
	if j.Number, err = s.lastClosed(ctx); err == nil && j.Number == "" {
		r := refused("no job is closed that could be opened again", "")
		return j, &r, nil
	}
	return j, nil, err
}

// mostDigits is how many words the number of a job may have in speech. A judgement.
const mostDigits = 8

// staysOpen tells of the job that another was started beside.
func (s *Session) staysOpen(ctx context.Context, other string) (string, error) {
	if other == "" || other == s.Job {
		return "", nil
	}
	sum, err := s.Journal.Summary(ctx, other)
	if err != nil || !sum.Open {
		return "", err
	}
	return fmt.Sprintf(" Job %s stays open; for it, say: back to job %s.", other, other), nil
}

// rename puts what counts of the job under its right number: it is taken back
// here and said there, with its times, and this job is closed.
func (s *Session) rename(ctx context.Context, p Phrase, j entry.Job, known bool) (Reply, error) {
	switch {
	case s.Job == "":
		return Reply{}, fmt.Errorf("%w: %q was not kept", ErrNoJob, p.Text)
	case j.Number == s.Job:
		return Reply{Outcome: Taken, Text: "This is job " + s.Job + "."}, nil
	case known:
		return refused(fmt.Sprintf("there is a job %s already: go there, and tell again what belongs there", j.Number), "back to job "+j.Number), nil
	}
	before, err := s.records(ctx)
	if err != nil {
		return Reply{}, err
	}
	drafts := []record.Draft{}
	start := p.draft(j.Number, entry.Job{Verb: "start", Number: j.Number})
	moved := []record.Draft{}
	for _, r := range record.View(before) {
		if r.SupersededBy != 0 {
			continue
		}
		if e, ok := r.Entry.(entry.Job); ok && e.Verb != "complaint" {
			if !r.Unconfirmed {
				start.At, start.Zone, start.TimeSource = r.At, r.Zone, r.TimeSource
			}
			continue
		}
		switch r.Entry.(type) {
		case entry.Photo, entry.Closeout, entry.Purge, entry.Import, entry.Correction, entry.Question:
			continue
		}
		d := r.Draft // what was not understood or confirmed goes along as such
		d.Job = j.Number
		moved = append(moved, d)
		drafts = append(drafts, p.draft(s.Job, entry.Correction{Verb: "scratch", Entry: r.Seq}))
	}
	drafts = append(append(drafts, start), moved...)
	drafts = append(drafts, p.draft(s.Job, j))
	records, err := s.Journal.Append(ctx, drafts...)
	if err != nil {
		return Reply{}, err
	}
	old := s.Job
	s.Job, s.asked = j.Number, nil
	if s.Options, err = s.Gather(ctx, s.Job); err != nil {
		return Reply{}, err
	}
	return Reply{Outcome: Taken, Records: records, Text: fmt.Sprintf("Job %s is job %s now, with all that was said.", old, j.Number)}, nil
}

// leave goes on after a job was closed: to the open job used last, or to none.
func (s *Session) leave(ctx context.Context) (string, error) {
	s.closed = s.Job
	number, err := s.Journal.CurrentJob(ctx)
	if errors.Is(err, journal.ErrNoJob) {
		s.Job = ""
		return "No job is open. To go on, say: start job, and its number.", nil
	}
	if err != nil {
		return "", err
	}
	s.Job = number
	s.Options, err = s.Gather(ctx, number)
	return "On job " + number + " now.", err
}

// lastClosed is the job that "reopen job" means: the one at hand where it is
// closed, the one that was just closed, else the one closed last.
func (s *Session) lastClosed(ctx context.Context) (string, error) {
	if s.closed != "" {
		return s.closed, nil
	}
	jobs, err := s.Journal.Jobs(ctx)
	if err != nil {
		return "", err
	}
	last := record.Summary{}
	for _, j := range jobs {
		if !j.Open && j.Number == s.Job {
			return j.Number, nil
		}
		if !j.Open && (last.Number == "" || j.Closed.After(last.Closed)) {
			last = j
		}
	}
	return last.Number, nil
}

// shut says of a closed job that nothing goes into it.
func (s *Session) shut(ctx context.Context, entries []entry.Entry) (Reply, bool, error) {
	if s.Job == "" || Starts(entries[0]) {
		return Reply{}, false, nil
	}
	sum, err := s.Journal.Summary(ctx, s.Job)
	if errors.Is(err, journal.ErrNoJob) || err == nil && sum.Open {
		return Reply{}, false, nil
	}
	if err != nil {
		return Reply{}, false, err
	}
	for _, e := range entries {
		if e.Kind() != entry.KindQuestion {
			return refused("job "+s.Job+" is closed", "reopen job "+s.Job), true, nil
		}
	}
	return Reply{}, false, nil
}
