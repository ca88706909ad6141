package upkeep

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/export/archive"
	"downlead/journal"
	"downlead/journal/record"
)

// verifyFlags are the options of verify.
type verifyFlags struct {
	head, archive string
	count         int64
	repair        bool
}

// printed is what was handed in of a closeout.
func (f verifyFlags) printed(counted bool) (o journal.VerifyOptions, err error) {
	if f.head != "" {
		if o.Head, err = record.ParseHash(f.head); err != nil {
			return o, cli.UsageError{Err: fmt.Errorf("--head: %w", err)}
		}
		if o.Head == (record.Hash{}) {
			return o, cli.UsageError{Err: errors.New("--head: no closeout prints a head of zeros")}
		}
	}
	if counted && f.count < 1 {
		return o, cli.UsageError{Err: fmt.Errorf("--count %d: a closeout counts at least one entry", f.count)}
	}
	o.Count = f.count
	return o, nil
}

func NewVerify(e *cli.Env, g *cli.Global) *cobra.Command {
	var f verifyFlags
	c := &cobra.Command{
		Use:   "verify",
		Short: "Check that nothing in the journal, or in an archive, was changed",
		Long: `Verify checks the whole journal: the chain of hashes, the database's own checks,
the sums of kept sound and photographs, and the head and count of every closeout
made from it. A chain shows any edit and any change of order; that the end was
not cut off shows only against a head or a count that was printed: give them
with --head and --count, from a closeout. With --archive it checks an archive
folder against its manifest, and needs no journal: it is self-consistent then,
and proven only with the head that was printed elsewhere.

With --repair-index the lists of jobs and of words, from which jobs are listed
and found, are drawn anew from the entries. No entry is touched by that.

The exit code is 4 when something was changed.`,
		Example: `  downlead verify
  downlead verify --head 3c5e…a1 --count 412
  downlead verify --archive 1001-archive
  downlead verify --repair-index`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			printed, err := f.printed(cmd.Flags().Changed("count"))
			switch {
			case err != nil:
				return err
			case f.archive != "":
				return runVerifyArchive(cmd.Context(), e, g, f.archive, printed)
			case f.repair:
				if err := repairIndex(cmd.Context(), e, g); err != nil {
					return err
				}
			}
			return runVerify(cmd.Context(), e, g, printed)
		},
	}
	c.Flags().StringVar(&f.head, "head", "", "the `hash` printed on a closeout")
	c.Flags().Int64Var(&f.count, "count", 0, "the `number` of entries printed beside it")
	c.Flags().StringVar(&f.archive, "archive", "", "check this archive `folder` instead")
	c.Flags().BoolVar(&f.repair, "repair-index", false, "draw the lists of jobs and words anew, then verify")
	c.MarkFlagsMutuallyExclusive("archive", "repair-index")
	return c
}

// repairIndex draws the lists anew from the entries.
func repairIndex(ctx context.Context, e *cli.Env, g *cli.Global) error {
	j, err := journal.Open(ctx, e.JournalPath(g), journal.Options{Repair: true, Now: e.Now})
	if err != nil {
		return err
	}
	defer j.Close()
	return j.Redraw(ctx)
}

func problemText(p journal.Problem) string {
	if p.Entry == 0 {
		return p.What
	}
	return fmt.Sprintf("entry %d: %s", p.Entry, p.What)
}

// verifyJSON is the machine form of what verify found.
type verifyJSON struct {
	OK       bool     `json:"ok"`
	Records  int64    `json:"records"`
	Head     string   `json:"head"`
	Problems []string `json:"problems"`
	Proven   *bool    `json:"proven,omitempty"` // of an archive alone
}

func runVerify(ctx context.Context, e *cli.Env, g *cli.Global, o journal.VerifyOptions) error {
	j, err := journal.Open(ctx, e.JournalPath(g), journal.Options{ReadOnly: true, Damaged: true, Now: e.Now})
	if err != nil {
		return err
	}
	defer j.Close()
	report, err := j.Verify(ctx, o)
	if err != nil {
		return err
	}
	out := verifyJSON{Records: report.Records, Head: report.Head.String(), Problems: []string{}}
	for _, p := range report.Problems {
		out.Problems = append(out.Problems, problemText(p))
	}
	for _, f := range report.Findings {
		fmt.Fprintln(e.Err, "note:", problemText(f))
	}
	return showVerified(e, g, out, journal.ErrNotIntact)
}

func runVerifyArchive(ctx context.Context, e *cli.Env, g *cli.Global, folder string, o journal.VerifyOptions) error {
	checked, err := archive.CheckArchive(ctx, folder)
	if err != nil {
		return err
	}
	checked.Against(o.Head, o.Count)
	v := verifyJSON{Records: int64(checked.Files), Head: checked.Journal.Head, Problems: append([]string{}, checked.Problems...)}
	v.Proven = &checked.Proven
	return showVerified(e, g, v, archive.ErrArchive)
}

func showVerified(e *cli.Env, g *cli.Global, v verifyJSON, changed error) error {
	v.OK = len(v.Problems) == 0
	if g.JSON {
		if err := cli.PrintJSON(e.Out, v); err != nil {
			return err
		}
	} else {
		for _, p := range v.Problems {
			fmt.Fprintln(e.Out, "problem:", p)
		}
		if v.OK {
			fmt.Fprintf(e.Out, "intact: %d checked, head %s\n", v.Records, v.Head)
			v.sayProven(e)
		}
	}
	if !v.OK {
		problems := "problems"
		if len(v.Problems) == 1 {
			problems = "problem"
		}
		return fmt.Errorf("%w: %d %s", changed, len(v.Problems), problems)
	}
	return nil
}

// sayProven says of an archive how sure a good outcome is.
func (v verifyJSON) sayProven(e *cli.Env) {
	switch {
	case v.Proven == nil:
	case *v.Proven:
		fmt.Fprintln(e.Out, "its entries are proven by the head handed in")
	default:
		fmt.Fprintln(e.Out, "self-consistent, not proven: what proves it is a head kept elsewhere (--head), or the journal it was made from")
	}
}
