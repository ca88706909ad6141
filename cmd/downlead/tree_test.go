package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// testEnv is a world without a terminal, a home folder or a running clock.
func testEnv(t testing.TB, stdin string) (*env, *bytes.Buffer, *bytes.Buffer) {
	t.Helper()
	home := t.TempDir()
	var out, errs bytes.Buffer
	vars := map[string]string{"HOME": home, "TZ": "UTC"}
	return &env{
		in: strings.NewReader(stdin), out: &out, err: &errs,
		now:    func() time.Time { return time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC) },
		getenv: func(k string) string { return vars[k] },
	}, &out, &errs
}

func TestEveryCommandHasHelp(t *testing.T) {
	e, _, _ := testEnv(t, "")
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
	walk(newRoot(e, &global{}))
}

func TestHelpOfEveryCommand(t *testing.T) {
	e, _, _ := testEnv(t, "")
	for _, c := range newRoot(e, &global{}).Commands() {
		e, out, errs := testEnv(t, "")
		if got := run(context.Background(), e, []string{c.Name(), "--help"}); got != exitDone {
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
		e, out, errs := testEnv(t, "")
		if got := run(context.Background(), e, args); got != exitUsage {
			t.Errorf("%q: exit code %d, want %d: %s", args, got, exitUsage, errs)
		}
		if out.Len() > 0 {
			t.Errorf("%q printed on standard output: %s", args, out)
		}
	}
}
