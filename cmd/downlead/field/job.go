package field

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/language"
	"downlead/diagnose"
	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

func NewJob(e *cli.Env, g *cli.Global) *cobra.Command {
	job := &cobra.Command{
		Use:   "job [NUMBER]",
		Short: "List jobs; show, start, close, reopen one; print its entries",
		Example: `  downlead job                          # all jobs, the newest first
  downlead job 1001                     # path, fault, what is missing
  downlead job start 1001
  downlead job log                      # the entries that count
  downlead job log --all                # superseded ones too, and by what
  downlead job close --reason "dog in the yard, customer will call again"`,
		Args:              cli.Args(cobra.ArbitraryArgs),
		ValidArgsFunction: CompleteJob(e, g),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return runJobShow(cmd.Context(), e, g, args)
			}
			return runJobList(cmd.Context(), e, g)
		},
	}
	job.AddCommand(newJobShow(e, g), newJobStart(e, g), newJobClose(e, g), newJobReopen(e, g), newJobLog(e, g), newJobAttach(e, g))
	return job
}

// jobJSON is the machine form of a job at a glance.
type jobJSON struct {
	Number string     `json:"number"`
	Site   string     `json:"site,omitempty"`
	Phase  call.Phase `json:"phase"`
	Opened string     `json:"opened"`
	Closed string     `json:"closed,omitempty"`
	Moved  string     `json:"moved_to,omitempty"` // the number that it has now, where it was begun under a wrong one
	Head   string     `json:"head"`
	Count  int64      `json:"count"`
}

func runJobList(ctx context.Context, e *cli.Env, g *cli.Global) error {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	jobs, err := j.Jobs(ctx)
	if err != nil {
		return err
	}
	moved, err := j.Moved(ctx)
	if err != nil {
		return err
	}
	list := make([]jobJSON, 0, len(jobs))
	for _, s := range jobs {
		phase := call.Closed
		if s.Open {
			records, err := j.Job(ctx, s.Number)
			if err != nil {
				return err
			}
			phase = diagnose.NewJob(records, level.Options{}).Phase()
		}
		one := jobOf(s, phase)
		one.Moved = moved[s.Number]
		list = append(list, one)
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, list)
	}
	if len(list) == 0 {
		fmt.Fprintln(e.Out, "No jobs yet. Start one with:", g.Say("start job 1001"))
	}
	w := tabwriter.NewWriter(e.Out, 0, 0, 2, ' ', 0)
	for _, s := range shown.Of(list) {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", s.Number, s.state(), opened(s.Opened), shown.Count(s.Count, "entry"), s.Site)
	}
	return w.Flush()
}

// state is where a job stands, in words.
func (j jobJSON) state() string {
	if j.Moved != "" {
		return "is job " + j.Moved
	}
	if j.Closed != "" {
		return string(call.Closed)
	}
	return strings.ReplaceAll(string(j.Phase), "_", " ")
}

// opened is when a job was opened, as a person reads it, in the machine's zone.
func opened(rfc3339 string) string {
	at, err := time.Parse(time.RFC3339, rfc3339)
	if err != nil {
		return rfc3339
	}
	return at.Local().Format("2006-01-02 15:04")
}

func jobOf(s record.Summary, phase call.Phase) jobJSON {
	out := jobJSON{Number: s.Number, Site: s.Site, Phase: phase, Opened: s.Opened.Format(time.RFC3339), Head: s.Head.String(), Count: s.Count}
	if !s.Closed.IsZero() {
		out.Closed = s.Closed.Format(time.RFC3339)
	}
	return out
}

func newJobShow(e *cli.Env, g *cli.Global) *cobra.Command {
	return &cobra.Command{
		Use:     "show [NUMBER]",
		Short:   "Show one job: path, fault, what is missing",
		Example: "  downlead job show 1001",
		Args:    cli.Args(cobra.ArbitraryArgs),

		ValidArgsFunction: CompleteJob(e, g),
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobShow(cmd.Context(), e, g, args) },
	}
}

