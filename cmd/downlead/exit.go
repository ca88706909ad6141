package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"

	"downlead/export/archive"
	"downlead/grammar"
	"downlead/journal"
)

// The exit codes. They are a promise: only ever added to, and a code not in
// this table counts as failed.
const (
	exitDone          = 0
	exitFailed        = 1
	exitUsage         = 2
	exitNotUnderstood = 3
	exitNotIntact     = 4
	exitBusy          = 5
	exitInterrupted   = 130
)

// usageError is a wrong command line.
type usageError struct{ err error }

func (u usageError) Error() string { return u.err.Error() }
func (u usageError) Unwrap() error { return u.err }

// hintError is an error with the next step to take.
type hintError struct {
	err  error
	hint string
}

func (h hintError) Error() string { return h.err.Error() }
func (h hintError) Unwrap() error { return h.err }

// hinted adds the next step to an error.
func hinted(err error, format string, args ...any) error {
	return hintError{err, fmt.Sprintf(format, args...)}
}

// errNotUnderstood ends a command whose phrases were all kept but not all
// understood; what was wrong has been printed already.
var errNotUnderstood = errors.New("not everything was understood")

// code is the exit code of an error.
func code(err error) int {
	var usage usageError
	var parse *grammar.Error
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &usage):
		return exitUsage
	case errors.Is(err, errNotUnderstood), errors.As(err, &parse):
		return exitNotUnderstood
	case errors.Is(err, journal.ErrNotIntact), errors.Is(err, archive.ErrArchive):
		return exitNotIntact
	case errors.Is(err, journal.ErrBusy):
		return exitBusy
	}
	return exitFailed
}

// hint is the next step for an error, or "".
func hint(e *env, g *global, err error) string {
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
		return e.jobHint(g)
	case errors.Is(err, journal.ErrClosed):
		return "go on with it: " + g.paste("job", "reopen", cmp.Or(g.job, "NUMBER"), "--reason", "customer called again")
	case errors.Is(err, os.ErrPermission):
		return "look at the permissions of the file and its folder"
	case errors.Is(err, os.ErrNotExist):
		return fileHint(err)
	}
	return ""
}

// report prints an error for a person, or as one JSON object; nothing for an
// error that has been shown already.
func report(e *env, g *global, err error) {
	if err == nil || errors.Is(err, errNotUnderstood) {
		return
	}
	h := hint(e, g, err)
	if h == "" && errors.Is(err, journal.ErrNotIntact) {
		h = e.damageHint(e.journalPath(g))
	}
	if g.json {
		_ = json.NewEncoder(e.err).Encode(map[string]any{"error": map[string]any{"code": code(err), "message": err.Error(), "hint": h}})
		return
	}
	message := strings.TrimPrefix(err.Error(), "downlead: ")
	if errors.Is(err, context.Canceled) {
		message = "interrupted"
	}
	fmt.Fprintln(e.err, "downlead:", indented(message))
	if h != "" {
		fmt.Fprintln(e.err, "  ", indented(h))
	}
}
