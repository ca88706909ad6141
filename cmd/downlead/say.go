package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/dialogue"
	"downlead/diagnose/level"
	"downlead/export/shown"
	"downlead/grammar"
	"downlead/journal"
	"downlead/journal/record"
)

func newSay(e *env, g *global) *cobra.Command {
	encoding := encodingUTF8
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
		Args:              usage(cobra.MinimumNArgs(1)),
		ValidArgsFunction: completePhrase(e, g),
		RunE:              func(cmd *cobra.Command, args []string) error { return runSay(cmd.Context(), e, g, args, encoding) },
	}
	encodingFlag(c, &encoding)
	return c
}

// encodingFlag lets a command read older text.
func encodingFlag(c *cobra.Command, encoding *string) {
	c.Flags().StringVar(encoding, "encoding", encodingUTF8, "the text's `encoding`: utf-8 or windows-1252")
}

func runSay(ctx context.Context, e *env, g *global, args []string, encoding string) error {
	if len(args) == 1 && args[0] == "-" {
		var err error
		if e, err = e.prompted(g); err != nil {
			return err
		}
	}
	understood := true
	s, err := e.typed(ctx, g, args, encoding, func(p dialogue.Phrase, r dialogue.Reply) error {
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
			fmt.Fprintf(e.err, "downlead: kept, and counts for nothing until answered: %s\n   answer, for example: %s\n   or drop it: %s\n", asked, g.say(s.Example()), g.say("never mind"))
			understood = false
		}
	}
	if !understood {
		return errNotUnderstood
	}
	return nil
}

// typed hears the phrase of a command line, or every line of standard input.
// The session is nil when there was no phrase; else its journal is to be closed.
func (e *env) typed(ctx context.Context, g *global, args []string, encoding string, each func(dialogue.Phrase, dialogue.Reply) error) (*dialogue.Session, error) {
	var s *dialogue.Session
	notes := !e.inTTY && len(args) == 1 && args[0] == "-"
	var last dialogue.Phrase
	err := eachPhrase(e, args, encoding, func(line textLine) error {
		p := typedPhrase(e, line.text)
		if notes {
			p = below(last, p)
			last = p
		}
		if s == nil {
			var err error
			if s, err = e.session(ctx, g, p.Text); err != nil {
				return e.withoutJournal(err, p, each)
			}
		}
		hear := s.Hear
		if len(args) == 1 && args[0] == "-" { // one phrase never ends the others
			hear = s.Tell
		}
		r, err := hear(ctx, p)
		if err != nil {
			return e.noJob(g, err)
		}
		return each(p, r)
	})
	return s, err
}

// session opens the conversation about the job at hand. Only a phrase that
// starts a job, or time without one, may make a new journal.
func (e *env) session(ctx context.Context, g *global, first string) (*dialogue.Session, error) {
	p, err := e.parser()
	if err != nil {
		return nil, err
	}
	starts, without := begins(p, first)
	j, err := e.openJournal(ctx, g, starts || without)
	if err != nil {
		return nil, err
	}
	number := g.job
	if starts {
		number = ""
	}
	s, err := dialogue.New(ctx, j, p, func(ctx context.Context, job string) (level.Options, error) {
		return e.diagnoseOptions(ctx, j, job, true)
	}, number)
	if err != nil {
		j.Close()
		return nil, err
	}
	s.Day = e.sayDay(j)
	if s.Area, err = e.area(); err != nil {
		j.Close()
		return nil, err
	}
	return s, nil
}

// begins reports whether a phrase starts a job, or is time without one.
func begins(p *grammar.Parser, phrase string) (starts, without bool) {
	entries, _ := p.Parse(phrase)
	return len(entries) > 0 && dialogue.Starts(entries[0]), dialogue.WithoutJob(entries)
}

// typedPhrase makes a phrase of a typed line.
func typedPhrase(e *env, line string) dialogue.Phrase {
	p := dialogue.Phrase{Text: line, At: e.now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Typed}
	if at, rest, ok := dated(line); ok {
		p.Text, p.At, p.TimeSource = rest, at, record.FromGiven
		p.Zone = zoneAt(journal.LocalZone(), at)
	}
	return p
}

// below dates a line of notes that names no time by the line above it that
// does: it was not said when the notes were read in.
func below(above, p dialogue.Phrase) dialogue.Phrase {
	if p.TimeSource == record.FromClock && above.TimeSource == record.FromGiven {
		p.At, p.Zone, p.TimeSource = above.At, above.Zone, above.TimeSource
	}
	return p
}

// withoutJournal answers, where there is no journal, what needs none: what can
// be said.
func (e *env) withoutJournal(cause error, p dialogue.Phrase, each func(dialogue.Phrase, dialogue.Reply) error) error {
	if parser, err := e.parser(); err == nil && begunWithout(parser, p.Text, cause) {
		return each(p, dialogue.Reply{Outcome: dialogue.Taken, Text: dialogue.HelpFirst()})
	}
	return cause
}

// noJob adds the next step to the error of a phrase without a job.
func (e *env) noJob(g *global, err error) error {
	if errors.Is(err, dialogue.ErrNoJob) {
		return hinted(err, "%s", e.jobHint(g))
	}
	return err
}

// showReply prints what was stored and the answer.
func showReply(e *env, g *global, p dialogue.Phrase, r dialogue.Reply) error {
	if r.Err != nil {
		kept := ""
		if len(r.Records) > 0 {
			kept = "; kept as it is, to be corrected"
		}
		fmt.Fprintf(e.err, "downlead: %s%s\n", shown.Of(r.Err.Message), kept)
		caret(e.err, p.Text, r.Err)
		if next := nextStep(g, p.Text, r); next != "" {
			fmt.Fprintln(e.err, "  ", shown.Of(next))
		}
	}
	if g.json {
		for _, rec := range r.Records {
			if err := printJSON(e.out, stored{rec}); err != nil {
				return err
			}
		}
		if r.Asked != "" {
			fmt.Fprintln(e.err, "downlead:", shown.Of(r.Asked))
		}
		return nil
	}
	if r.Err == nil && r.Text != "" {
		fmt.Fprintln(e.out, indented(r.Text))
	}
	for _, c := range r.Caution {
		fmt.Fprintln(e.out, "Caution:", c)
	}
	for _, rec := range r.Records {
		if assumed := assumed(rec.Entry); len(assumed) > 0 && g.verbose {
			fmt.Fprintf(e.err, "entry %d: assumed %s\n", rec.Seq, strings.Join(assumed, ", "))
		}
	}
	return nil
}

// nextStep is the command line that goes on after a phrase that was refused.
func nextStep(g *global, phrase string, r dialogue.Reply) string {
	if r.Next != "" {
		return "go on with: " + g.say(r.Next)
	}
	words := strings.Fields(phrase)
	if len(words) == 3 && strings.EqualFold(words[0], "start") && strings.EqualFold(words[1], "job") {
		return "a number of letters is started with: " + g.paste("job", "start", words[2])
	}
	return ""
}
