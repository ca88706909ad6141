package main

import (
	"context"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/journal"
	"downlead/journal/record"
)

// learnFrom is how many of the newest jobs the odds are learned from: about a
// year of calls, and quick to read before every phrase that is typed.
const learnFrom = 500

// diagnoseOptions gathers what a diagnosis draws on beside the job's own
// records: the technician's tables, earlier closed jobs to learn from, and
// earlier jobs at the same site.
func (e *env) diagnoseOptions(ctx context.Context, j *journal.Journal, number string, learn bool) (level.Options, error) {
	var o level.Options
	var err error
	if o.Tables, err = e.tables(); err != nil {
		return o, err
	}
	jobs, err := j.Jobs(ctx)
	if err != nil {
		return o, err
	}
	var learned []record.Record
	site := ""
	for _, s := range jobs {
		if s.Number == number {
			site = s.SiteKey
		}
	}
	for i := len(jobs) - 1; i >= 0; i-- { // the oldest first
		s := jobs[i]
		same := site != "" && s.SiteKey == site
		if s.Number == number || s.Open || !same && (!learn || i >= learnFrom) {
			continue
		}
		records, err := j.Job(ctx, s.Number)
		if err != nil {
			return o, err
		}
		if learn {
			learned = append(learned, records...)
		}
		if same {
			o.History = append(o.History, records)
		}
	}
	if learn {
		o.Tables = fault.LearnPriors(o.Tables, learned)
	}
	return o, nil
}
