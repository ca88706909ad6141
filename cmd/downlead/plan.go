package main

import (
	"context"
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"downlead/diagnose"
	"downlead/diagnose/call"
)

func newPlan(e *env, g *global) *cobra.Command {
	return &cobra.Command{
		Use:   "plan",
		Short: "Show the call's steps: done, now, missing",
		Example: `  downlead plan
  downlead plan --json`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPlan(cmd.Context(), e, g) },
	}
}

func runPlan(ctx context.Context, e *env, g *global) error {
	j, err := e.concluded(ctx, g, diagnoseFlags{})
	if err != nil {
		return err
	}
	return e.showPlan(g, j)
}

func (e *env) showPlan(g *global, j *diagnose.Job) error {
	steps, phase := j.Plan(), j.Phase()
	if g.json {
		return printJSON(e.out, struct {
			Phase call.Phase  `json:"phase"`
			Steps []call.Step `json:"steps"`
		}{phase, steps})
	}
	fmt.Fprintf(e.out, "Now: %s\n", strings.ReplaceAll(string(phase), "_", " "))
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	for _, s := range steps {
		fmt.Fprintf(w, "  %s\t%s\t%s\n", strings.ReplaceAll(s.State, "_", " "), strings.ReplaceAll(s.Step, "_", " "), s.Detail)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, c := range j.Cautions() {
		fmt.Fprintf(e.out, "Caution: %s\n", c.Text)
	}
	return nil
}
