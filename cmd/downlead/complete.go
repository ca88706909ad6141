package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// completePhrase completes the words of a phrase from the grammar. It opens no
// journal and makes no file.
func completePhrase(e *env) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		p, err := e.parser()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return firstWords(p.Next(strings.Join(args, " ") + " ")), cobra.ShellCompDirectiveNoFileComp
	}
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

// completeJob completes a job's number from the journal.
func completeJob(e *env, g *global) cobra.CompletionFunc {
	return func(cmd *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		j, err := e.readJournal(cmd.Context(), g)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		defer j.Close()
		jobs, err := j.Jobs(cmd.Context())
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var numbers []cobra.Completion
		for _, s := range jobs {
			numbers = append(numbers, cobra.CompletionWithDesc(s.Number, s.Site))
		}
		return numbers, cobra.ShellCompDirectiveNoFileComp
	}
}
