// Package records has the commands of the records: closeout, pay, quality, export,
// of one technician or a team, and the review page.
package records

import (
	"context"
	"fmt"
	"io"
	"os/exec"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/listen"
	"downlead/cmd/downlead/review"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/pdf"
	"downlead/journal"
)

func NewReview(e *cli.Env, g *cli.Global) *cobra.Command {
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
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runReview(cmd.Context(), e, g, noOpen) },
	}
	c.Flags().BoolVar(&noOpen, "no-open", false, "print the address, do not open the browser")
	return c
}

func runReview(ctx context.Context, e *cli.Env, g *cli.Global, noOpen bool) error {
	j, err := e.OpenJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	p, err := e.Parser()
	if err != nil {
		return err
	}
	cfg := review.Config{
		Journal: j, Parser: p, Now: e.Now, Zone: journal.LocalZone(), CleanPhoto: field.WithoutPosition, Crashed: e.Crashed,
		Options: func(ctx context.Context, job string) (level.Options, error) {
			return field.DiagnoseOptions(ctx, e, j, job, true)
		},
		Day:     field.SayDay(e, j),
		Pair:    func() (review.Pairing, error) { return listen.PairPhone(e) },
		Records: review.Records{Closeout: CloseoutRecord(e, g, j), Pay: payRecord(e, g, j), Quality: qualityRecord(e, j)},
	}
	ready, done := OpenPage(e, noOpen)
	defer done()
	return review.Serve(ctx, cfg, ready)
}

// OpenPage returns what prints a page's address, and opens it in the browser
// unless that is not wanted; done clears up after it.
func OpenPage(e *cli.Env, noOpen bool) (ready func(url string), done func()) {
	remove := func() {}
	return func(url string) {
		fmt.Fprintln(e.Out, url)
		if noOpen {
			return
		}
		opener := Opener()
		program, err := exec.LookPath(opener[0])
		if err != nil {
			return // the address stands on standard output
		}
		page, clear, err := review.OpenFile(url)
		if err != nil {
			fmt.Fprintln(e.Err, "downlead: the browser was not opened:", err)
			return
		}
		remove = clear
		_ = exec.Command(program, append(opener[1:], page)...).Start()
	}, func() { remove() }
}

// Opener is the system's program that opens a page, with what stands before it.
func Opener() []string {
	switch runtime.GOOS {
	case "darwin":
		return []string{"open"}
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	}
	return []string{"xdg-open"}
}

// CloseoutRecord lets the page preview and save a job's closeout.
func CloseoutRecord(e *cli.Env, g *cli.Global, j *journal.Journal) review.Record {
	document := func(c closeout.Closeout, w io.Writer) error {
		paper, err := paper(e, "")
		if err != nil {
			return err
		}
		return pdf.WriteCloseout(c, w, pdf.Options{Paper: paper, Photo: keptFile(j)})
	}
	return recordOf(func(ctx context.Context, job string) (closeout.Closeout, error) {
		c, _, err := Closeout(ctx, e, &cli.Global{Journal: g.Journal, Job: job}, j)
		return c, err
	}, closeout.Closeout.Text,
		form[closeout.Closeout]{"pdf", "application/pdf", document},
		form[closeout.Closeout]{"json", "application/json", closeout.Closeout.JSON},
		form[closeout.Closeout]{"csv", "text/csv", closeout.Closeout.CSV})
}

// form is one form that a record of type R is saved in.
type form[R any] struct {
	name, media string
	write       func(R, io.Writer) error
}

// recordOf makes a record that the review page can preview and save.
func recordOf[R any](compute func(ctx context.Context, key string) (R, error), text func(R, io.Writer) error, forms ...form[R]) review.Record {
	out := review.Record{Preview: func(ctx context.Context, key string) (string, error) {
		r, err := compute(ctx, key)
		if err != nil {
			return "", err
		}
		var b strings.Builder
		err = text(r, &b)
		return b.String(), err
	}}
	for _, f := range forms {
		out.Forms = append(out.Forms, review.Form{Name: f.name, MediaType: f.media, Write: func(ctx context.Context, w io.Writer, key string) error {
			r, err := compute(ctx, key)
			if err != nil {
				return err
			}
			return f.write(r, w)
		}})
	}
	return out
}
