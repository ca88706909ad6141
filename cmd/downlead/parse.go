package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
)

func newParse(e *env, g *global) *cobra.Command {
	encoding, explain := encodingUTF8, false
	c := &cobra.Command{
		Use:   "parse PHRASE… | parse -",
		Short: "Show what a phrase means; nothing is stored",
		Long: `Parse shows what a phrase would be taken for. No job is needed and nothing is
stored. With "-" it reads one phrase a line; with --json it prints one JSON
document a phrase.`,
		Example: `  downlead parse ground block dish side pass minus forty one
  downlead parse --json "wall plate fail, -52.5"
  downlead parse --json - < phrases.txt`,
		Args:              usage(cobra.MinimumNArgs(1)),
		ValidArgsFunction: completePhrase(e, g),
		RunE:              func(cmd *cobra.Command, args []string) error { return runParse(e, g, args, encoding, explain) },
	}
	encodingFlag(c, &encoding)
	c.Flags().BoolVar(&explain, "explain", false, "show what each word was taken for")
	return c
}

func runParse(e *env, g *global, args []string, encoding string, explain bool) error {
	p, err := e.parser()
	if err != nil {
		return err
	}
	failed := false
	err = eachPhrase(e, args, encoding, func(line textLine) error {
		phrase := line.text
		entries, perr := p.Parse(phrase)
		if perr == nil && nowhere(entries) {
			entries, perr = nil, &grammar.Error{Message: "where was that? Say the point, such as: wall plate, minus forty four"}
		}
		failed = failed || perr != nil || line.damage != ""
		if g.json {
			return printJSON(e.out, parsed(phrase, entries, perr))
		}
		if explain {
			for _, part := range p.Explain(phrase) {
				fmt.Fprintf(e.out, "%-24s %s\n", shown.Of(part.Words), part.As)
			}
		}
		if perr != nil {
			showParseError(e, phrase, perr)
			return nil
		}
		for _, said := range entries {
			fmt.Fprintf(e.out, "%-10s %s\n", said.Kind(), shown.Of(entry.Say(said)))
		}
		return nil
	})
	if err == nil && failed {
		err = errNotUnderstood
	}
	return err
}

// nowhere reports figures by themselves: in a job they are of the point that
// was named, here of none.
func nowhere(entries []entry.Entry) bool {
	if len(entries) != 1 {
		return false
	}
	r, ok := entries[0].(entry.Reading)
	return ok && r.Point == entry.Point{} && r.Slot == 0 && r.Transponder == 0 && r.Polarity == ""
}

// parsedJSON is the machine form of one parsed phrase.
type parsedJSON struct {
	Phrase  string         `json:"phrase"`
	Entries []machine      `json:"entries"`
	Error   *grammar.Error `json:"error"`

	Proposal *proposalJSON `json:"proposal,omitempty"`
}

// proposalJSON is what a misheard phrase may have been, to be asked about.
type proposalJSON struct {
	Say     string    `json:"say"`
	Entries []machine `json:"entries"`
}

func parsed(phrase string, entries []entry.Entry, err error) parsedJSON {
	out := parsedJSON{Phrase: phrase, Entries: machines(entries)}
	if err != nil && !errors.As(err, &out.Error) {
		out.Error = &grammar.Error{Message: err.Error()}
	}
	if out.Error != nil && out.Error.Proposal != nil {
		p := out.Error.Proposal
		out.Proposal, out.Error = &proposalJSON{p.Say, machines(p.Entries)}, nil
	}
	return out
}

// showParseError prints an error with a caret under the word.
func showParseError(e *env, phrase string, err error) {
	fmt.Fprintln(e.err, "downlead:", indented(err.Error()))
	var perr *grammar.Error
	if errors.As(err, &perr) {
		caret(e.err, phrase, perr)
	}
}