func runJobShow(ctx context.Context, e *cli.Env, g *cli.Global, number []string) (err error) {
	if len(number) > 0 {
		if g.Job, err = e.JobNumber(g, number); err != nil {
			return err
		}
	}
	c, err := Concluded(ctx, e, g, DiagnoseFlags{})
	if err != nil {
		return err
	}
	if err := showPath(e, g, c); err != nil || g.JSON {
		return err
	}
	fmt.Fprintln(e.Out)
	if err := showDiagnosis(e, g, c); err != nil {
		return err
	}
	fmt.Fprintln(e.Out)
	return showPlan(e, g, c)
}

func newJobStart(e *cli.Env, g *cli.Global) *cobra.Command {
	return &cobra.Command{
		Use:     "start NUMBER",
		Short:   "Start a job",
		Example: "  downlead job start 1001",
		Args:    cli.Args(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := e.JobNumber(g, args)
			if err != nil {
				return err
			}
			return tell(cmd.Context(), e, g, entry.Job{Verb: "start", Number: number})
		},
	}
}

func newJobClose(e *cli.Env, g *cli.Global) *cobra.Command {
	var reason string
	c := &cobra.Command{
		Use:   "close",
		Short: "Close the job; with things missing, a reason is needed",
		Example: `  downlead job close
  downlead job close --reason "customer had to leave; bedroom receiver not tested"`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runJobClose(cmd.Context(), e, g, reason)
		},
	}
	c.Flags().StringVar(&reason, "reason", "", "why it is closed with things missing; stands on the closeout")
	return c
}

func runJobClose(ctx context.Context, e *cli.Env, g *cli.Global, reason string) error {
	_, records, err := Job(ctx, e, g)
	if err != nil {
		return err
	}
	d := claim.Outline(records)
	for _, f := range d.BringBack() {
		fmt.Fprintln(e.Err, "this may bring you back:", shown.Of(f.Text))
	}
	var missing []string
	for _, m := range d.Missing {
		missing = append(missing, strings.ReplaceAll(m.Step, "_", " ")+": "+m.Detail)
	}
	if len(missing) > 0 && strings.TrimSpace(reason) == "" {
		return cli.Hinted(fmt.Errorf("not closed, still missing:\n   %s", strings.Join(missing, "\n   ")),
			"do these, or say why not: %s", g.Paste("job", "close", "--reason", "customer had to leave"))
	}
	return tell(ctx, e, g, entry.Job{Verb: "close", Text: reason})
}

func newJobReopen(e *cli.Env, g *cli.Global) *cobra.Command {
	var reason string
	c := &cobra.Command{
		Use:     "reopen NUMBER",
		Short:   "Reopen a closed job, with a reason",
		Example: `  downlead job reopen 1001 --reason "customer called: bedroom lost again"`,
		Args:    cli.Args(cobra.MinimumNArgs(1)),

		ValidArgsFunction: CompleteJob(e, g),
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := e.JobNumber(g, args)
			if err != nil {
				return err
			}
			if strings.TrimSpace(reason) == "" {
				return cli.Hinted(cli.UsageError{Err: errors.New("a job is reopened with a reason, which stands on the closeout")},
					"say why, such as: %s", g.Paste("job", "reopen", number, "--reason", "customer called again"))
			}
			return tell(cmd.Context(), e, g, entry.Job{Verb: "reopen", Number: number, Text: reason})
		},
	}
	c.Flags().StringVar(&reason, "reason", "", "why it is reopened; stands on the closeout")
	return c
}

