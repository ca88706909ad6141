package upkeep

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
)

func NewBackup(e *cli.Env, g *cli.Global) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the journal, check the copy, and only then give it its name",
		Long: `Backup writes a copy of the journal, syncs and checks it, and then renames it to
FILE. Kept sound and photographs are copied into folders beside it. It may run
while listen does, and overwrites nothing.`,
		Example: "  downlead backup /media/stick/journal-2026-11-25.db",
		Args:    cli.Args(cobra.ExactArgs(1)),
		RunE:    func(cmd *cobra.Command, args []string) error { return runBackup(cmd.Context(), e, g, args[0]) },
	}
}

func runBackup(ctx context.Context, e *cli.Env, g *cli.Global, file string) error {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	report, err := j.Backup(ctx, file)
	if err != nil {
		return err
	}
	for _, p := range report.Problems {
		fmt.Fprintln(e.Err, "problem:", problemText(p))
	}
	if !g.Quiet {
		fmt.Fprintln(e.Out, "copied and checked:", file)
	}
	return nil
}
