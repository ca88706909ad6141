package language

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/grammar"
	"downlead/grammar/vocab"
)

// CompletePhrase completes the words of a phrase: those of the grammar, own
// words and rooms among them, and numbers of jobs where a job is named. It
// makes no file.
func CompletePhrase(e *cli.Env, g *cli.Global) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		p, err := e.Parser()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return followers(e, g, p, strings.Join(args, " ")+" "), cobra.ShellCompDirectiveNoFileComp
	}
}

// followers are the words that may come next after the beginning of a phrase;
// where it ends within a word, those that the word may become.
func followers(e *cli.Env, g *cli.Global, p *grammar.Parser, beginning string) []string {
	head := beginning[:strings.LastIndexByte(beginning, ' ')+1]
	if said := strings.TrimSpace(strings.ToLower(head)); namesJob(said) {
		var out []string
		for _, s := range e.Jobs(g) {
			if strings.HasPrefix(s.Number, beginning[len(head):]) {
				out = append(out, s.Number)
			}
		}
		return out
	}
	if strings.TrimSpace(beginning) == "" {
		beginning = ""
	}
	return firstWords(p.Next(beginning))
}

// namesJob reports that the number of a job that is there comes next.
func namesJob(said string) bool {
	for _, end := range []string{"back to job", "go to job", "switch to job", "reopen job"} {
		if strings.HasSuffix(said, end) {
			return true
		}
	}
	return false
}

// firstWords are the first words of what may follow, one of each: a shell
// completes word by word.
func firstWords(follow []string) []cobra.Completion {
	var out []cobra.Completion
	for _, f := range follow {
		word, _, _ := strings.Cut(f, " ")
		if !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	return out
}

// CompleteAttach completes a photograph's file, and then the point that it
// shows: element, side, room.
func CompleteAttach(e *cli.Env) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) == 0 {
			return []cobra.Completion{"jpg", "jpeg", "png"}, cobra.ShellCompDirectiveFilterFileExt
		}
		p, err := e.Parser()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		said := strings.Join(args[1:], " ")
		if said != "" {
			said += " "
		}
		return firstWords(pointWords(p, said)), cobra.ShellCompDirectiveNoFileComp
	}
}

// pointWords are those of the words that may follow which are of a point.
func pointWords(p *grammar.Parser, said string) []string {
	of := map[string]bool{}
	for _, r := range p.Vocabulary() {
		switch r.Class {
		case vocab.Element.String(), vocab.Side.String(), vocab.Room.String(), vocab.Behind.String(), vocab.Output.String():
			for w := range strings.FieldsSeq(r.Phrase) {
				of[w] = true
			}
		}
	}
	var out []string
	for _, w := range p.Next(said) {
		if first, _, _ := strings.Cut(w, " "); of[first] {
			out = append(out, w)
		}
	}
	return out
}
