package records

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/export/office"
	"downlead/export/shown"
	"downlead/journal"
)

// exportFlags are the options of export.
type exportFlags struct {
	to, parquet, journals       string
	force, redact, anew, dryRun bool
}

func NewExport(e *cli.Env, g *cli.Global) *cobra.Command {
	f := exportFlags{}
	c := &cobra.Command{
		Use:   "export",
		Short: "Hand every job's rows to the office: PostgreSQL or Parquet",
		Long: `Export stores the jobs of the journal in a PostgreSQL database, where a team's
records meet, or writes them into a Parquet file for any analytics engine. The
database's tables, views and functions are made and kept up to date by it.

Only jobs with entries since the last export go in, each whole; running it again
adds nothing. What interrupts it leaves nothing half, and the next run goes on.
Several technicians may export at once. With --redact no name, address or free
word goes in. The role downlead_analyst reads what names no place.`,
		Example: `  downlead export --to postgres://office@db.example/quality
  downlead export --to postgres://office@db.example/quality --dry-run
  downlead export --journals /media/stick/team --to postgres://office@db.example/quality
  downlead export --parquet november.parquet
  downlead export odds --from postgres://office@db.example/quality > ~/.config/downlead/tables.toml`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runExport(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.to, "to", "", "the database's `address`, as postgres://user@host/name")
	fl.StringVar(&f.parquet, "parquet", "", "write a Parquet `file`")
	fl.StringVar(&f.journals, "journals", "", "export every journal in this `folder` instead")
	fl.BoolVar(&f.redact, "redact", false, "leave out names, addresses and free words")
	fl.BoolVar(&f.anew, "anew", false, "take what the database has of the journal out, and store it all again")
	fl.BoolVar(&f.dryRun, "dry-run", false, "say what would be stored, and store nothing")
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	c.AddCommand(newExportOdds(e, g))
	return c
}

func newExportOdds(e *cli.Env, g *cli.Global) *cobra.Command {
	f := teamFlags{}
	c := &cobra.Command{
		Use:   "odds",
		Short: "Print the odds that the team's closed jobs teach, as a tables file",
		Long: `Odds prints how often each kind of part is at fault, learned from the closed jobs
of the whole team (or of the journal alone), as a file to be used as tables.toml
by every technician. It says nothing of where or whose the jobs were.`,
		Example: `  downlead export odds --from postgres://office@db.example/quality > ~/.config/downlead/tables.toml
  downlead export odds --journals /media/stick/team`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runExportOdds(cmd.Context(), e, g, f) },
	}
	f.add(c.Flags())
	return c
}

func runExport(ctx context.Context, e *cli.Env, g *cli.Global, f exportFlags) (err error) {
	switch {
	case f.to == "" && f.parquet == "":
		return cli.UsageError{Err: errors.New("say where to: --to postgres://… or --parquet FILE")}
	case f.dryRun && f.to == "":
		return cli.UsageError{Err: errors.New("--dry-run is of --to: a Parquet file is written whole")}
	}
	all, err := exported(ctx, e, g, f)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, all.Close(context.WithoutCancel(ctx))) }()
	_, err = e.WriteFiles(ctx, g, f.force, []cli.OutFile{{Name: f.parquet, Write: func(w io.Writer) error { return writeParquet(ctx, e, g, all, w, f.redact) }}})
	if err != nil || f.to == "" {
		return err
	}
	return exportTo(ctx, e, g, all, f)
}

// exported opens what is exported: the journal, or those in a folder. Opened to
// write, an old journal gets its identity.
func exported(ctx context.Context, e *cli.Env, g *cli.Global, f exportFlags) (*office.Journals, error) {
	if f.journals != "" {
		return office.OpenFolder(ctx, f.journals)
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return nil, err
	}
	id, err := j.Identity(ctx)
	if err == nil && id == "" {
		err = j.Close()
		if err == nil {
			j, err = e.OpenJournal(ctx, g, false)
		}
	}
	if err != nil {
		return nil, err
	}
	all := &office.Journals{}
	return all, all.Add(ctx, j)
}

func exportTo(ctx context.Context, e *cli.Env, g *cli.Global, all *office.Journals, f exportFlags) (err error) {
	open := office.Open
	if f.dryRun {
		open = office.OpenToRead
	}
	o, err := open(ctx, f.to)
	if err != nil && f.dryRun && errors.Is(err, office.ErrOlder) {
		return fmt.Errorf("nothing is stored there yet: an export would make the tables and store every job: %w", err)
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, o.Close(context.WithoutCancel(ctx))) }()
	err = all.Each(func(_ string, j *journal.Journal) error {
		r, err := o.Export(ctx, j, office.Options{
			Redact: f.redact, Anew: f.anew, DryRun: f.dryRun, Version: cli.Version(),
			Progress: func(done, total int) { e.Progress(g, "jobs", done, total) },
		})
		e.Progress(g, "", 0, 0)
		if err != nil {
			return err
		}
		return showExport(e, g, r)
	})
	if err != nil || f.dryRun || g.Quiet {
		return err
	}
	if there, err := o.HasAnalyst(ctx); err == nil && !there {
		fmt.Fprintln(e.Err, "the role downlead_analyst is missing, as this user may not make roles: have the server's owner run CREATE ROLE downlead_analyst, and grant it SELECT on the views")
	}
	return nil
}

func showExport(e *cli.Env, g *cli.Global, r office.Result) error {
	switch {
	case g.JSON:
		return cli.PrintJSON(e.Out, r)
	case r.DryRun:
		fmt.Fprintf(e.Out, "journal %s: %s with entries after %d would be stored\n", r.Journal, shown.Count(r.Changed, "job"), r.Since)
	default:
		fmt.Fprintf(e.Out, "journal %s: %s stored, %s, up to entry %d\n", r.Journal, shown.Count(r.Added, "job"), shown.Count(r.Rows, "row"), r.To)
	}
	return nil
}

// writeParquet writes the lines of all journals into one file.
func writeParquet(ctx context.Context, e *cli.Env, g *cli.Global, all *office.Journals, w io.Writer, redact bool) error {
	p := office.NewParquet(w, redact)
	err := p.WriteAll(ctx, all, func(done, total int) { e.Progress(g, "entries", done, total) })
	e.Progress(g, "", 0, 0)
	return errors.Join(err, p.Close())
}

func runExportOdds(ctx context.Context, e *cli.Env, g *cli.Global, f teamFlags) (err error) {
	tables := level.BuiltinTables()
	var t team
	if f.given() {
		t, err = f.open(ctx)
	} else {
		t, err = exported(ctx, e, g, exportFlags{})
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, t.Close(context.WithoutCancel(ctx))) }()
	lessons, err := t.Lessons(ctx, office.Of{Technician: g.Technician})
	if err != nil {
		return err
	}
	learned := fault.LearnLessons(tables, lessons)
	if learned.LearnedJobs == 0 {
		return errors.New("no closed job proves a fault yet: there is nothing to learn from")
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, map[string]any{"jobs": learned.LearnedJobs, "prior": learned.Prior})
	}
	_, err = io.WriteString(e.Out, fault.OddsTOML(learned))
	return err
}
