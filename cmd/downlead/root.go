package main

import (
	"context"
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/example"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/language"
	"downlead/cmd/downlead/listen"
	"downlead/cmd/downlead/records"
	"downlead/cmd/downlead/upkeep"
)

// run builds a fresh tree, runs one command line and returns the exit code.
func run(ctx context.Context, e *cli.Env, args []string) (exit int) {
	g := &cli.Global{}
	e = e.Tamed()
	defer func() {
		if p := recover(); p != nil {
			exit = cli.Crashed(e, g, p, debug.Stack())
		}
	}()
	root := newRoot(e, g)
	root.SetArgs(language.KeepNumbers(args))
	err := root.ExecuteContext(ctx)
	cli.Report(e, g, err)
	return cli.Code(err)
}

func newRoot(e *cli.Env, g *cli.Global) *cobra.Command {
	root := &cobra.Command{
		Use:   "downlead",
		Short: "Hear the meter readings of a call, find the fault, write the record",
		Long: `downlead is a voice-and-notes field logger for the technician who repairs
satellite-television reception in homes. Say or type what the meter shows at
each junction of the coax; downlead keeps it, works out where the fault is and
where to measure next, guides the call to its end, and writes the closeout.

By itself it shows the open job and what is next.`,
		Example: `  downlead tour                         # an invented call, in the browser
  downlead demo                         # the same, from sound and from text
  downlead say start job 1001           # start a job by typing
  downlead say "ground block dish side, pass, minus forty one"
  downlead listen                       # hands-free
  downlead diagnose                     # where is the fault, where to measure next
  downlead closeout --pdf 1001.pdf      # the record`,
		Version:       cli.Version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cli.Args(cobra.NoArgs),
		RunE:          func(cmd *cobra.Command, _ []string) error { return field.RunHome(cmd, e, g) },
		PersistentPreRunE: func(*cobra.Command, []string) (err error) {
			if g.Job != "" {
				g.Job, err = e.JobNumber(g, []string{g.Job})
			}
			return err
		},
	}
	root.SetIn(e.In)
	root.SetOut(e.Out)
	root.SetErr(e.Err)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return cli.UsageError{Err: fmt.Errorf("%w\n   see: %s --help", err, cmd.CommandPath())}
	})
	f := root.PersistentFlags()
	f.StringVar(&g.Journal, "journal", "", "the journal `file` (default: $DOWNLEAD_JOURNAL, else journal.db in the data folder)")
	f.StringVar(&g.Technician, "technician", "", "the technician's `name`, kept with every entry (default: $DOWNLEAD_TECHNICIAN, else technician.toml)")
	f.StringVar(&g.Job, "job", "", "the job's `number` (default: the job last started and not closed)")
	_ = root.RegisterFlagCompletionFunc("job", field.CompleteJob(e, g)) // fails for a flag that is not there
	f.BoolVar(&g.JSON, "json", false, "print the machine form on standard output")
	f.BoolVarP(&g.Quiet, "quiet", "q", false, "print results and errors alone")
	f.BoolVarP(&g.Verbose, "verbose", "v", false, "say more on standard error")

	root.AddGroup(
		&cobra.Group{ID: "call", Title: "On the call:"},
		&cobra.Group{ID: "record", Title: "Records and review:"},
		&cobra.Group{ID: "tool", Title: "The tool itself:"},
	)
	add := func(group string, cmds ...*cobra.Command) {
		for _, c := range cmds {
			c.GroupID = group
			root.AddCommand(c)
		}
	}
	add("call", listen.New(e, g), field.NewSay(e, g), field.NewPath(e, g), field.NewDiagnose(e, g), field.NewPlan(e, g), field.NewAim(e, g), field.NewJob(e, g))
	add("record", records.NewReview(e, g), records.NewCloseout(e, g), field.NewDay(e, g), records.NewPay(e, g), records.NewQuality(e, g), records.NewExport(e, g), listen.NewImport(e, g))
	add("tool", language.NewParse(e, g), language.NewWords(e, g), upkeep.NewVerify(e, g), upkeep.NewBackup(e, g), upkeep.NewClips(e, g), upkeep.NewSetup(e, g), upkeep.NewDoctor(e, g), example.NewDemo(e, g), example.NewTour(e, g))
	root.AddCommand(topics()...)
	root.SetHelpCommandGroupID("tool")
	root.SetCompletionCommandGroupID("tool")
	return root
}
