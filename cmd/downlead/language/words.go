package language

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/grammar"
	"downlead/grammar/speech"
)

func NewWords(e *cli.Env, g *cli.Global) *cobra.Command {
	var speech, sounds bool
	c := &cobra.Command{
		Use:   "words [KIND]",
		Short: "Show what can be said, with examples; your own words too",
		Long: `Words shows what can be said, by kind of entry, with examples, and the
vocabulary. Words of your own go into words.toml in the config folder; they are
checked when they are read, and refused with the reason where they would make a
phrase ambiguous.`,
		Example: `  downlead words
  downlead words reading
  downlead words --speech > field.gram    # the speech grammar (JSGF)`,
		Args:      cli.Args(cobra.MaximumNArgs(1)),
		ValidArgs: kindNames(),
		RunE: func(_ *cobra.Command, args []string) error {
			return runWords(e, g, args, speech, sounds)
		},
	}
	c.Flags().BoolVar(&speech, "speech", false, "print the speech grammar")
	c.Flags().BoolVar(&sounds, "sounds", false, "print the pronunciations that the recogniser's dictionary lacks")
	return c
}

// wordsJSON is a kind of entry, its examples, and which of them the speech
// grammar lacks: those are typed, or heard by the second listener and confirmed.
type wordsJSON struct {
	grammar.Topic
	Typed []string `json:"typed,omitempty"`
}

func typedOnly(p *grammar.Parser, k grammar.Topic) []string {
	var out []string
	for _, example := range k.Examples {
		if !p.Voiced(example) {
			out = append(out, example)
		}
	}
	return out
}

func kindNames() []string {
	var names []string
	for _, k := range grammar.Guide() {
		names = append(names, string(k.Kind))
	}
	return names
}

func runWords(e *cli.Env, g *cli.Global, args []string, jsgf, sounds bool) error {
	p, err := e.Parser()
	if err != nil {
		return err
	}
	switch {
	case jsgf:
		_, err := fmt.Fprint(e.Out, p.JSGF(speech.Focus{}))
		return err
	case sounds:
		_, err := fmt.Fprint(e.Out, p.Pronunciations(nil))
		return err
	}
	kind := ""
	if len(args) == 1 {
		kind = args[0]
	}
	shown := 0
	for _, k := range grammar.Guide() {
		if kind != "" && string(k.Kind) != kind {
			continue
		}
		shown++
		if g.JSON {
			if err := cli.PrintJSON(e.Out, wordsJSON{k, typedOnly(p, k)}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(e.Out, "%s\n", k.Kind)
		for _, example := range k.Examples {
			mark := ""
			if !p.Voiced(example) {
				mark = "   (typed, or by the second listener)"
			}
			fmt.Fprintf(e.Out, "    %s%s\n", example, mark)
		}
	}
	if shown == 0 {
		return cli.UsageError{Err: fmt.Errorf("no kind %q; the kinds are: %s", kind, strings.Join(kindNames(), " "))}
	}
	if kind != "" || g.JSON {
		return nil
	}
	fmt.Fprintln(e.Out, "\nvocabulary")
	for _, row := range p.Vocabulary() {
		fmt.Fprintf(e.Out, "    %-22s %s\n", row.Phrase, row.Meaning)
	}
	return nil
}
