package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
)

func newBackup(e *env, g *global) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the journal, check the copy, and only then give it its name",
		Long: `Backup writes a copy of the journal, syncs and checks it, and then renames it to
FILE. Kept sound and photographs are copied into folders beside it. It may run
while listen does, and overwrites nothing.`,
		Example: "  downlead backup /media/stick/journal-2026-11-25.db",
		Args:    usage(cobra.ExactArgs(1)),
		RunE:    func(cmd *cobra.Command, args []string) error { return runBackup(cmd.Context(), e, g, args[0]) },
	}
}

func runBackup(ctx context.Context, e *env, g *global, file string) error {
	j, err := e.readJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	report, err := j.Backup(ctx, file)
	if err != nil {
		return err
	}
	for _, p := range report.Problems {
		fmt.Fprintln(e.err, "problem:", problemText(p))
	}
	if !g.quiet {
		fmt.Fprintln(e.out, "copied and checked:", file)
	}
	return nil
}
