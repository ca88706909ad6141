package review

import (
	"context"
	"fmt"
	"slices"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/journal/record"
)

// facts are what one job's records say without inference. They are shared by
// requests and never changed.
type facts struct {
	number  string
	records []record.Record
	view    []record.Viewed
	current []record.Record
	job     *diagnose.Job
	last    int64
	head    record.Hash
}

// jobCall is one job for one request: its facts, and what was concluded from
// them.
type jobCall struct {
	*facts
	d claim.Diagnosis
	// late says that d is of the entries before: the new ones are still being
	// weighed.
	late bool
}

// keptCalls is how many jobs are remembered: as many as one person has open
// in tabs.
const keptCalls = 16

// patience is how long a page waits for the diagnosis. Nearly always it is
// there in a few milliseconds; readings that fit nothing take longer to
// weigh, and the words and the path need not wait for that.
const patience = 50 * time.Millisecond

// call reads a job and concludes from it. What was read is remembered until
// the job gets another entry.
func (s *server) call(ctx context.Context, number string) (*jobCall, error) {
	summary, err := s.cfg.Journal.Summary(ctx, number)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	f := s.facts[number]
	s.mu.Unlock()
	if f == nil || f.head != summary.Head {
		if f, err = s.read(ctx, number, f); err != nil {
			return nil, err
		}
	}
	d, late, err := s.conclude(ctx, f)
	if err != nil {
		return nil, err
	}
	return &jobCall{facts: f, d: d, late: late}, nil
}

// read reads a job; where it was read before, only what came since.
func (s *server) read(ctx context.Context, number string, before *facts) (*facts, error) {
	records, err := s.since(ctx, before)
	if err == nil && records == nil {
		records, err = s.cfg.Journal.Job(ctx, number)
	}
	if err != nil {
		return nil, err
	}
	last := records[len(records)-1]
	f := &facts{number: number, records: records, last: last.Seq, head: last.Hash}
	f.job = diagnose.NewJob(records, level.Options{})
	f.view, f.current = f.job.View(), f.job.Current()
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.facts) >= keptCalls {
		clear(s.facts)
	}
	s.facts[number] = f
	return f, nil
}

// since returns the records of a job that was read before, with those that
// came since; nil where it is easier to read it whole.
func (s *server) since(ctx context.Context, before *facts) ([]record.Record, error) {
	const most = 500 // records of all jobs
	if before == nil {
		return nil, nil
	}
	newer, err := s.cfg.Journal.Since(ctx, before.last, most)
	if err != nil || len(newer) == most {
		return nil, err
	}
	records := slices.Clone(before.records)
	for _, r := range newer {
		if r.Job == before.number {
			records = append(records, r)
		}
	}
	return records, nil
}

// open reports whether the job is open.
func (f *facts) open() bool { return f.job.Phase() != call.Closed }

// conclusion is a diagnosis that is ready once done is closed.
type conclusion struct {
	last   int64 // the job's last record that it counts
	done   chan struct{}
	d      claim.Diagnosis
	err    error
	before claim.Diagnosis // the one before it
}

// conclude returns the diagnosis of a job, or, where that takes longer than a
// page may wait, the one before it. One diagnosis of a job is under way at a
// time, however many entries come in meanwhile.
func (s *server) conclude(ctx context.Context, f *facts) (d claim.Diagnosis, late bool, err error) {
	enough := time.After(patience)
	for {
		k := s.begin(ctx, f)
		select {
		case <-k.done:
			if k.last >= f.last {
				return k.d, false, k.err
			}
		case <-enough:
			return k.before, true, nil
		case <-ctx.Done():
			return d, false, fmt.Errorf("diagnose job %s: %w", f.number, ctx.Err())
		}
	}
}

// begin starts the diagnosis of a job unless it is known or one is under way.
func (s *server) begin(ctx context.Context, f *facts) *conclusion {
	s.mu.Lock()
	defer s.mu.Unlock()
	k := s.known[f.number]
	next := &conclusion{last: f.last, done: make(chan struct{}), before: claim.Diagnosis{Job: f.number, Path: f.job.Call().Path.Elements}}
	if k != nil {
		select {
		case <-k.done:
			if k.last >= f.last && k.err == nil {
				return k
			}
			next.before = k.d
		default:
			return k
		}
	}
	if len(s.known) >= keptCalls {
		clear(s.known)
	}
	s.known[f.number] = next
	// It goes on when this request gives up: the next one will want it.
	ctx = context.WithoutCancel(ctx)
	s.working.Go(func() {
		defer close(next.done)
		defer func() {
			if p := recover(); p != nil {
				next.err = s.failed(p)
			}
		}()
		o, err := s.cfg.Options(ctx, f.number)
		if err != nil {
			next.err = err
			return
		}
		next.d = f.job.Weigh(o)
	})
	return next
}
