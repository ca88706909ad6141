package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"downlead/grammar"
	"downlead/grammar/speech"
)

func newWords(e *env, g *global) *cobra.Command {
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
		Args:      usage(cobra.MaximumNArgs(1)),
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

func runWords(e *env, g *global, args []string, jsgf, sounds bool) error {
	p, err := e.parser()
	if err != nil {
		return err
	}
	switch {
	case jsgf:
		_, err := fmt.Fprint(e.out, p.JSGF(speech.Focus{}))
		return err
	case sounds:
		_, err := fmt.Fprint(e.out, p.Pronunciations(nil))
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
		if g.json {
			if err := printJSON(e.out, wordsJSON{k, typedOnly(p, k)}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(e.out, "%s\n", k.Kind)
		for _, example := range k.Examples {
			mark := ""
			if !p.Voiced(example) {
				mark = "   (typed, or by the second listener)"
			}
			fmt.Fprintf(e.out, "    %s%s\n", example, mark)
		}
	}
	if shown == 0 {
		return usageError{fmt.Errorf("no kind %q; the kinds are: %s", kind, strings.Join(kindNames(), " "))}
	}
	if kind != "" || g.json {
		return nil
	}
	fmt.Fprintln(e.out, "\nvocabulary")
	for _, row := range p.Vocabulary() {
		fmt.Fprintf(e.out, "    %-22s %s\n", row.Phrase, row.Meaning)
	}
	return nil
}
