package diagnose

import (
	"slices"
	"sync"

	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Job is one job, folded from its records. What is concluded from them is
// computed when it is first asked for and kept until the next record, so that
// whoever speaks, shows, prints or exports has the same value before them. It
// may be used by several goroutines at once.
type Job struct {
	mu      sync.Mutex
	records []record.Record
	options level.Options
	kept
}

// kept is what was computed of the records so far.
type kept struct {
	view      []record.Viewed
	current   []record.Record
	progress  *call.Progress
	steps     []call.Step
	phase     call.Phase
	diagnosis *claim.Diagnosis
}

// NewJob folds the records of one job, in order of seq.
func NewJob(records []record.Record, o level.Options) *Job {
	return &Job{records: slices.Clip(records), options: o}
}

// Add folds further records of the job.
func (j *Job) Add(records ...record.Record) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.records = append(j.records, records...)
	j.kept = kept{}
}

// Records returns the records as stored.
func (j *Job) Records() []record.Record {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.records
}

// Options returns what the job is weighed with.
func (j *Job) Options() level.Options { return j.options }

// View returns every record with what later ones made of it.
func (j *Job) View() []record.Viewed {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.viewed()
}

func (j *Job) viewed() []record.Viewed {
	if j.view == nil {
		j.view = record.View(j.records)
	}
	return j.view
}

// Current returns what counts of the records, corrected.
func (j *Job) Current() []record.Record {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.counted()
}

func (j *Job) counted() []record.Record {
	if j.current == nil {
		j.current = record.Current(j.records)
	}
	return j.current
}

// Progress returns how far the call has come.
func (j *Job) Progress() *call.Progress {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.come()
}

func (j *Job) come() *call.Progress {
	if j.progress == nil {
		j.progress = call.NewProgress(trace.ReplayCurrent(j.counted()))
		j.steps, j.phase = j.progress.Plan()
	}
	return j.progress
}

// Call returns the entries replayed on the path.
func (j *Job) Call() trace.Call { return j.Progress().Call }

// Plan returns the steps of the call in order. While something fails, the
// search says where the fault is as everyone else says it.
func (j *Job) Plan() []call.Step {
	if len(j.Progress().Spans) == 0 {
		return j.steps
	}
	return claim.Steps(j.steps, j.Diagnosis())
}

// Phase returns where the call stands.
func (j *Job) Phase() call.Phase {
	j.Progress()
	return j.phase
}

// Diagnosis returns everything concluded from the job.
func (j *Job) Diagnosis() claim.Diagnosis {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.diagnosis == nil {
		d := claim.Conclude(j.come(), j.options)
		d.Unanswered = j.unanswered()
		j.diagnosis = &d
	}
	return *j.diagnosis
}

// unanswered lists what was asked about and not answered.
func (j *Job) unanswered() []int64 {
	var out []int64
	for _, v := range j.viewed() {
		switch v.Entry.(type) {
		case entry.Correction, entry.Unparsed: // these are no facts of the call
			continue
		}
		if v.Unconfirmed && v.SupersededBy == 0 {
			out = append(out, v.Seq)
		}
	}
	return out
}

// Weigh concludes with other options than the job was folded with, and keeps
// what comes of it.
func (j *Job) Weigh(o level.Options) claim.Diagnosis {
	j.mu.Lock()
	j.options, j.diagnosis = o, nil
	j.mu.Unlock()
	return j.Diagnosis()
}

// Next returns what to do next; nil when there is nothing.
func (j *Job) Next() *next.Next { return j.Diagnosis().Next }

// Claims returns all that may be said of the job, with the entries it rests on.
func (j *Job) Claims() []claim.Claim { return j.Diagnosis().Claims }

// Cautions returns the cautions that apply, each once, those of the next step
// among them.
func (j *Job) Cautions() []call.Caution {
	goal, step := j.Diagnosis().Leads(j.Call().Path)
	return call.Cautions(j.Progress(), goal, step)
}

// Explanation tells the customer what was wrong, what was done, and what to
// watch.
func (j *Job) Explanation() []string { return claim.CustomerExplanation(j.Progress(), j.Diagnosis()) }

// Explain says the diagnosis in at most a screen of text.
func (j *Job) Explain() string { return claim.Explain(j.Diagnosis(), j.Call()) }

// Answer is the spoken answer: how it stands, and what is next.
func (j *Job) Answer() string { return claim.Answer(j.Diagnosis()) }
