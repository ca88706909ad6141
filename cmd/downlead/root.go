package main

import (
	"context"
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// run builds a fresh tree, runs one command line and returns the exit code.
func run(ctx context.Context, e *env, args []string) (exit int) {
	g := &global{}
	e = e.tamed()
	defer func() {
		if p := recover(); p != nil {
			exit = crashed(e, g, p, debug.Stack())
		}
	}()
	root := newRoot(e, g)
	root.SetArgs(keepNumbers(args))
	err := root.ExecuteContext(ctx)
	report(e, g, err)
	return code(err)
}

func newRoot(e *env, g *global) *cobra.Command {
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
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          usage(cobra.NoArgs),
		RunE:          func(cmd *cobra.Command, _ []string) error { return runHome(cmd, e, g) },
		PersistentPreRunE: func(*cobra.Command, []string) (err error) {
			if g.job != "" {
				g.job, err = e.jobNumber(g, []string{g.job})
			}
			return err
		},
	}
	root.SetIn(e.in)
	root.SetOut(e.out)
	root.SetErr(e.err)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usageError{fmt.Errorf("%w\n   see: %s --help", err, cmd.CommandPath())}
	})
	f := root.PersistentFlags()
	f.StringVar(&g.journal, "journal", "", "the journal `file` (default: $DOWNLEAD_JOURNAL, else journal.db in the data folder)")
	f.StringVar(&g.technician, "technician", "", "the technician's `name`, kept with every entry (default: $DOWNLEAD_TECHNICIAN, else technician.toml)")
	f.StringVar(&g.job, "job", "", "the job's `number` (default: the job last started and not closed)")
	_ = root.RegisterFlagCompletionFunc("job", completeJob(e, g)) // fails for a flag that is not there
	f.BoolVar(&g.json, "json", false, "print the machine form on standard output")
	f.BoolVarP(&g.quiet, "quiet", "q", false, "print results and errors alone")
	f.BoolVarP(&g.verbose, "verbose", "v", false, "say more on standard error")

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
	add("call", newListen(e, g), newSay(e, g), newPath(e, g), newDiagnose(e, g), newPlan(e, g), newAim(e, g), newJob(e, g))
	add("record", newReview(e, g), newCloseout(e, g), newDay(e, g), newPay(e, g), newQuality(e, g), newExport(e, g), newImport(e, g))
	add("tool", newParse(e, g), newWords(e, g), newVerify(e, g), newBackup(e, g), newClips(e, g), newSetup(e, g), newDoctor(e, g), newDemo(e, g), newTour(e, g))
	root.AddCommand(topics()...)
	root.SetHelpCommandGroupID("tool")
	root.SetCompletionCommandGroupID("tool")
	return root
}

// usage marks an argument error as a usage error.
func usage(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return usageError{fmt.Errorf("%w\n   see: %s --help", err, cmd.CommandPath())}
		}
		return nil
	}
}
