package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"downlead/export/office"
)

// exportFlags are the options of export.
type exportFlags struct {
	to, parquet string
	force       bool
}

func newExport(e *env, g *global) *cobra.Command {
	f := exportFlags{}
	c := &cobra.Command{
		Use:   "export",
		Short: "Hand every job's rows to the office: PostgreSQL or Parquet",
		Long: `Export writes the rows of every closeout in the journal into a PostgreSQL
database, where a team's records meet, or into a Parquet file for any analytics
engine. The database's tables are made and kept up to date; a closeout that is
there already, by its head hash, is left out; a job goes in whole or not at all.`,
		Example: `  downlead export --to postgres://office@db.example/quality
  downlead export --parquet november.parquet`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runExport(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.to, "to", "", "the database's `address`, as postgres://user@host/name")
	fl.StringVar(&f.parquet, "parquet", "", "write a Parquet `file`")
	fl.BoolVar(&f.force, "force", false, "overwrite an older one of the same kind")
	return c
}

func runExport(ctx context.Context, e *env, g *global, f exportFlags) error {
	if f.to == "" && f.parquet == "" {
		return usageError{errors.New("say where to: --to postgres://… or --parquet FILE")}
	}
	j, err := e.readJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	closeouts, err := e.closeouts(ctx, g, j)
	if err != nil {
		return err
	}
	shown := func(done, total int) { e.progress(g, "jobs", done, total) }
	_, err = e.writeFiles(ctx, g, f.force, []outFile{{f.parquet, func(w io.Writer) error { return office.Parquet(w, closeouts, shown) }}})
	if err != nil || f.to == "" {
		return err
	}
	office, err := office.OpenOffice(ctx, f.to)
	if err != nil {
		return err
	}
	added, err := office.PutAll(ctx, closeouts, shown)
	e.progress(g, "", 0, 0)
	err = errors.Join(err, office.Close(context.WithoutCancel(ctx)))
	if g.json {
		return errors.Join(err, printJSON(e.out, map[string]int{"jobs": len(closeouts), "added": added}))
	}
	fmt.Fprintf(e.out, "%d of %d jobs added; the others were there already\n", added, len(closeouts))
	return err
}
