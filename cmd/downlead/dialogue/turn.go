package dialogue

import (
	"context"
	"errors"
	"fmt"

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
		return refused(fmt.Sprintf("there is no job %s; say: start job %s", j.Number, j.Number)), nil
	case !sum.Open:
		return refused(fmt.Sprintf("job %s is closed; say: reopen job, and why, after --job %s", j.Number, j.Number)), nil
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

func refused(message string) Reply {
	return Reply{Outcome: Unparsed, Text: message, Err: &grammar.Error{Message: message}}
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
		return refused(fmt.Sprintf("there is a job %s already; say: back to job %s, and tell again what belongs there", j.Number, j.Number)), nil
	}
	before, err := s.records(ctx)
	if err != nil {
		return Reply{}, err
	}
	drafts := []record.Draft{}
	start := p.draft(j.Number, entry.Job{Verb: "start", Number: j.Number})
	moved := []record.Draft{}
	for _, r := range record.Current(before) {
		if e, ok := r.Entry.(entry.Job); ok && e.Verb != "complaint" {
			start.At, start.Zone, start.TimeSource = r.At, r.Zone, r.TimeSource
			continue
		}
		switch r.Entry.(type) {
		case entry.Photo, entry.Closeout, entry.Purge, entry.Import:
			continue
		}
		d := r.Draft
		d.Job, d.Unconfirmed = j.Number, false
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
			return refused("job " + s.Job + " is closed; to go on with it, say: reopen job, and why"), true, nil
		}
	}
	return Reply{}, false, nil
}
