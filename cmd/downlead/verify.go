package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/export"
	"downlead/journal"
)

func newVerify(e *env, g *global) *cobra.Command {
	var head string
	var count int64
	var archive string
	c := &cobra.Command{
		Use:   "verify",
		Short: "Check that nothing in the journal, or in an archive, was changed",
		Long: `Verify checks the whole journal: the chain of hashes, the database's own checks,
the sums of kept sound and photographs, and the head and count of every closeout
made from it. A chain shows any edit and any change of order; that the end was
not cut off shows only against a head and count that were printed: give them
with --head and --count, from a closeout. With --archive it checks an archive
folder against its manifest, and needs no journal.

The exit code is 4 when something was changed.`,
		Example: `  downlead verify
  downlead verify --head 3c5e…a1 --count 412
  downlead verify --archive 1001-archive`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if archive != "" {
				return runVerifyArchive(cmd.Context(), e, g, archive)
			}
			return runVerify(cmd.Context(), e, g, head, count)
		},
	}
	c.Flags().StringVar(&head, "head", "", "the `hash` printed on a closeout")
	c.Flags().Int64Var(&count, "count", 0, "the `number` of entries printed beside it")
	c.Flags().StringVar(&archive, "archive", "", "check this archive `folder` instead")
	return c
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
}

func runVerify(ctx context.Context, e *env, g *global, head string, count int64) error {
	j, err := journal.Open(ctx, e.journalPath(g), journal.Options{ReadOnly: true, Damaged: true, Now: e.now})
	if err != nil {
		return err
	}
	defer j.Close()
	o := journal.VerifyOptions{Count: count}
	if head != "" {
		if o.Head, err = journal.ParseHash(head); err != nil {
			return usageError{err}
		}
	}
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
	return showVerified(e, g, out)
}

func runVerifyArchive(ctx context.Context, e *env, g *global, folder string) error {
	checked, err := export.CheckArchive(ctx, folder)
	if err != nil {
		return err
	}
	return showVerified(e, g, verifyJSON{Records: int64(checked.Files), Head: checked.Journal.Head, Problems: append([]string{}, checked.Problems...)})
}

func showVerified(e *env, g *global, v verifyJSON) error {
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
		}
	}
	if !v.OK {
		return fmt.Errorf("%w: %d problems", journal.ErrNotIntact, len(v.Problems))
	}
	return nil
}
