package field

import (
	"context"
	"errors"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/journal"
)

// learnFrom is how many of the newest jobs the odds are learned from: about a
// year of calls.
const learnFrom = 500

// DiagnoseOptions gathers what a diagnosis draws on beside the job's own
// records: the technician's tables, earlier closed jobs to learn from, and
// earlier jobs at the same site.
func DiagnoseOptions(ctx context.Context, e *cli.Env, j *journal.Journal, number string, learn bool) (level.Options, error) {
	var o level.Options
	var err error
	if o.Tables, err = e.Tables(); err != nil {
		return o, err
	}
	this, err := j.Summary(ctx, number)
	if err != nil && !errors.Is(err, journal.ErrNoJob) {
		return o, err
	}
	same, err := j.AtSite(ctx, this.SiteKey)
	if err != nil {
		return o, err
	}
	for i := len(same) - 1; i >= 0; i-- { // the oldest first
		if s := same[i]; s.Number != number && !s.Open {
			records, err := j.Job(ctx, s.Number)
			if err != nil {
				return o, err
			}
			o.History = append(o.History, records)
		}
	}
	if !learn {
		return o, nil
	}
	lessons, err := lessons(ctx, e, j, number)
	if err != nil {
		return o, err
	}
	o.Tables = fault.LearnLessons(o.Tables, lessons)
	return o, nil
}
