package records

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/review"
	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/pay"
	"downlead/journal"
	"downlead/journal/record"
)

// payFlags are the options of pay.
type payFlags struct {
	week, rates, csv, xlsx string
	force, example         bool
	team                   teamFlags
}

func NewPay(e *cli.Env, g *cli.Global) *cobra.Command {
	f := payFlags{}
	c := &cobra.Command{
		Use:   "pay",
		Short: "Add up a week: times, work codes, units, materials, miles",
		Long: `Pay adds up one week from the jobs in the journal by the rates in a TOML file.
What it computes is a check figure, not wages due: state law and the payroll
office decide. Odd things (a short meal, a reading inside a meal, a missing
departure, jobs that overlap) are flagged, not mended.

With --from or --journals it adds up the week of every technician of a team, or
of the one that --technician names. --rates may then be a folder, with a file a
technician, NAME.toml.`,
		Example: `  downlead pay --week 2026-W47
  mkdir -p ~/.config/downlead && downlead pay --example > ~/.config/downlead/rates.toml
  downlead pay --week 2026-W47 --csv pay.csv --xlsx pay.xlsx
  downlead pay --week 2026-W47 --rates rates.toml --json
  downlead pay --week 2026-W47 --from postgres://office@db.example/quality --rates rates`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPay(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.week, "week", "", "the `week` by ISO 8601, as 2026-W47 (default: this week)")
	fl.StringVar(&f.rates, "rates", "", "the rates `file` (default: rates.toml in the config folder)")
	fl.StringVar(&f.csv, "csv", "", "write a CSV `file`")
	fl.StringVar(&f.xlsx, "xlsx", "", "write an XLSX `file`")
	f.team.add(fl)
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	fl.BoolVar(&f.example, "example", false, "print a rates file with every setting explained, and end")
	return c
}

func runPay(ctx context.Context, e *cli.Env, g *cli.Global, f payFlags) error {
	if f.example {
		_, err := fmt.Fprint(e.Out, pay.RatesExample)
		return err
	}
	if f.week == "" {
		year, week := e.Now().ISOWeek()
		f.week = fmt.Sprintf("%d-W%02d", year, week)
	}
	if f.team.given() {
		pays, err := teamPay(ctx, e, g, f)
		if err != nil {
			return err
		}
		return writePays(ctx, e, g, pays, f)
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	p, err := payOf(ctx, e, g, j, f.week, f.rates)
	if err != nil {
		return err
	}
	wrote, err := e.WriteFiles(ctx, g, f.force, []cli.OutFile{{Name: f.csv, Write: p.CSV}, {Name: f.xlsx, Write: p.XLSX}})
	switch {
	case err != nil:
		return err
	case g.JSON:
		return p.JSON(e.Out)
	case len(wrote) == 0:
		return p.Text(e.Out)
	}
	return nil
}

// payOf computes a week from every job in the journal.
func payOf(ctx context.Context, e *cli.Env, g *cli.Global, j *journal.Journal, week, ratesFile string) (pay.Pay, error) {
	rates, err := readRates(e, ratesFile)
	if err != nil {
		return pay.Pay{}, err
	}
	from, to, err := rates.WeekBounds(week)
	if err != nil {
		return pay.Pay{}, cli.UsageError{Err: err}
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		return pay.Pay{}, err
	}
	works, err := journal.Fold(ctx, j, from.Add(-payMargin), to.Add(payMargin), func(job string, records []record.Record) (pay.Work, error) {
		w := pay.NewWork(records)
		w.Journal = closeout.ChainHead{Head: head.String(), Count: count}
		if job == "" {
			return w, nil
		}
		var err error
		w.Outcome, err = pay.OutcomeOf(records)
		return w, err
	})
	if err != nil {
		return pay.Pay{}, err
	}
	return pay.NewPay(pay.PayInput{Works: works, Rates: rates, Week: week, Version: cli.Version(), AsOf: e.Now()})
}

// readRates reads a rates file; "" is the one in the config folder.
func readRates(e *cli.Env, ratesFile string) (pay.Rates, error) {
	if ratesFile == "" {
		ratesFile = filepath.Join(e.ConfigFolder(), "rates.toml")
	}
	file, err := os.Open(ratesFile)
	if errors.Is(err, os.ErrNotExist) {
		return pay.Rates{}, cli.Hinted(fmt.Errorf("no rates file at %s", ratesFile), "write one, and put your own rates in it: mkdir -p %s && downlead pay --example > %s", cli.ShellWord(filepath.Dir(ratesFile)), cli.ShellWord(ratesFile))
	}
	if err != nil {
		return pay.Rates{}, err
	}
	defer file.Close()
	rates, err := pay.ReadRates(file)
	if err != nil {
		return pay.Rates{}, fmt.Errorf("%s: %w", ratesFile, err)
	}
	return rates, nil
}

// payMargin is how far around a week jobs are read: what lies on the days
// beside it decides what is the first trip of a day, and a time that was told
// may lie a day before the entry that tells it.
const payMargin = 48 * time.Hour

// payRecord lets the review page preview and save a week's pay.
func payRecord(e *cli.Env, g *cli.Global, j *journal.Journal) review.Record {
	week := func(ctx context.Context, week string) (pay.Pay, error) {
		return payOf(ctx, e, g, j, week, "")
	}
	rec := recordOf(week, pay.Pay.Text,
		form[pay.Pay]{"csv", "text/csv", pay.Pay.CSV},
		form[pay.Pay]{"xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", pay.Pay.XLSX},
		form[pay.Pay]{"json", "application/json", pay.Pay.JSON})
	rec.Leaf = func(ctx context.Context, key string) (figure.Leaf, error) {
		p, err := week(ctx, key)
		if err != nil {
			return figure.Leaf{}, err
		}
		return p.Leaf()
	}
	return rec
}
