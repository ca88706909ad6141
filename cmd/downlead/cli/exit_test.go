package cli

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"downlead/export/archive"
	"downlead/grammar"
	"downlead/journal"
)

// The exit codes are a promise: "downlead help exit-codes" lists them.
func TestExitCodes(t *testing.T) {
	for err, want := range map[error]int{
		nil: 0, errors.New("anything"): 1, UsageError{errors.New("no such flag")}: 2, ErrNotUnderstood: 3, &grammar.Error{Message: "what"}: 3,
		journal.ErrNotIntact: 4, archive.ErrArchive: 4, journal.ErrBusy: 5, journal.ErrFull: 1, context.Canceled: 130,
	} {
		if got := Code(err); got != want {
			t.Errorf("%v: %d, want %d", err, got, want)
		}
		if err == nil {
			continue
		}
		if got := Code(Hinted(fmt.Errorf("open: %w", err), "try again")); got != want {
			t.Errorf("%v, wrapped: %d, want %d", err, got, want)
		}
	}
}
