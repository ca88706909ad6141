package main

import (
	"context"
	"fmt"
	"io"
	"os/exec"
	"runtime"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/review"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/pdf"
	"downlead/journal"
)

func newReview(e *env, g *global) *cobra.Command {
	var noOpen bool
	c := &cobra.Command{
		Use:   "review",
		Short: "Look over the call in the browser: what was heard, what is missing",
		Long: `Review serves a page on this machine alone: the jobs, a job's path and levels,
every entry with its sound and its words to correct, the plan with what is
missing, and the records. Its address, token and all, is the first line on
standard output; it lets one browser in, once. A correction is a new entry;
nothing is changed.`,
		Example: `  downlead review
  downlead review --no-open`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runReview(cmd.Context(), e, g, noOpen) },
	}
	c.Flags().BoolVar(&noOpen, "no-open", false, "print the address, do not open the browser")
	return c
}

func runReview(ctx context.Context, e *env, g *global, noOpen bool) error {
	j, err := e.openJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	p, err := e.parser()
	if err != nil {
		return err
	}
	cfg := review.Config{
		Journal: j, Parser: p, Now: e.now, Zone: journal.LocalZone(), CleanPhoto: withoutPosition, Crashed: e.crashed,
		Options: func(ctx context.Context, job string) (level.Options, error) {
			return e.diagnoseOptions(ctx, j, job, true)
		},
		Day:     e.sayDay(j),
		Pair:    e.pairPhone,
		Records: review.Records{Closeout: e.closeoutRecord(g, j), Pay: e.payRecord(g, j), Quality: e.qualityRecord(j)},
	}
	ready, done := e.openPage(noOpen)
	defer done()
	return review.Serve(ctx, cfg, ready)
}

// openPage returns what prints a page's address, and opens it in the browser
// unless that is not wanted; done clears up after it.
func (e *env) openPage(noOpen bool) (ready func(url string), done func()) {
	remove := func() {}
	return func(url string) {
		fmt.Fprintln(e.out, url)
		if noOpen {
			return
		}
		opener := opener()
		program, err := exec.LookPath(opener[0])
		if err != nil {
			return // the address stands on standard output
		}
		page, clear, err := review.OpenFile(url)
		if err != nil {
			fmt.Fprintln(e.err, "downlead: the browser was not opened:", err)
			return
		}
		remove = clear
		_ = exec.Command(program, append(opener[1:], page)...).Start()
	}, func() { remove() }
}

// opener is the system's program that opens a page, with what stands before it.
func opener() []string {
	switch runtime.GOOS {
	case "darwin":
		return []string{"open"}
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	}
	return []string{"xdg-open"}
}

// closeoutRecord lets the page preview and save a job's closeout.
func (e *env) closeoutRecord(g *global, j *journal.Journal) review.Record {
	document := func(c closeout.Closeout, w io.Writer) error {
		paper, err := e.paper("")
		if err != nil {
			return err
		}
		return pdf.WriteCloseout(c, w, pdf.Options{Paper: paper, Photo: keptFile(j)})
	}
	return recordOf(func(ctx context.Context, job string) (closeout.Closeout, error) {
		c, _, err := e.closeout(ctx, &global{journal: g.journal, job: job}, j)
		return c, err
	}, closeout.Closeout.Text,
		form[closeout.Closeout]{"pdf", "application/pdf", document},
		form[closeout.Closeout]{"json", "application/json", closeout.Closeout.JSON},
		form[closeout.Closeout]{"csv", "text/csv", closeout.Closeout.CSV})
}
