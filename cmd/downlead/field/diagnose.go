package field

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// DiagnoseFlags are the options of a diagnosis.
type DiagnoseFlags struct {
	priors string // "learned" or "builtin"
	tables bool
	why    string // the code of a claim, or "all"
	Raw    bool   // the records as they are stored, for a record made of them
}

func NewDiagnose(e *cli.Env, g *cli.Global) *cobra.Command {
	f := DiagnoseFlags{}
	c := &cobra.Command{
		Use:   "diagnose",
		Short: "Say where the fault is, how sure that is, and where to measure next",
		Long: `Diagnose shows the bracket (the elements between the passing point nearest the
receiver and the failing point nearest the dish), the suspects with their odds
given everything measured, what each stretch of coax loses against what it
should, and the next point, with the reason.

The odds a part starts with are built in, and shift to what your own closed
jobs confirmed; --priors builtin turns that off. Losses, spreads, odds and
minutes can be changed in tables.toml in the config folder; --tables prints the
built-in ones with their sources.`,
		Example: `  downlead diagnose
  downlead diagnose --job 1001 --json
  downlead diagnose --why repair_proven
  downlead diagnose --tables > ~/.config/downlead/tables.toml`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runDiagnose(cmd.Context(), e, g, f) },
	}
	c.Flags().StringVar(&f.priors, "priors", "learned", "where the odds come from: learned or builtin")
	c.Flags().StringVar(&f.why, "why", "", "show what is said under a code, such as bracket, and the entries it rests on; \"all\" shows everything")
	c.Flags().BoolVar(&f.tables, "tables", false, "print the built-in tables and end")
	return c
}

func runDiagnose(ctx context.Context, e *cli.Env, g *cli.Global, f DiagnoseFlags) error {
	if f.tables {
		_, err := fmt.Fprint(e.Out, level.TablesTOML())
		return err
	}
	if f.priors != "" && f.priors != "learned" && f.priors != "builtin" {
		return cli.UsageError{Err: fmt.Errorf("--priors is %q; it takes learned or builtin", f.priors)}
	}
	c, err := Concluded(ctx, e, g, f)
	if err != nil {
		return err
	}
	if f.why != "" {
		return why(e, g, c, f.why)
	}
	return showDiagnosis(e, g, c)
}

func showDiagnosis(e *cli.Env, g *cli.Global, c *diagnose.Job) error {
	if g.JSON {
		return cli.PrintJSON(e.Out, c.Diagnosis())
	}
	fmt.Fprintln(e.Out, c.Explain())
	if n := c.Options().Tables.LearnedJobs; n > 0 {
		fmt.Fprintf(e.Out, "Odds learned from %s of your own; --priors builtin leaves them out.\n", shown.Count(n, "closed job"))
	}
	return nil
}

// Concluded folds the job at hand: its records, with the technician's tables,
// the earlier jobs and the site's history.
func Concluded(ctx context.Context, e *cli.Env, g *cli.Global, f DiagnoseFlags) (*diagnose.Job, error) {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return nil, err
	}
	defer j.Close()
	return concludedIn(ctx, e, g, j, f)
}

// concludedIn is concluded in a journal that is open.
func concludedIn(ctx context.Context, e *cli.Env, g *cli.Global, j *journal.Journal, f DiagnoseFlags) (*diagnose.Job, error) {
	number, records, err := jobIn(ctx, g, j)
	if err != nil {
		return nil, err
	}
	if !g.JSON && !f.Raw {
		records = shown.Of(records) // for a person to read
	}
	o, err := DiagnoseOptions(ctx, e, j, number, f.priors != "builtin")
	if err != nil {
		return nil, err
	}
	return diagnose.NewJob(records, o), nil
}

// why prints what is claimed under a code, with the entries it rests on.
func why(e *cli.Env, g *cli.Global, j *diagnose.Job, code string) error {
	said := map[int64]record.Record{}
	for _, r := range j.Current() {
		said[r.Seq] = r
	}
	var codes []string
	found := []claim.Claim{}
	for _, c := range j.Claims() {
		if code == "all" || c.Code == code {
			found = append(found, c)
		}
		if !slices.Contains(codes, c.Code) {
			codes = append(codes, c.Code)
		}
	}
	if len(found) == 0 {
		return cli.UsageError{Err: fmt.Errorf("nothing is said under %q; said of this job: %s", code, strings.Join(codes, ", "))}
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, found)
	}
	for _, c := range found {
		fmt.Fprintf(e.Out, "%s (%s)\n", c.Text, c.Code)
		for _, seq := range c.Entries {
			r := said[seq]
			fmt.Fprintf(e.Out, "%7d  %s  %s\n", seq, r.At.Format("15:04:05"), shown.Of(entry.Say(r.Entry)))
		}
	}
	return nil
}
