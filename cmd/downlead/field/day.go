package field

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/day"
	"downlead/journal"
	"downlead/journal/record"
)

// dayFlags are the options of day.
type dayFlags struct {
	date, pdf, file string
	force           bool
}

func NewDay(e *cli.Env, g *cli.Global) *cobra.Command {
	f := dayFlags{}
	c := &cobra.Command{
		Use:   "day [DATE]",
		Short: "Sum up a day: jobs, times, miles, parts, what was left open",
		Long: `Day sums up one day: the jobs with how they stand, the times as they were
marked, the miles, what was used and what to restock, and what was left open and
for whom. A part that a logged repair put in and nobody said was used is marked
so. In the midst of a call, "how was the day" says the same.`,
		Example: `  downlead day
  downlead day 2026-11-18
  downlead day yesterday --pdf day.pdf
  downlead day --json`,
		Args: cli.Args(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				f.date = args[0]
			}
			return runDay(cmd.Context(), e, g, f)
		},
	}
	fl := c.Flags()
	fl.StringVar(&f.pdf, "pdf", "", "write a PDF `file`")
	fl.StringVar(&f.file, "json-file", "", "write the JSON `file`")
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	return c
}

func runDay(ctx context.Context, e *cli.Env, g *cli.Global, f dayFlags) error {
	at, err := dayOf(e.Now(), f.date)
	if err != nil {
		return err
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	d, err := sumUp(ctx, e, j, at)
	if errors.Is(err, day.ErrEmpty) {
		return cli.Hinted(err, "name another day, such as: %s", g.Paste("day", lastDay(e.Jobs(g), at)))
	}
	if err != nil {
		return err
	}
	wrote, err := e.WriteFiles(ctx, g, f.force, []cli.OutFile{{Name: f.pdf, Write: d.PDF}, {Name: f.file, Write: d.JSON}})
	switch {
	case err != nil:
		return err
	case g.JSON:
		return d.JSON(e.Out)
	case len(wrote) == 0:
		return d.Text(e.Out)
	}
	return nil
}

// dayOf reads a date; "" is the day of now, in the machine's zone.
func dayOf(now time.Time, date string) (time.Time, error) {
	zone, err := time.LoadLocation(journal.LocalZone())
	if err != nil {
		zone = now.Location()
	}
	now = now.In(zone)
	switch date {
	case "", "today":
		return now, nil
	case "yesterday":
		return now.AddDate(0, 0, -1), nil
	}
	at, err := time.ParseInLocation(time.DateOnly, date, zone)
	if err != nil {
		return at, cli.UsageError{Err: fmt.Errorf("%q is no day: write it as %s, or say yesterday", date, now.Format(time.DateOnly))}
	}
	return at, nil
}

// lastDay is the day of the newest job, or the day before where there is none.
func lastDay(jobs []record.Summary, at time.Time) string {
	if len(jobs) == 0 {
		return at.AddDate(0, 0, -1).Format(time.DateOnly)
	}
	return jobs[0].Opened.In(at.Location()).Format(time.DateOnly)
}

// dayMargin is how far around a day jobs are read: a night's work goes on into
// the next day, and a time that was told may lie before its entry.
const dayMargin = 48 * time.Hour

// sumUp makes the record of the day of a time.
func sumUp(ctx context.Context, e *cli.Env, j *journal.Journal, at time.Time) (day.Day, error) {
	tables, err := e.Tables()
	if err != nil {
		return day.Day{}, err
	}
	jobs, err := journal.Fold(ctx, j, at.Add(-dayMargin), at.Add(dayMargin), func(_ string, records []record.Record) (*diagnose.Job, error) {
		return diagnose.NewJob(records, level.Options{Tables: tables}), nil
	})
	if err != nil {
		return day.Day{}, err
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		return day.Day{}, err
	}
	return day.New(day.Input{
		Jobs: jobs, Date: at, Version: cli.Version(), AsOf: e.Now(),
		Journal: closeout.ChainHead{Head: head.String(), Count: count},
	})
}

// SayDay tells a day, as it is spoken.
func SayDay(e *cli.Env, j *journal.Journal) func(context.Context, time.Time) (string, error) {
	return func(ctx context.Context, at time.Time) (string, error) {
		at, err := dayOf(at, "")
		if err != nil {
			return "", err
		}
		d, err := sumUp(ctx, e, j, at)
		if errors.Is(err, day.ErrEmpty) {
			return "Nothing was logged today.", nil
		}
		if err != nil {
			return "", err
		}
		return d.Say(), nil
	}
}
