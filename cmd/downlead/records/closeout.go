package records

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/field"
	"downlead/diagnose/call"
	"downlead/export/archive"
	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/export/pdf"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// CloseoutFlags are the options of a closeout.
type CloseoutFlags struct {
	Pdf, csv, File, archive, paper string
	redact, Force                  bool
}

func NewCloseout(e *cli.Env, g *cli.Global) *cobra.Command {
	f := CloseoutFlags{}
	c := &cobra.Command{
		Use:   "closeout",
		Short: "Write the record of a job",
		Long: `Closeout writes the record made from a job: what was found, where, how it was
proven, what was done and with what, the readings before and after, the checks,
times, materials, what was left open and why, and the words for the customer.
Without a file it prints a summary; with --json the whole record.

With --redact, tags such as [ADDRESS-1] stand for the address and its position,
the technician, the complaint, rooms, notes, remarks, reasons, phrases that were
not understood, names of photographs, own names of checks and codes, telephone
numbers and e-mail addresses; zones become offsets. What stays, and why: the
job's number, the head and the journal's identity, by which whoever may see the
journal finds the call again; times, readings, materials, the product's own
words and numbered codes, which are what is shared.

An incomplete closeout says so at its top. Every closeout carries the journal's
head hash and count, which "downlead verify" takes.`,
		Example: `  downlead closeout
  downlead closeout --pdf 1001.pdf --csv 1001.csv
  downlead closeout --json > 1001.json
  downlead closeout --archive 1001-archive
  downlead closeout --redact --pdf shared.pdf`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runCloseout(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.Pdf, "pdf", "", "write a PDF `file`")
	fl.StringVar(&f.csv, "csv", "", "write a CSV `file`")
	fl.StringVar(&f.File, "json-file", "", "write the JSON `file`")
	fl.StringVar(&f.archive, "archive", "", "write an archive `folder` with everything and a manifest of sums")
	fl.StringVar(&f.paper, "paper", "", "letter or a4, the document's `paper` (default: by the locale)")
	fl.BoolVar(&f.redact, "redact", false, "put stable tags in place of names, address, phone, codes and notes")
	fl.BoolVar(&f.Force, "force", false, "overwrite an older one of the same kind")
	return c
}

func runCloseout(ctx context.Context, e *cli.Env, g *cli.Global, f CloseoutFlags) error {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	c, records, err := Closeout(ctx, e, g, j)
	if err != nil {
		return err
	}
	if f.redact {
		if c, err = closeout.Redact(c); err != nil {
			return err
		}
	}
	wrote, err := WriteCloseout(ctx, e, g, j, c, records, f)
	if err != nil {
		return err
	}
	if err := remember(ctx, e, g, c, wrote); err != nil {
		// The files are there, whole: that is what was asked for.
		fmt.Fprintf(e.Err, "downlead: note: the journal could not keep that this was written (%s)\n   verify takes what it carries: --head %s --count %d\n",
			shown.Of(err.Error()), c.Journal.Head, c.Journal.Count)
	}
	switch {
	case g.JSON:
		return c.JSON(e.Out)
	case len(wrote) == 0:
		return c.Text(e.Out)
	}
	return nil
}

// Closeout computes the record of the job at hand; the last one that was
// closed where none is open.
func Closeout(ctx context.Context, e *cli.Env, g *cli.Global, j *journal.Journal) (closeout.Closeout, []record.Record, error) {
	if g.Job == "" {
		if _, err := j.CurrentJob(ctx); errors.Is(err, journal.ErrNoJob) {
			jobs, err := j.Jobs(ctx)
			if err != nil {
				return closeout.Closeout{}, nil, err
			}
			if len(jobs) > 0 {
				g.Job = jobs[0].Number
			}
		}
	}
	done, err := field.Concluded(ctx, e, g, field.DiagnoseFlags{Raw: true})
	if err != nil {
		return closeout.Closeout{}, nil, err
	}
	records := done.Records()
	if to := record.MovedTo(done.Current()); to != "" {
		return closeout.Closeout{}, nil, cli.Hinted(fmt.Errorf("job %s was begun under a wrong number and is job %s: it has no closeout of its own", records[0].Job, to), "its closeout: %s", g.Paste("closeout", "--job", to))
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		return closeout.Closeout{}, nil, err
	}
	id, err := j.Identity(ctx)
	if err != nil {
		return closeout.Closeout{}, nil, err
	}
	c, err := closeout.NewCloseout(closeout.Input{
		Records: records, Diagnosis: done.Diagnosis(), Steps: done.Plan(), Cautions: cautions(done.Cautions()),
		Explanation: done.Explanation(), Head: head, Count: count, ID: id, Version: cli.Version(),
	})
	return c, records, err
}

func cautions(all []call.Caution) []closeout.Caution {
	var out []closeout.Caution
	for _, c := range all {
		out = append(out, closeout.Caution{Topic: c.Code, Text: c.Text})
	}
	return out
}

// WriteCloseout writes the files that were asked for, each whole or not at all.
func WriteCloseout(ctx context.Context, e *cli.Env, g *cli.Global, j *journal.Journal, c closeout.Closeout, records []record.Record, f CloseoutFlags) ([]string, error) {
	paper, err := paper(e, f.paper)
	if err != nil {
		return nil, err
	}
	open := keptFile(j)
	document := func(w io.Writer) error {
		return pdf.WriteCloseout(c, w, pdf.Options{Paper: paper, Photo: open, Lacking: lacking(e)})
	}
	wrote, err := e.WriteFiles(ctx, g, f.Force, []cli.OutFile{{Name: f.Pdf, Write: document}, {Name: f.csv, Write: c.CSV}, {Name: f.File, Write: c.JSON}})
	if err != nil || f.archive == "" {
		return wrote, err
	}
	o := file.FileOptions{Force: f.Force, Inputs: e.OwnFiles(g)}
	in := archive.ArchiveInput{Closeout: c, Records: records, Open: open, Paper: paper, Lacking: lacking(e)}
	if err := archive.WriteArchive(ctx, f.archive, in, o, func(done, total int) { e.Progress(g, "archive", done, total) }); err != nil {
		return wrote, err
	}
	if !g.Quiet {
		fmt.Fprintln(e.Err, "written:", f.archive)
	}
	return append(wrote, f.archive), nil
}

// keptFile opens a photograph or a clip by its sum.
func keptFile(j *journal.Journal) func(sum string) (io.ReadCloser, error) {
	return func(sum string) (io.ReadCloser, error) {
		b, err := j.Photo(sum)
		if errors.Is(err, journal.ErrGone) || errors.Is(err, os.ErrNotExist) {
			b, err = j.Clip(sum)
		}
		if err != nil {
			return nil, err
		}
		return io.NopCloser(bytes.NewReader(b)), nil
	}
}

// remember keeps the head that was printed, so that verify can hold the chain
// against it. A journal that cannot be written to is no reason to fail.
func remember(ctx context.Context, e *cli.Env, g *cli.Global, c closeout.Closeout, wrote []string) error {
	if len(wrote) == 0 {
		return nil
	}
	j, err := e.OpenJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	drafts := make([]record.Draft, len(wrote))
	for i, w := range wrote {
		format := filepath.Ext(w)
		if format == "" {
			format = ".archive"
		}
		drafts[i] = record.Draft{
			Job: c.Job, At: e.Now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Tool,
			Entry: entry.Closeout{Head: c.Journal.Head, Count: c.Journal.Count, Format: format[1:]},
		}
	}
	_, err = j.Append(ctx, drafts...)
	return err
}

// paper is the paper asked for, or the one of the locale, as POSIX orders its
// variables.
func paper(e *cli.Env, name string) (pdf.Paper, error) {
	if name == "" {
		return pdf.PaperFor(cmp.Or(e.Getenv("LC_ALL"), e.Getenv("LC_PAPER"), e.Getenv("LANG"))), nil
	}
	p, err := pdf.PaperNamed(name)
	if err != nil {
		return p, cli.UsageError{Err: fmt.Errorf("--paper: %w", err)}
	}
	return p, nil
}

// lacking says which letters of a document stand as their code points.
func lacking(e *cli.Env) func(scripts []string) {
	return func(scripts []string) {
		fmt.Fprintf(e.Err, "downlead: note: the PDF has no letters of: %s; they stand in it as [U+...], and the JSON has them\n", strings.Join(scripts, ", "))
	}
}
