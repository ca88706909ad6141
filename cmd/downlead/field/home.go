package field

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/export/shown"
	"downlead/journal"
)

// homeJSON is the machine form of where one is: the open job, and what is next.
type homeJSON struct {
	jobJSON
	Answer string   `json:"answer"`
	Open   []string `json:"other_open_jobs"`
}

// RunHome shows the open job and what is next; help, where there is none.
func RunHome(cmd *cobra.Command, e *cli.Env, g *cli.Global) error {
	ctx := cmd.Context()
	h, err := Home(ctx, e, g)
	if errors.Is(err, journal.ErrNotFound) || errors.Is(err, journal.ErrNoJob) && g.Job == "" {
		return cmd.Help()
	}
	if err != nil {
		return err
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, h)
	}
	fmt.Fprint(e.Out, h.text(g))
	return nil
}

func Home(ctx context.Context, e *cli.Env, g *cli.Global) (homeJSON, error) {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return homeJSON{}, err
	}
	defer j.Close()
	done, err := concludedIn(ctx, e, g, j, DiagnoseFlags{Raw: true})
	if err != nil {
		return homeJSON{}, err
	}
	number := done.Records()[0].Job
	sum, err := j.Summary(ctx, number)
	if err != nil {
		return homeJSON{}, err
	}
	jobs, err := j.Jobs(ctx)
	if err != nil {
		return homeJSON{}, err
	}
	h := homeJSON{jobJSON: jobOf(sum, done.Phase()), Answer: done.Answer(), Open: []string{}}
	for _, s := range jobs {
		if s.Open && s.Number != number {
			h.Open = append(h.Open, s.Number)
		}
	}
	return h, nil
}

func (h homeJSON) text(g *cli.Global) string {
	h = shown.Of(h)
	var b strings.Builder
	fmt.Fprintf(&b, "Job %s, %s, since %s", h.Number, h.state(), opened(h.Opened))
	if h.Site != "" {
		b.WriteString(", " + h.Site)
	}
	fmt.Fprintf(&b, "\n%s\n", cli.Indented(h.Answer))
	if len(h.Open) > 0 {
		fmt.Fprintf(&b, "Open too: %s; for one of them: %s\n", strings.Join(h.Open, ", "), g.Say("back to job "+h.Open[0]))
	}
	fmt.Fprintf(&b, "\nType phrases with: %s   All commands: %s\n", g.Paste("listen", "--text"), g.Paste("--help"))
	return b.String()
}
