package upkeep

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/field"
	"downlead/export/file"
	"downlead/journal"
)

func NewClips(e *cli.Env, g *cli.Global) *cobra.Command {
	c := &cobra.Command{
		Use:   "clips",
		Short: "List, save and purge kept sound",
		Long: `Clips lists the sound that was kept with the job's entries. Sound is kept only
after consent was logged for the job. Purging deletes the sound for good; the
entries stay, and say that their sound is gone.`,
		Example: `  downlead clips
  downlead clips save 3c5e…a1 heard.wav
  downlead clips purge`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runClips(cmd.Context(), e, g) },
	}
	c.AddCommand(&cobra.Command{
		Use:     "save CLIP FILE",
		Short:   "Copy one clip to a sound file, to play it",
		Example: "  downlead clips save 3c5e…a1 heard.wav",
		Args:    cli.Args(cobra.ExactArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runClipSave(cmd.Context(), e, g, args[0], args[1])
		},
	}, &cobra.Command{
		Use:     "purge [CLIP…]",
		Short:   "Delete the job's sound, or the clips named",
		Example: "  downlead clips purge",
		RunE:    func(cmd *cobra.Command, args []string) error { return runClipPurge(cmd.Context(), e, g, args) },
	})
	return c
}

func runClips(ctx context.Context, e *cli.Env, g *cli.Global) error {
	number, _, err := field.Job(ctx, e, g)
	if err != nil {
		return err
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	clips, err := j.Clips(ctx, number)
	if err != nil {
		return err
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, append([]journal.Clip{}, clips...))
	}
	if len(clips) == 0 {
		fmt.Fprintln(e.Out, "No sound is kept for this job.")
	}
	for _, c := range clips {
		state := fmt.Sprintf("%d bytes", c.Bytes)
		if c.Purged {
			state = "purged"
		}
		fmt.Fprintf(e.Out, "%s  entries %v  %s\n", c.Sum, c.Entries, state)
	}
	return nil
}

func runClipSave(ctx context.Context, e *cli.Env, g *cli.Global, sum, kept string) error {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	sound, err := j.Clip(sum)
	if err != nil {
		return err
	}
	return file.WriteFile(ctx, kept, file.FileOptions{Inputs: e.OwnFiles(g)}, func(w io.Writer) error {
		_, err := w.Write(sound)
		return err
	})
}

func runClipPurge(ctx context.Context, e *cli.Env, g *cli.Global, sums []string) error {
	number, _, err := field.Job(ctx, e, g)
	if err != nil {
		return err
	}
	j, err := e.OpenJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	if len(sums) == 0 {
		clips, err := j.Clips(ctx, number)
		if err != nil {
			return err
		}
		for _, c := range clips {
			if !c.Purged {
				sums = append(sums, c.Sum)
			}
		}
	}
	if len(sums) == 0 {
		fmt.Fprintln(e.Out, "No sound is kept for this job.")
		return nil
	}
	records, err := j.Purge(ctx, e.Stamp(number), sums...)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "Purged %d clips; their entries stay.\n", len(records))
	return nil
}
