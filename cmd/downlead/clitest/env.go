// Package clitest makes worlds, journals and texts for the tests of commands.
package clitest

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/cli"
)

// Env is a world without a terminal, a home folder or a running clock.
func Env(t testing.TB, stdin string) (*cli.Env, *bytes.Buffer, *bytes.Buffer) {
	t.Helper()
	home := t.TempDir()
	var out, errs bytes.Buffer
	vars := map[string]string{"HOME": home, "TZ": "UTC"}
	return &cli.Env{
		In: strings.NewReader(stdin), Out: &out, Err: &errs,
		Now:    func() time.Time { return time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC) },
		Getenv: func(k string) string { return vars[k] },
	}, &out, &errs
}
