package field

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

func newJobLog(e *cli.Env, g *cli.Global) *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:     "log",
		Short:   "Print the job's entries, in order",
		Example: "  downlead job log\n  downlead job log --all --json",
		Args:    cli.Args(cobra.NoArgs),
		RunE:    func(cmd *cobra.Command, _ []string) error { return runJobLog(cmd.Context(), e, g, all) },
	}
	c.Flags().BoolVar(&all, "all", false, "superseded, unconfirmed and correcting entries too")
	return c
}

// recordJSON is the machine form of a stored record.
type recordJSON struct {
	Seq          int64         `json:"seq"`
	At           string        `json:"at"`
	Zone         string        `json:"zone,omitempty"`
	TimeSource   string        `json:"time_source"`
	Origin       string        `json:"origin"`
	Phrase       string        `json:"phrase"`
	Clip         string        `json:"clip,omitempty"`
	Heard        *record.Heard `json:"heard,omitempty"`
	Unconfirmed  bool          `json:"unconfirmed,omitempty"`
	SupersededBy int64         `json:"superseded_by,omitempty"`
	CorrectedBy  []int64       `json:"corrected_by,omitempty"`
	Entry        cli.Machine   `json:"entry"`
	Hash         string        `json:"hash"`
}

func runJobLog(ctx context.Context, e *cli.Env, g *cli.Global, all bool) error {
	_, records, err := Job(ctx, e, g)
	if err != nil {
		return err
	}
	counted := map[int64]bool{}
	for _, r := range record.Current(records) {
		counted[r.Seq] = true
	}
	for _, v := range record.View(records) {
		if !all && !counted[v.Seq] {
			continue
		}
		if g.JSON {
			if err := cli.PrintJSON(e.Out, logged(v)); err != nil {
				return err
			}
			continue
		}
		note := ""
		switch {
		case v.SupersededBy != 0:
			note = fmt.Sprintf("   (superseded by %d)", v.SupersededBy)
		case v.Unconfirmed && !counted[v.Seq]:
			note = "   (unconfirmed)"
		case len(v.CorrectedBy) > 0:
			note = fmt.Sprintf("   (corrected by %s)", strings.Trim(fmt.Sprint(v.CorrectedBy), "[]"))
		}
		fmt.Fprintf(e.Out, "%5d  %s  %-10s %s%s\n", v.Seq, v.At.Format("15:04:05"), v.Entry.Kind(), shown.Of(entry.Say(v.Entry)), note)
	}
	return nil
}

func logged(v record.Viewed) recordJSON {
	return recordJSON{
		Seq: v.Seq, At: v.At.Format(time.RFC3339Nano), Zone: v.Zone, TimeSource: string(v.TimeSource), Origin: string(v.Origin),
		Phrase: v.Phrase, Clip: v.Clip, Heard: v.Heard, Unconfirmed: v.Unconfirmed,
		SupersededBy: v.SupersededBy, CorrectedBy: v.CorrectedBy, Entry: cli.Machine{Entry: v.Entry}, Hash: v.Hash.String(),
	}
}
