package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

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
			return o, usageError{fmt.Errorf("--head: %w", err)}
		}
		if o.Head == (record.Hash{}) {
			return o, usageError{errors.New("--head: no closeout prints a head of zeros")}
		}
	}
	if counted && f.count < 1 {
		return o, usageError{fmt.Errorf("--count %d: a closeout counts at least one entry", f.count)}
	}
	o.Count = f.count
	return o, nil
}

func newVerify(e *env, g *global) *cobra.Command {
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
		Args: usage(cobra.NoArgs),
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
func repairIndex(ctx context.Context, e *env, g *global) error {
	j, err := journal.Open(ctx, e.journalPath(g), journal.Options{Repair: true, Now: e.now})
	if err != nil {
		return err
	}
	defer j.Close()
	return j.Redraw(ctx)
}

// damageHint is the next step for a journal that is not intact, by what is
// wrong with it. Nobody is sent to a backup, which lacks what came after it,
// while the entries are all there and the database is sound.
func (e *env) damageHint(path string) string {
	ctx, done := context.WithTimeout(context.Background(), time.Minute)
	defer done()
	j, err := journal.Open(ctx, path, journal.Options{Damaged: true, Now: e.now})
	var report journal.Report
	if err == nil {
		defer j.Close()
		report, err = j.Verify(ctx, journal.VerifyOptions{})
	}
	if err != nil && !errors.Is(err, journal.ErrNotIntact) {
		return "try again; 'downlead verify' looks at the whole journal"
	}
	bad := map[journal.Part]bool{}
	for _, p := range report.Problems {
		bad[p.Part] = true
	}
	switch {
	case err != nil, bad[journal.PartChain], bad[journal.PartDatabase]:
		return "keep the file as it is, and go on from a backup; 'downlead verify' names the entries"
	case bad[journal.PartSchema], bad[journal.PartDrawn]:
		return "no entry is damaged: 'downlead verify --repair-index' mends the rest"
	case bad[journal.PartFiles]:
		return "no entry is damaged; put the kept files that 'downlead verify' names back where it says, from a copy"
	}
	return "the entries fit each other, but not what was printed: keep the file, and compare it with the closeout"
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

func runVerify(ctx context.Context, e *env, g *global, o journal.VerifyOptions) error {
	j, err := journal.Open(ctx, e.journalPath(g), journal.Options{ReadOnly: true, Damaged: true, Now: e.now})
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
		fmt.Fprintln(e.err, "note:", problemText(f))
	}
	return showVerified(e, g, out, journal.ErrNotIntact)
}

func runVerifyArchive(ctx context.Context, e *env, g *global, folder string, o journal.VerifyOptions) error {
	checked, err := archive.CheckArchive(ctx, folder)
	if err != nil {
		return err
	}
	checked.Against(o.Head, o.Count)
	v := verifyJSON{Records: int64(checked.Files), Head: checked.Journal.Head, Problems: append([]string{}, checked.Problems...)}
	v.Proven = &checked.Proven
	return showVerified(e, g, v, archive.ErrArchive)
}

func showVerified(e *env, g *global, v verifyJSON, changed error) error {
	v.OK = len(v.Problems) == 0
	if g.json {
		if err := printJSON(e.out, v); err != nil {
			return err
		}
	} else {
		for _, p := range v.Problems {
			fmt.Fprintln(e.out, "problem:", p)
		}
		if v.OK {
			fmt.Fprintf(e.out, "intact: %d checked, head %s\n", v.Records, v.Head)
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
func (v verifyJSON) sayProven(e *env) {
	switch {
	case v.Proven == nil:
	case *v.Proven:
		fmt.Fprintln(e.out, "its entries are proven by the head handed in")
	default:
		fmt.Fprintln(e.out, "self-consistent, not proven: what proves it is a head kept elsewhere (--head), or the journal it was made from")
	}
}
