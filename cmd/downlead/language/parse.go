package language

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
)

func NewParse(e *cli.Env, g *cli.Global) *cobra.Command {
	encoding, explain := EncodingUTF8, false
	c := &cobra.Command{
		Use:   "parse PHRASE… | parse -",
		Short: "Show what a phrase means; nothing is stored",
		Long: `Parse shows what a phrase would be taken for. No job is needed and nothing is
stored. With "-" it reads one phrase a line; with --json it prints one JSON
document a phrase.`,
		Example: `  downlead parse ground block dish side pass minus forty one
  downlead parse --json "wall plate fail, -52.5"
  downlead parse --json - < phrases.txt`,
		Args:              cli.Args(cobra.MinimumNArgs(1)),
		ValidArgsFunction: CompletePhrase(e, g),
		RunE:              func(cmd *cobra.Command, args []string) error { return runParse(e, g, args, encoding, explain) },
	}
	EncodingFlag(c, &encoding)
	c.Flags().BoolVar(&explain, "explain", false, "show what each word was taken for")
	return c
}

func runParse(e *cli.Env, g *cli.Global, args []string, encoding string, explain bool) error {
	p, err := e.Parser()
	if err != nil {
		return err
	}
	failed := false
	err = EachPhrase(e, args, encoding, func(line TextLine) error {
		phrase := line.Text
		entries, perr := p.Parse(phrase)
		if perr == nil && nowhere(entries) {
			entries, perr = nil, &grammar.Error{Message: "where was that? Say the point, such as: wall plate, minus forty four"}
		}
		failed = failed || perr != nil || line.damage != ""
		if g.JSON {
			return cli.PrintJSON(e.Out, parsed(phrase, entries, perr))
		}
		if explain {
			for _, part := range p.Explain(phrase) {
				fmt.Fprintf(e.Out, "%-24s %s\n", shown.Of(part.Words), part.As)
			}
		}
		if perr != nil {
			showParseError(e, phrase, perr)
			return nil
		}
		for _, said := range entries {
			fmt.Fprintf(e.Out, "%-10s %s\n", said.Kind(), shown.Of(entry.Say(said)))
		}
		return nil
	})
	if err == nil && failed {
		err = cli.ErrNotUnderstood
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
	Entries []cli.Machine  `json:"entries"`
	Error   *grammar.Error `json:"error"`

	Proposal *proposalJSON `json:"proposal,omitempty"`
}

// proposalJSON is what a misheard phrase may have been, to be asked about.
type proposalJSON struct {
	Say     string        `json:"say"`
	Entries []cli.Machine `json:"entries"`
}

func parsed(phrase string, entries []entry.Entry, err error) parsedJSON {
	out := parsedJSON{Phrase: phrase, Entries: cli.Machines(entries)}
	if err != nil && !errors.As(err, &out.Error) {
		out.Error = &grammar.Error{Message: err.Error()}
	}
	if out.Error != nil && out.Error.Proposal != nil {
		p := out.Error.Proposal
		out.Proposal, out.Error = &proposalJSON{p.Say, cli.Machines(p.Entries)}, nil
	}
	return out
}

// showParseError prints an error with a caret under the word.
func showParseError(e *cli.Env, phrase string, err error) {
	fmt.Fprintln(e.Err, "downlead:", cli.Indented(err.Error()))
	var perr *grammar.Error
	if errors.As(err, &perr) {
		cli.Caret(e.Err, phrase, perr)
	}
}
