package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"downlead/export/shown"
	"downlead/journal"
)

// homeJSON is the machine form of where one is: the open job, and what is next.
type homeJSON struct {
	jobJSON
	Answer string   `json:"answer"`
	Open   []string `json:"other_open_jobs"`
}

// runHome shows the open job and what is next; help, where there is none.
func runHome(cmd *cobra.Command, e *env, g *global) error {
	ctx := cmd.Context()
	h, err := e.home(ctx, g)
	if errors.Is(err, journal.ErrNotFound) || errors.Is(err, journal.ErrNoJob) && g.job == "" {
		return cmd.Help()
	}
	if err != nil {
		return err
	}
	if g.json {
		return printJSON(e.out, h)
	}
	fmt.Fprint(e.out, h.text(g))
	return nil
}

func (e *env) home(ctx context.Context, g *global) (homeJSON, error) {
	j, err := e.readJournal(ctx, g)
	if err != nil {
		return homeJSON{}, err
	}
	defer j.Close()
	done, err := e.concludedIn(ctx, g, j, diagnoseFlags{raw: true})
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

func (h homeJSON) text(g *global) string {
	h = shown.Of(h)
	var b strings.Builder
	fmt.Fprintf(&b, "Job %s, %s, since %s", h.Number, h.state(), opened(h.Opened))
	if h.Site != "" {
		b.WriteString(", " + h.Site)
	}
	fmt.Fprintf(&b, "\n%s\n", indented(h.Answer))
	if len(h.Open) > 0 {
		fmt.Fprintf(&b, "Open too: %s; for one of them: %s\n", strings.Join(h.Open, ", "), g.say("back to job "+h.Open[0]))
	}
	fmt.Fprintf(&b, "\nType phrases with: %s   All commands: %s\n", g.paste("listen", "--text"), g.paste("--help"))
	return b.String()
}
