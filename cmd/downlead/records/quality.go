package records

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/review"
	"downlead/export/figure"
	"downlead/export/quality"
	"downlead/journal"
	"downlead/journal/record"
)

// qualityFlags are the options of quality.
type qualityFlags struct {
	month, lot, head, csv, jobs, pdf, paper string
	days                                    int
	force                                   bool
	team                                    teamFlags
}

func NewQuality(e *cli.Env, g *cli.Global) *cobra.Command {
	f := qualityFlags{}
	c := &cobra.Command{
		Use:   "quality",
		Short: "Judge a month: fixes that held, margins, completeness, a sample",
		Long: `Quality computes a month's figures from the jobs in the journal: first-time fix,
repeats, proof margin, completeness, and named intervals of time. The visit is
the unit: a job that was reopened and gone to again counts twice, and a visit
counts in the month it began in, whenever its job was closed. Every figure
comes with its definition, numerator, denominator, what was left out, and a 95 %
Wilson interval; under 30 visits there is no bare percentage. It also draws the
visits to inspect by a standard sampling plan. The draw follows from the lot's id
and the journal's head, so it can be repeated and not steered; it is made once,
kept in the journal, and stands whatever is logged afterwards, except that while
the month still runs another visit makes another draw. --head draws it again for
an auditor.

With --from or --journals it judges a whole team: a colleague's visit to the
same address undoes a fix as one's own does.`,
		Example: `  downlead quality --month 2026-11
  downlead quality --month 2026-11 --pdf quality.pdf --csv figures.csv --jobs-csv jobs.csv
  downlead quality --month 2026-11 --days 14 --json
  downlead quality --month 2026-11 --head 5f1c…
  downlead quality --month 2026-11 --from postgres://office@db.example/quality
  downlead quality --month 2026-11 --journals /media/stick/team`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runQuality(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.month, "month", "", "the `month`, as 2026-11 (default: this month)")
	fl.IntVar(&f.days, "days", quality.FixDays, "a fix holds when no visit finds a fault at the address again in so many `days`; 0 asks nothing of it")
	fl.StringVar(&f.lot, "lot", "", "the `id` of the lot to sample (default: the month)")
	fl.StringVar(&f.head, "head", "", "draw the sample again as from this `hash`, the journal's head that it was drawn from")
	fl.StringVar(&f.csv, "csv", "", "write the figures to a CSV `file`")
	fl.StringVar(&f.jobs, "jobs-csv", "", "write the jobs, with those drawn, to a CSV `file`")
	fl.StringVar(&f.pdf, "pdf", "", "write a PDF `file`")
	fl.StringVar(&f.paper, "paper", "", "letter or a4, the document's `paper` (default: by the locale)")
	f.team.add(fl)
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	return c
}

func runQuality(ctx context.Context, e *cli.Env, g *cli.Global, f qualityFlags) error {
	paper, err := paper(e, f.paper)
	if err != nil {
		return err
	}
	if f.month == "" {
		f.month = e.Now().Format("2006-01")
	}
	q, err := qualityOf(ctx, e, g, f)
	if err != nil {
		return err
	}
	if !q.Sample.Kept && f.head == "" && !f.team.given() {
		if err := keepSample(ctx, e, g, &q); err != nil {
			fmt.Fprintf(e.Err, "downlead: the sample could not be kept, and is drawn anew next time: %v\n", err)
		}
	}
	wrote, err := e.WriteFiles(ctx, g, f.force, []cli.OutFile{{Name: f.csv, Write: q.CSV}, {Name: f.jobs, Write: q.JobsCSV}, {Name: f.pdf, Write: func(w io.Writer) error { return q.PDF(w, paper) }}})
	switch {
	case err != nil:
		return err
	case g.JSON:
		return q.JSON(e.Out)
	case len(wrote) == 0:
		return q.Text(e.Out)
	}
	return nil
}

// qualityOf computes a month of the journal, or of the team.
func qualityOf(ctx context.Context, e *cli.Env, g *cli.Global, f qualityFlags) (quality.Quality, error) {
	if f.team.given() {
		return teamQuality(ctx, e, g, f)
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return quality.Quality{}, err
	}
	defer j.Close()
	return monthOf(ctx, e, j, f)
}

// monthOf computes a month from the visits of the month and of the days around
// it in which a fix must hold.
func monthOf(ctx context.Context, e *cli.Env, j *journal.Journal, f qualityFlags) (quality.Quality, error) {
	if f.days < 0 {
		return quality.Quality{}, cli.UsageError{Err: fmt.Errorf("--days is %d: a fix must hold for 0 days or more", f.days)}
	}
	zone, err := time.LoadLocation(journal.LocalZone())
	if err != nil {
		return quality.Quality{}, err
	}
	from, to, err := quality.MonthBounds(f.month, zone)
	if err != nil {
		return quality.Quality{}, cli.UsageError{Err: err}
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		return quality.Quality{}, err
	}
	d, err := drawnBefore(ctx, j, f)
	if err != nil {
		return quality.Quality{}, err
	}
	all, then, err := visits(ctx, j, from, to, f.days, d.count)
	if err != nil {
		return quality.Quality{}, err
	}
	sample, err := d.sample(f, quality.Lot(all, from, to), quality.Lot(then, from, to), to)
	if err != nil {
		return quality.Quality{}, err
	}
	return quality.NewQuality(quality.QualityInput{
		Visits: all, Month: f.month, Zone: zone, FixDays: f.days, Lot: f.lot, Sample: sample,
		Head: head, Count: count, Version: cli.Version(), AsOf: e.Now(),
	})
}

// visits are the visits of the month and of the days around it in which a fix
// must hold, and those, with nothing but what decides the lot, that were there
// when the journal had so many records; none for a count of 0. Both come of
// reading the journal once.
func visits(ctx context.Context, j *journal.Journal, from, to time.Time, days int, count int64) (all, then []quality.Visited, err error) {
	type cut struct{ all, then []quality.Visited }
	around := days + 1 // a day more, for what was told the day after
	cuts, err := journal.Fold(ctx, j, from.AddDate(0, 0, -around), to.AddDate(0, 0, around), func(job string, records []record.Record) (c cut, err error) {
		if job == "" {
			return c, nil
		}
		before := slices.DeleteFunc(slices.Clone(records), func(r record.Record) bool { return r.Seq > count })
		if len(before) > 0 {
			c.then = quality.NewLotVisits(before)
		}
		c.all, err = quality.NewVisited(records)
		return c, err
	})
	for _, c := range cuts {
		all, then = append(all, c.all...), append(then, c.then...)
	}
	return all, then, err
}

// qualityRecord lets the review page preview and save a month's quality.
func qualityRecord(e *cli.Env, j *journal.Journal) review.Record {
	month := func(ctx context.Context, month string) (quality.Quality, error) {
		return monthOf(ctx, e, j, qualityFlags{month: month, days: quality.FixDays})
	}
	rec := recordOf(month, quality.Quality.Text,
		form[quality.Quality]{"pdf", "application/pdf", qualityPDF(e)},
		form[quality.Quality]{"csv", "text/csv", quality.Quality.CSV},
		form[quality.Quality]{"json", "application/json", quality.Quality.JSON})
	rec.Leaf = func(ctx context.Context, key string) (figure.Leaf, error) {
		q, err := month(ctx, key)
		if err != nil {
			return figure.Leaf{}, err
		}
		return q.Leaf()
	}
	return rec
}

// qualityPDF is the document on the paper of the locale.
func qualityPDF(e *cli.Env) func(quality.Quality, io.Writer) error {
	return func(q quality.Quality, w io.Writer) error {
		paper, err := paper(e, "")
		if err != nil {
			return err
		}
		return q.PDF(w, paper)
	}
}
