package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/review"
	"downlead/export"
	"downlead/journal"
)

// payFlags are the options of pay.
type payFlags struct {
	week, rates, csv, xlsx string
	force                  bool
}

func newPay(e *env, g *global) *cobra.Command {
	f := payFlags{}
	c := &cobra.Command{
		Use:   "pay",
		Short: "Add up a week: times, work codes, units, materials, miles",
		Long: `Pay adds up one week from the jobs in the journal by the rates in a TOML file.
What it computes is a check figure, not wages due: state law and the payroll
office decide. Odd things (a short meal, a reading inside a meal, a missing
departure, jobs that overlap) are flagged, not mended.`,
		Example: `  downlead pay --week 2026-W47
  downlead pay --week 2026-W47 --csv pay.csv --xlsx pay.xlsx
  downlead pay --week 2026-W47 --rates rates.toml --json`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPay(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.week, "week", "", "the `week` by ISO 8601, as 2026-W47 (default: this week)")
	fl.StringVar(&f.rates, "rates", "", "the rates `file` (default: rates.toml in the config folder)")
	fl.StringVar(&f.csv, "csv", "", "write a CSV `file`")
	fl.StringVar(&f.xlsx, "xlsx", "", "write an XLSX `file`")
	fl.BoolVar(&f.force, "force", false, "overwrite")
	return c
}

func runPay(ctx context.Context, e *env, g *global, f payFlags) error {
	j, err := e.readJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	if f.week == "" {
		year, week := e.now().ISOWeek()
		f.week = fmt.Sprintf("%d-W%02d", year, week)
	}
	p, err := e.pay(ctx, g, j, f.week, f.rates)
	if err != nil {
		return err
	}
	o := export.FileOptions{Force: f.force, Inputs: []string{e.journalPath(g)}}
	wrote := false
	for _, file := range []struct {
		name  string
		write func(io.Writer) error
	}{{f.csv, p.CSV}, {f.xlsx, p.XLSX}} {
		if file.name == "" {
			continue
		}
		if err := export.WriteFile(ctx, file.name, o, file.write); err != nil {
			return err
		}
		fmt.Fprintln(e.err, "written:", file.name)
		wrote = true
	}
	switch {
	case g.json:
		return p.JSON(e.out)
	case !wrote:
		return p.Text(e.out)
	}
	return nil
}

// pay computes a week from every job in the journal.
func (e *env) pay(ctx context.Context, g *global, j *journal.Journal, week, ratesFile string) (export.Pay, error) {
	if ratesFile == "" {
		ratesFile = filepath.Join(e.configFolder(), "rates.toml")
	}
	file, err := os.Open(ratesFile)
	if errors.Is(err, os.ErrNotExist) {
		return export.Pay{}, hinted(fmt.Errorf("no rates file at %s", ratesFile), "write one, or name it with --rates; its form is in: downlead help rates")
	}
	if err != nil {
		return export.Pay{}, err
	}
	defer file.Close()
	rates, err := export.ReadRates(file)
	if err != nil {
		return export.Pay{}, fmt.Errorf("%s: %w", ratesFile, err)
	}
	closeouts, err := e.closeouts(ctx, g, j, time.Time{}, time.Time{})
	if err != nil {
		return export.Pay{}, err
	}
	return export.NewPay(export.PayInput{Closeouts: closeouts, Rates: rates, Week: week, Version: version(), AsOf: e.now()})
}

// closeouts computes the closeout of every job opened between two times; a
// zero time is no bound.
func (e *env) closeouts(ctx context.Context, g *global, j *journal.Journal, from, to time.Time) ([]export.Closeout, error) {
	jobs, err := j.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var out []export.Closeout
	for _, s := range jobs {
		if !from.IsZero() && s.Opened.Before(from) || !to.IsZero() && !s.Opened.Before(to) {
			continue
		}
		c, _, err := e.closeout(ctx, &global{journal: g.journal, job: s.Number}, j)
		if err != nil {
			return nil, fmt.Errorf("job %s: %w", s.Number, err)
		}
		out = append(out, c)
	}
	return out, nil
}

// payRecord lets the review page preview and save a week's pay.
func (e *env) payRecord(g *global, j *journal.Journal) review.Record {
	form := func(name, media string, write func(export.Pay, io.Writer) error) review.Form {
		return review.Form{Name: name, MediaType: media, Write: func(ctx context.Context, w io.Writer, key string) error {
			p, err := e.pay(ctx, g, j, key, "")
			if err != nil {
				return err
			}
			return write(p, w)
		}}
	}
	return review.Record{
		Preview: func(ctx context.Context, key string) (string, error) {
			var b strings.Builder
			p, err := e.pay(ctx, g, j, key, "")
			if err != nil {
				return "", err
			}
			err = p.Text(&b)
			return b.String(), err
		},
		Forms: []review.Form{
			form("csv", "text/csv", export.Pay.CSV),
			form("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", export.Pay.XLSX),
			form("json", "application/json", export.Pay.JSON),
		},
	}
}
