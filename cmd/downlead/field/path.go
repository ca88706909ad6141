package field

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

func NewPath(e *cli.Env, g *cli.Global) *cobra.Command {
	return &cobra.Command{
		Use:   "path",
		Short: "Draw the signal path as understood, with what was measured",
		Long: `Path draws the coax from the dish to every receiver as it was said, and what was
measured at each point. Elements that nobody named are put where the usual
order has them and marked "assumed"; say where they really are and they move.`,
		Example: `  downlead path
  downlead path --json
  downlead say "path dish, lnb, fifty feet, ground block, twenty feet, two way splitter"`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPath(cmd.Context(), e, g) },
	}
}

func runPath(ctx context.Context, e *cli.Env, g *cli.Global) error {
	c, err := Concluded(ctx, e, g, DiagnoseFlags{})
	if err != nil {
		return err
	}
	return showPath(e, g, c)
}

func showPath(e *cli.Env, g *cli.Global, c *diagnose.Job) error {
	d := c.Diagnosis()
	if g.JSON {
		return cli.PrintJSON(e.Out, map[string]any{"job": d.Job, "path": d.Path, "points": d.Points})
	}
	DrawPath(e.Out, d)
	return nil
}

// DrawPath prints the path as a tree that only widens where the coax does.
func DrawPath(w io.Writer, d claim.Diagnosis) {
	children := map[string][]path.PathElement{}
	for _, el := range d.Path {
		children[el.Parent] = append(children[el.Parent], el)
	}
	states := map[string][]level.PointState{}
	for _, p := range d.Points {
		states[p.ID] = append(states[p.ID], p)
	}
	var draw func(el path.PathElement, first, rest string)
	draw = func(el path.PathElement, first, rest string) {
		fmt.Fprintf(w, "%s%s\n", first, elementLine(el))
		for _, s := range states[el.ID] {
			fmt.Fprintf(w, "%s│     %s\n", rest, stateLine(s))
		}
		next := children[el.ID]
		if len(next) == 1 {
			draw(next[0], rest, rest)
			return
		}
		for i, child := range next {
			if i < len(next)-1 {
				draw(child, rest+"├─ ", rest+"│  ")
			} else {
				draw(child, rest+"└─ ", rest+"   ")
			}
		}
	}
	for _, root := range children[""] {
		draw(root, "", "")
	}
}

func elementLine(el path.PathElement) string {
	parts := []string{strings.ReplaceAll(el.ID, "_", " ")}
	if el.Ways > 0 {
		parts = append(parts, fmt.Sprintf("%d-way", el.Ways))
	}
	if el.LengthFt > 0 {
		parts = append(parts, fmt.Sprintf("%g ft", el.LengthFt))
	}
	if el.Cable != "" {
		parts = append(parts, el.Cable)
	}
	if el.Room != "" {
		parts = append(parts, el.Room)
	}
	if el.Port > 0 {
		parts = append(parts, fmt.Sprintf("on output %d", el.Port))
	}
	if el.Removed {
		parts = append(parts, "(removed)")
	}
	if el.Assumed {
		parts = append(parts, "(assumed)")
	}
	return strings.Join(parts, "  ")
}

func stateLine(s level.PointState) string {
	side := "dish side"
	if s.Point.Side == entry.ReceiverSide {
		side = "receiver side"
	}
	if s.Point.Port > 0 {
		side = fmt.Sprintf("output %d", s.Point.Port)
	}
	line := fmt.Sprintf("%-14s %-4s", side, strings.ToUpper(string(s.Verdict)))
	if s.Level != nil {
		line += fmt.Sprintf("  %6.1f dBm", *s.Level)
	}
	if s.Expected != nil {
		line += fmt.Sprintf("  (expected %.1f)", *s.Expected)
	}
	if s.Margin != nil {
		line += fmt.Sprintf("  margin %+.1f dB", *s.Margin)
	}
	if s.Points != nil {
		line += fmt.Sprintf("  strength %+.0f", *s.Points)
	}
	if s.Round > 1 || s.Stale {
		line += fmt.Sprintf("  round %d", s.Round)
	}
	if s.Stale {
		line += "  before the repair"
	}
	return line
}
