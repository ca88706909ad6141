package main

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

// closeoutFlags are the options of a closeout.
type closeoutFlags struct {
	pdf, csv, file, archive, paper string
	redact, force                  bool
}

func newCloseout(e *env, g *global) *cobra.Command {
	f := closeoutFlags{}
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
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runCloseout(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.pdf, "pdf", "", "write a PDF `file`")
	fl.StringVar(&f.csv, "csv", "", "write a CSV `file`")
	fl.StringVar(&f.file, "json-file", "", "write the JSON `file`")
	fl.StringVar(&f.archive, "archive", "", "write an archive `folder` with everything and a manifest of sums")
	fl.StringVar(&f.paper, "paper", "", "letter or a4, the document's `paper` (default: by the locale)")
	fl.BoolVar(&f.redact, "redact", false, "put stable tags in place of names, address, phone, codes and notes")
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	return c
}

func runCloseout(ctx context.Context, e *env, g *global, f closeoutFlags) error {
	j, err := e.readJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	c, records, err := e.closeout(ctx, g, j)
	if err != nil {
		return err
	}
	if f.redact {
		if c, err = closeout.Redact(c); err != nil {
			return err
		}
	}
	wrote, err := e.writeCloseout(ctx, g, j, c, records, f)
	if err != nil {
		return err
	}
	if err := e.remember(ctx, g, c, wrote); err != nil {
		// The files are there, whole: that is what was asked for.
		fmt.Fprintf(e.err, "downlead: note: the journal could not keep that this was written (%s)\n   verify takes what it carries: --head %s --count %d\n",
			shown.Of(err.Error()), c.Journal.Head, c.Journal.Count)
	}
	switch {
	case g.json:
		return c.JSON(e.out)
	case len(wrote) == 0:
		return c.Text(e.out)
	}
	return nil
}

// closeout computes the record of the job at hand; the last one that was
// closed where none is open.
func (e *env) closeout(ctx context.Context, g *global, j *journal.Journal) (closeout.Closeout, []record.Record, error) {
	if g.job == "" {
		if _, err := j.CurrentJob(ctx); errors.Is(err, journal.ErrNoJob) {
			jobs, err := j.Jobs(ctx)
			if err != nil {
				return closeout.Closeout{}, nil, err
			}
			if len(jobs) > 0 {
				g.job = jobs[0].Number
			}
		}
	}
	done, err := e.concluded(ctx, g, diagnoseFlags{raw: true})
	if err != nil {
		return closeout.Closeout{}, nil, err
	}
	records := done.Records()
	if to := record.MovedTo(done.Current()); to != "" {
		return closeout.Closeout{}, nil, hinted(fmt.Errorf("job %s was begun under a wrong number and is job %s: it has no closeout of its own", records[0].Job, to), "its closeout: %s", g.paste("closeout", "--job", to))
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
		Explanation: done.Explanation(), Head: head, Count: count, ID: id, Version: version(),
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

// writeCloseout writes the files that were asked for, each whole or not at all.
func (e *env) writeCloseout(ctx context.Context, g *global, j *journal.Journal, c closeout.Closeout, records []record.Record, f closeoutFlags) ([]string, error) {
	paper, err := e.paper(f.paper)
	if err != nil {
		return nil, err
	}
	open := keptFile(j)
	document := func(w io.Writer) error {
		return pdf.WriteCloseout(c, w, pdf.Options{Paper: paper, Photo: open, Lacking: e.lacking})
	}
	wrote, err := e.writeFiles(ctx, g, f.force, []outFile{{f.pdf, document}, {f.csv, c.CSV}, {f.file, c.JSON}})
	if err != nil || f.archive == "" {
		return wrote, err
	}
	o := file.FileOptions{Force: f.force, Inputs: e.ownFiles(g)}
	in := archive.ArchiveInput{Closeout: c, Records: records, Open: open, Paper: paper, Lacking: e.lacking}
	if err := archive.WriteArchive(ctx, f.archive, in, o, func(done, total int) { e.progress(g, "archive", done, total) }); err != nil {
		return wrote, err
	}
	if !g.quiet {
		fmt.Fprintln(e.err, "written:", f.archive)
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
func (e *env) remember(ctx context.Context, g *global, c closeout.Closeout, wrote []string) error {
	if len(wrote) == 0 {
		return nil
	}
	j, err := e.openJournal(ctx, g, false)
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
			Job: c.Job, At: e.now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Tool,
			Entry: entry.Closeout{Head: c.Journal.Head, Count: c.Journal.Count, Format: format[1:]},
		}
	}
	_, err = j.Append(ctx, drafts...)
	return err
}

// paper is the paper asked for, or the one of the locale, as POSIX orders its
// variables.
func (e *env) paper(name string) (pdf.Paper, error) {
	if name == "" {
		return pdf.PaperFor(cmp.Or(e.getenv("LC_ALL"), e.getenv("LC_PAPER"), e.getenv("LANG"))), nil
	}
	p, err := pdf.PaperNamed(name)
	if err != nil {
		return p, usageError{fmt.Errorf("--paper: %w", err)}
	}
	return p, nil
}

// lacking says which letters of a document stand as their code points.
func (e *env) lacking(scripts []string) {
	fmt.Fprintf(e.err, "downlead: note: the PDF has no letters of: %s; they stand in it as [U+...], and the JSON has them\n", strings.Join(scripts, ", "))
}
