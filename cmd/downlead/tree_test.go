package main

import (
	"context"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
)

func TestEveryCommandHasHelp(t *testing.T) {
	e, _, _ := clitest.Env(t, "")
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Name() != "help" && c.Name() != "completion" {
			if c.Short == "" || strings.HasSuffix(c.Short, ".") {
				t.Errorf("%s: short text %q is empty or ends with a full stop", c.CommandPath(), c.Short)
			}
			if c.Runnable() && c.Example == "" {
				t.Errorf("%s: no example", c.CommandPath())
			}
			for _, line := range strings.Split(c.Long, "\n") {
				if utf8.RuneCountInString(line) > 82 {
					t.Errorf("%s: help line of %d characters: %q", c.CommandPath(), utf8.RuneCountInString(line), line)
				}
			}
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(e, &cli.Global{}))
}

func TestHelpOfEveryCommand(t *testing.T) {
	e, _, _ := clitest.Env(t, "")
	for _, c := range newRoot(e, &cli.Global{}).Commands() {
		e, out, errs := clitest.Env(t, "")
		if got := run(context.Background(), e, []string{c.Name(), "--help"}); got != cli.ExitDone {
			t.Errorf("%s --help: exit code %d, want 0: %s", c.Name(), got, errs)
		}
		if out.Len() == 0 {
			t.Errorf("%s --help printed nothing", c.Name())
		}
	}
}

func TestWrongCommandLines(t *testing.T) {
	for _, args := range [][]string{
		{"--no-such-flag"},
		{"no-such-command"},
		{"parse"},
		{"say"},
		{"verify", "extra"},
		{"diagnose", "--priors", "guessed"},
		{"aim", "--slot", "over there"},
		{"words", "nonsense"},
	} {
		e, out, errs := clitest.Env(t, "")
		if got := run(context.Background(), e, args); got != cli.ExitUsage {
			t.Errorf("%q: exit code %d, want %d: %s", args, got, cli.ExitUsage, errs)
		}
		if out.Len() > 0 {
			t.Errorf("%q printed on standard output: %s", args, out)
		}
	}
}
