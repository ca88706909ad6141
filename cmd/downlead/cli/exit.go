package cli

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"downlead/export/archive"
	"downlead/grammar"
	"downlead/journal"
)

// The exit codes. They are a promise: only ever added to, and a code not in
// this table counts as failed.
const (
	ExitDone          = 0
	ExitFailed        = 1
	ExitUsage         = 2
	ExitNotUnderstood = 3
	ExitNotIntact     = 4
	exitBusy          = 5
	ExitInterrupted   = 130
)

// UsageError is a wrong command line.
type UsageError struct{ Err error }

func (u UsageError) Error() string { return u.Err.Error() }
func (u UsageError) Unwrap() error { return u.Err }

// hintError is an error with the next step to take.
type hintError struct {
	err  error
	hint string
}

func (h hintError) Error() string { return h.err.Error() }
func (h hintError) Unwrap() error { return h.err }

// Hinted adds the next step to an error.
func Hinted(err error, format string, args ...any) error {
	return hintError{err, fmt.Sprintf(format, args...)}
}

// ErrNotUnderstood ends a command whose phrases were all kept but not all
// understood; what was wrong has been printed already.
var ErrNotUnderstood = errors.New("not everything was understood")

// Code is the exit code of an error.
func Code(err error) int {
	var usage UsageError
	var parse *grammar.Error
	switch {
	case err == nil:
		return ExitDone
	case errors.Is(err, context.Canceled):
		return ExitInterrupted
	case errors.As(err, &usage):
		return ExitUsage
	case errors.Is(err, ErrNotUnderstood), errors.As(err, &parse):
		return ExitNotUnderstood
	case errors.Is(err, journal.ErrNotIntact), errors.Is(err, archive.ErrArchive):
		return ExitNotIntact
	case errors.Is(err, journal.ErrBusy):
		return exitBusy
	}
	return ExitFailed
}

// Hint is the next step for an error, or "".
func Hint(e *Env, g *Global, err error) string {
	var h hintError
	switch {
	case errors.As(err, &h):
		return h.hint
	case errors.Is(err, journal.ErrNotFound):
		return e.missingHint(g)
	case errors.Is(err, journal.ErrForeign):
		return "name another file with --journal"
	case errors.Is(err, journal.ErrNewer):
		return "install the newer version of downlead that made it"
	case errors.Is(err, journal.ErrBusy):
		return "another downlead is writing; try again"
	case errors.Is(err, archive.ErrArchive):
		return "keep the folder as it is, and write the archive again from the journal"
	case errors.Is(err, journal.ErrNoJob):
		return e.JobHint(g)
	case errors.Is(err, journal.ErrClosed):
		return "go on with it: " + g.Paste("job", "reopen", cmp.Or(g.Job, "NUMBER"), "--reason", "customer called again")
	case errors.Is(err, os.ErrPermission):
		return "look at the permissions of the file and its folder"
	case errors.Is(err, os.ErrNotExist):
		return fileHint(err)
	}
	return ""
}

// Report prints an error for a person, or as one JSON object; nothing for an
// error that has been shown already.
func Report(e *Env, g *Global, err error) {
	if err == nil || errors.Is(err, ErrNotUnderstood) {
		return
	}
	h := Hint(e, g, err)
	if h == "" && errors.Is(err, journal.ErrNotIntact) {
		h = e.DamageHint(e.JournalPath(g))
	}
	if g.JSON {
		_ = json.NewEncoder(e.Err).Encode(map[string]any{"error": map[string]any{"code": Code(err), "message": err.Error(), "hint": h}})
		return
	}
	message := strings.TrimPrefix(err.Error(), "downlead: ")
	if errors.Is(err, context.Canceled) {
		message = "interrupted"
	}
	fmt.Fprintln(e.Err, "downlead:", Indented(message))
	if h != "" {
		fmt.Fprintln(e.Err, "  ", Indented(h))
	}
}

// Args marks an argument error as a usage error.
func Args(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return UsageError{fmt.Errorf("%w\n   see: %s --help", err, cmd.CommandPath())}
		}
		return nil
	}
}