// tell stores one entry made by a command, as the phrase that says it would.
func tell(ctx context.Context, e *cli.Env, g *cli.Global, said entry.Entry) error {
	j, err := e.OpenJournal(ctx, g, dialogue.Starts(said))
	if err != nil {
		return err
	}
	defer j.Close()
	number := g.Job
	if job, ok := said.(entry.Job); ok && job.Number != "" {
		number, g.Job = job.Number, job.Number
	} else if number == "" {
		if number, err = j.CurrentJob(ctx); err != nil {
			return err
		}
	}
	area, err := e.Area()
	if err != nil {
		return err
	}
	entries := []entry.Entry{said}
	if job, ok := said.(entry.Job); ok && job.Verb == "start" && area.Said() {
		entries = append(entries, entry.Setting{Name: "threshold", Value: area, Assumed: []string{"value"}})
	}
	var drafts []record.Draft
	for _, x := range entries {
		drafts = append(drafts, record.Draft{
			Job: number, At: e.Now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Typed,
			Phrase: entry.Say(said), Entry: x,
		})
	}
	records, err := j.Append(ctx, drafts...)
	if err != nil {
		return err
	}
	return showTold(e, g, records)
}

func showTold(e *cli.Env, g *cli.Global, records []record.Record) error {
	for _, r := range records {
		if !g.JSON {
			fmt.Fprintln(e.Out, shown.Of(entry.Say(r.Entry)))
		} else if err := cli.PrintJSON(e.Out, cli.Stored{Record: r}); err != nil {
			return err
		}
	}
	return nil
}

func newJobAttach(e *cli.Env, g *cli.Global) *cobra.Command {
	var remark string
	var keepPosition bool
	c := &cobra.Command{
		Use:   "attach FILE [POINT]",
		Short: "Attach a photograph to the job",
		Long: `Attach copies a photograph beside the journal, named by its SHA-256. The place
where it was taken, which many cameras write into the file, is taken out unless
--keep-position is given.`,
		Example: `  downlead job attach clamp.jpg ground block dish side --remark "corroded clamp"`,
		Args:    cli.Args(cobra.MinimumNArgs(1)),

		ValidArgsFunction: language.CompleteAttach(e),
		RunE: func(cmd *cobra.Command, args []string) error {
			at := strings.Join(args[1:], " ")
			return runJobAttach(cmd.Context(), e, g, args[0], at, remark, keepPosition)
		},
	}
	c.Flags().StringVar(&remark, "remark", "", "what it shows")
	c.Flags().BoolVar(&keepPosition, "keep-position", false, "leave the position in the file")
	return c
}

func runJobAttach(ctx context.Context, e *cli.Env, g *cli.Global, file, at, remark string, keepPosition bool) error {
	var point *entry.Point
	if at != "" {
		p, err := e.Parser()
		if err != nil {
			return err
		}
		answer, err := p.ParseAnswer(at)
		if err != nil || answer.Point == nil {
			return cli.UsageError{Err: fmt.Errorf("%q is not a point; say it as in \"ground block dish side\"", at)}
		}
		point = answer.Point
	}
	if err := cli.PlainFile(file); err != nil {
		return err
	}
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	j, err := e.OpenJournal(ctx, g, false)
	if err != nil {
		return err
	}
	defer j.Close()
	if !keepPosition {
		b, err = WithoutPosition(b)
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
	}
	sum, err := j.PutPhoto(bytes.NewReader(b))
	if err != nil {
		return err
	}
	return tell(ctx, e, g, entry.Photo{SHA256: sum, Name: filepath.Base(file), At: point, Remark: remark})
}

// Job reads the records of the job at hand.
func Job(ctx context.Context, e *cli.Env, g *cli.Global) (string, []record.Record, error) {
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return "", nil, err
	}
	defer j.Close()
	return jobIn(ctx, g, j)
}

// jobIn is job in a journal that is open.
func jobIn(ctx context.Context, g *cli.Global, j *journal.Journal) (string, []record.Record, error) {
	number := g.Job
	if number == "" {
		var err error
		number, err = j.CurrentJob(ctx)
		if err != nil {
			return "", nil, err
		}
	}
	records, err := j.Job(ctx, number)
	return number, records, err
}

// CompleteJob completes a job's number from the journal.
func CompleteJob(e *cli.Env, g *cli.Global) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		var numbers []cobra.Completion
		for _, s := range e.Jobs(g) {
			numbers = append(numbers, cobra.CompletionWithDesc(s.Number, entry.OrElse(s.Site, "no address")))
		}
		return numbers, cobra.ShellCompDirectiveNoFileComp
	}
}
