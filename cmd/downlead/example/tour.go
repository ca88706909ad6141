package example

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/records"
	"downlead/cmd/downlead/review"
	"downlead/grammar"
	"downlead/journal"
	"downlead/journal/record"
)

func NewTour(e *cli.Env, g *cli.Global) *cobra.Command {
	var noOpen bool
	first := 1
	c := &cobra.Command{
		Use:   "tour",
		Short: "Walk through the invented call in the browser, phrase by phrase",
		Long: `Tour opens the review page on the invented call of the demo and goes through it
with Next and Back: each phrase, the answer to it, and how the path, the levels,
the fault, the plan and the closeout grow with it. It is a call in a folder of
its own, which is removed at the end; your journal is not touched. Ctrl-C ends it.`,
		Example: `  downlead tour
  downlead tour --at 12                 # begin at the twelfth phrase
  downlead tour --no-open`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runTour(cmd.Context(), e, noOpen, first) },
	}
	c.Flags().IntVar(&first, "at", 1, "begin at this phrase's `number`")
	c.Flags().BoolVar(&noOpen, "no-open", false, "print the address, do not open the browser")
	return c
}

func runTour(ctx context.Context, e *cli.Env, noOpen bool, first int) error {
	lines, err := demoLines()
	if err != nil {
		return err
	}
	if first < 1 || first > len(lines) {
		return cli.UsageError{Err: fmt.Errorf("--at is %d: the call has phrases 1 to %d", first, len(lines))}
	}
	p, err := grammar.New(nil)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "downlead-tour-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	t := &tour{e: e, dir: dir, lines: lines, parser: p}
	defer t.close()
	ready, done := records.OpenPage(e, noOpen)
	defer done()
	return review.ServeTour(ctx, review.Tour{Steps: len(lines), First: first, Step: t.step}, ready)
}

// tour is the invented call, with a journal for each of its phrases.
type tour struct {
	e        *cli.Env
	dir      string
	lines    []demoLine
	parser   *grammar.Parser
	journals []*journal.Journal
}

func (t *tour) close() {
	for _, j := range t.journals {
		j.Close()
	}
}

// step says phrase n into a copy of the journal of the phrase before it.
func (t *tour) step(ctx context.Context, n int) (review.Config, error) {
	file := filepath.Join(t.dir, fmt.Sprintf("%02d.db", n))
	if n > 1 {
		if _, err := t.journals[n-2].Backup(ctx, file); err != nil {
			return review.Config{}, err
		}
	}
	j, err := journal.Open(ctx, file, journal.Options{Create: n == 1, Now: t.e.Now})
	if err != nil {
		return review.Config{}, err
	}
	t.journals = append(t.journals, j)
	line := t.lines[n-1]
	answer, err := t.say(ctx, j, line)
	if err != nil {
		return review.Config{}, err
	}
	g := &cli.Global{Journal: file}
	return review.Config{
		Journal: j, Parser: t.parser, Now: t.e.Now, Zone: demoZone, CleanPhoto: field.WithoutPosition, Crashed: t.e.Crashed,
		Records: review.Records{Closeout: records.CloseoutRecord(t.e, g, j)},
		Tour:    &review.TourStep{N: n, Of: len(t.lines), At: line.at.Format("15:04"), Said: line.phrase, Answer: answer, Job: demoJob},
	}, nil
}

// say says one phrase of the call, and yes to the question it raises.
func (t *tour) say(ctx context.Context, j *journal.Journal, line demoLine) (string, error) {
	s, err := dialogue.New(ctx, j, t.parser, nil, "")
	if err != nil {
		return "", err
	}
	phrase := dialogue.Phrase{Text: line.phrase, At: line.at, Zone: demoZone, TimeSource: record.FromGiven, Origin: record.Typed}
	r, err := s.Tell(ctx, phrase)
	if err != nil || r.Asked == "" {
		return r.Text, err
	}
	phrase.Text = "yes"
	yes, err := s.Tell(ctx, phrase)
	return r.Text + " Yes. " + yes.Text, err
}
