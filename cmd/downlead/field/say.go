// Package field has the commands of a call: what is said by typing, the job, its
// path, where the fault is, what is left to do, and the day.
package field

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/language"
	"downlead/diagnose/level"
	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

func NewSay(e *cli.Env, g *cli.Global) *cobra.Command {
	encoding := language.EncodingUTF8
	c := &cobra.Command{
		Use:   "say PHRASE… | say -",
		Short: "Keep typed phrases and answer them",
		Long: `Say keeps what is typed, as listen keeps what is spoken, and answers it. With
"-" it reads one phrase a line; a line may begin with an RFC 3339 time, which
dates its entry, and those of the lines below it in a file, and is marked as
given. Where a phrase raises a question, the next line may answer it;
unanswered, the entry is kept unconfirmed and counts for nothing.

A phrase that is not understood is kept whole in the job, and the exit code is 3.`,
		Example: `  downlead say start job 1001
  downlead say "ground block dish side, pass, minus forty one"
  downlead say what next
  downlead say - < call.txt`,
		Args:              cli.Args(cobra.MinimumNArgs(1)),
		ValidArgsFunction: language.CompletePhrase(e, g),
		RunE:              func(cmd *cobra.Command, args []string) error { return runSay(cmd.Context(), e, g, args, encoding) },
	}
	language.EncodingFlag(c, &encoding)
	return c
}

func runSay(ctx context.Context, e *cli.Env, g *cli.Global, args []string, encoding string) error {
	if len(args) == 1 && args[0] == "-" {
		var err error
		if e, err = language.Prompted(e, g); err != nil {
			return err
		}
	}
	understood := true
	s, err := Typed(ctx, e, g, args, encoding, func(p dialogue.Phrase, r dialogue.Reply) error {
		understood = understood && r.Err == nil && !strings.ContainsRune(p.Text, unicode.ReplacementChar)
		return showReply(e, g, p, r)
	})
	if s != nil {
		defer s.Journal.Close()
	}
	if err != nil {
		return err
	}
	if s != nil {
		if asked, blocks := s.Open(); blocks {
			fmt.Fprintf(e.Err, "downlead: kept, and counts for nothing until answered: %s\n   answer, for example: %s\n   or drop it: %s\n", asked, g.Say(s.Example()), g.Say("never mind"))
			understood = false
		}
	}
	if !understood {
		return cli.ErrNotUnderstood
	}
	return nil
}

// Typed hears the phrase of a command line, or every line of standard input.
// The session is nil when there was no phrase; else its journal is to be closed.
func Typed(ctx context.Context, e *cli.Env, g *cli.Global, args []string, encoding string, each func(dialogue.Phrase, dialogue.Reply) error) (*dialogue.Session, error) {
	var s *dialogue.Session
	notes := !e.InTTY && len(args) == 1 && args[0] == "-"
	var last dialogue.Phrase
	err := language.EachPhrase(e, args, encoding, func(line language.TextLine) error {
		p := TypedPhrase(e, line.Text)
		if notes {
			p = Below(last, p)
			last = p
		}
		if s == nil {
			var err error
			if s, err = Session(ctx, e, g, p.Text); err != nil {
				return withoutJournal(e, err, p, each)
			}
		}
		hear := s.Hear
		if len(args) == 1 && args[0] == "-" { // one phrase never ends the others
			hear = s.Tell
		}
		r, err := hear(ctx, p)
		if err != nil {
			return NoJob(e, g, err)
		}
		return each(p, r)
	})
	return s, err
}

// Session opens the conversation about the job at hand. Only a phrase that
// starts a job, or time without one, may make a new journal.
func Session(ctx context.Context, e *cli.Env, g *cli.Global, first string) (*dialogue.Session, error) {
	p, err := e.Parser()
	if err != nil {
		return nil, err
	}
	starts, without := Begins(p, first)
	j, err := e.OpenJournal(ctx, g, starts || without)
	if err != nil {
		return nil, err
	}
	number := g.Job
	if starts {
		number = ""
	}
	s, err := dialogue.New(ctx, j, p, func(ctx context.Context, job string) (level.Options, error) {
		return DiagnoseOptions(ctx, e, j, job, true)
	}, number)
	if err != nil {
		j.Close()
		return nil, err
	}
	s.Day = SayDay(e, j)
	if s.Area, err = e.Area(); err != nil {
		j.Close()
		return nil, err
	}
	return s, nil
}

