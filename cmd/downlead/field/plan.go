package field

import (
	"context"
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose"
	"downlead/diagnose/call"
)

func NewPlan(e *cli.Env, g *cli.Global) *cobra.Command {
	return &cobra.Command{
		Use:   "plan",
		Short: "Show the call's steps: done, now, missing",
		Example: `  downlead plan
  downlead plan --json`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPlan(cmd.Context(), e, g) },
	}
}

func runPlan(ctx context.Context, e *cli.Env, g *cli.Global) error {
	j, err := Concluded(ctx, e, g, DiagnoseFlags{})
	if err != nil {
		return err
	}
	return showPlan(e, g, j)
}

func showPlan(e *cli.Env, g *cli.Global, j *diagnose.Job) error {
	steps, phase := j.Plan(), j.Phase()
	if g.JSON {
		return cli.PrintJSON(e.Out, struct {
			Phase call.Phase  `json:"phase"`
			Steps []call.Step `json:"steps"`
		}{phase, steps})
	}
	fmt.Fprintf(e.Out, "Now: %s\n", strings.ReplaceAll(string(phase), "_", " "))
	w := tabwriter.NewWriter(e.Out, 0, 0, 2, ' ', 0)
	for _, s := range steps {
		fmt.Fprintf(w, "  %s\t%s\t%s\n", strings.ReplaceAll(s.State, "_", " "), strings.ReplaceAll(s.Step, "_", " "), s.Detail)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, c := range j.Cautions() {
		fmt.Fprintf(e.Out, "Caution: %s\n", c.Text)
	}
	return nil
}