// Begins reports whether a phrase starts a job, or is time without one.
func Begins(p *grammar.Parser, phrase string) (starts, without bool) {
	entries, _ := p.Parse(phrase)
	return len(entries) > 0 && dialogue.Starts(entries[0]), dialogue.WithoutJob(entries)
}

// TypedPhrase makes a phrase of a typed line.
func TypedPhrase(e *cli.Env, line string) dialogue.Phrase {
	p := dialogue.Phrase{Text: line, At: e.Now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Typed}
	if at, rest, ok := language.Dated(line); ok {
		p.Text, p.At, p.TimeSource = rest, at, record.FromGiven
		p.Zone = language.ZoneAt(journal.LocalZone(), at)
	}
	return p
}

// Below dates a line of notes that names no time by the line above it that
// does: it was not said when the notes were read in.
func Below(above, p dialogue.Phrase) dialogue.Phrase {
	if p.TimeSource == record.FromClock && above.TimeSource == record.FromGiven {
		p.At, p.Zone, p.TimeSource = above.At, above.Zone, above.TimeSource
	}
	return p
}

// withoutJournal answers, where there is no journal, what needs none: what can
// be said.
func withoutJournal(e *cli.Env, cause error, p dialogue.Phrase, each func(dialogue.Phrase, dialogue.Reply) error) error {
	if parser, err := e.Parser(); err == nil && begunWithout(parser, p.Text, cause) {
		return each(p, dialogue.Reply{Outcome: dialogue.Taken, Text: dialogue.HelpFirst()})
	}
	return cause
}

// NoJob adds the next step to the error of a phrase without a job.
func NoJob(e *cli.Env, g *cli.Global, err error) error {
	if errors.Is(err, dialogue.ErrNoJob) {
		return cli.Hinted(err, "%s", e.JobHint(g))
	}
	return err
}

// showReply prints what was stored and the answer.
func showReply(e *cli.Env, g *cli.Global, p dialogue.Phrase, r dialogue.Reply) error {
	if r.Err != nil {
		kept := ""
		if len(r.Records) > 0 {
			kept = "; kept as it is, to be corrected"
		}
		fmt.Fprintf(e.Err, "downlead: %s%s\n", shown.Of(r.Err.Message), kept)
		cli.Caret(e.Err, p.Text, r.Err)
		if next := nextStep(g, p.Text, r); next != "" {
			fmt.Fprintln(e.Err, "  ", shown.Of(next))
		}
	}
	if g.JSON {
		for _, rec := range r.Records {
			if err := cli.PrintJSON(e.Out, cli.Stored{Record: rec}); err != nil {
				return err
			}
		}
		if r.Asked != "" {
			fmt.Fprintln(e.Err, "downlead:", shown.Of(r.Asked))
		}
		return nil
	}
	if r.Err == nil && r.Text != "" {
		fmt.Fprintln(e.Out, cli.Indented(r.Text))
	}
	for _, c := range r.Caution {
		fmt.Fprintln(e.Out, "Caution:", c)
	}
	for _, rec := range r.Records {
		if assumed := cli.Assumed(rec.Entry); len(assumed) > 0 && g.Verbose {
			fmt.Fprintf(e.Err, "entry %d: assumed %s\n", rec.Seq, strings.Join(assumed, ", "))
		}
	}
	return nil
}

// nextStep is the command line that goes on after a phrase that was refused.
func nextStep(g *cli.Global, phrase string, r dialogue.Reply) string {
	if r.Next != "" {
		return "go on with: " + g.Say(r.Next)
	}
	words := strings.Fields(phrase)
	if len(words) == 3 && strings.EqualFold(words[0], "start") && strings.EqualFold(words[1], "job") {
		return "a number of letters is started with: " + g.Paste("job", "start", words[2])
	}
	return ""
}

// begunWithout answers a phrase that needs no journal where there is none: a
// question for what can be said.
func begunWithout(p *grammar.Parser, phrase string, err error) bool {
	entries, perr := p.Parse(phrase)
	if !errors.Is(err, journal.ErrNotFound) || perr != nil || len(entries) != 1 {
		return false
	}
	q, ok := entries[0].(entry.Question)
	return ok && q.Question == "words"
}
