package main

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"downlead/export/archive"
	"downlead/grammar"
	"downlead/journal"
)

// The exit codes are a promise: "downlead help exit-codes" lists them.
func TestExitCodes(t *testing.T) {
	for err, want := range map[error]int{
		nil: 0, errors.New("anything"): 1, usageError{errors.New("no such flag")}: 2, errNotUnderstood: 3, &grammar.Error{Message: "what"}: 3,
		journal.ErrNotIntact: 4, archive.ErrArchive: 4, journal.ErrBusy: 5, journal.ErrFull: 1, context.Canceled: 130,
	} {
		if got := code(err); got != want {
			t.Errorf("%v: %d, want %d", err, got, want)
		}
		if err == nil {
			continue
		}
		if got := code(hinted(fmt.Errorf("open: %w", err), "try again")); got != want {
			t.Errorf("%v, wrapped: %d, want %d", err, got, want)
		}
	}
}

// A zone is named where it has the offset of the time, and else left out: noon at
// -07:00 is not in Denver's summer (US Energy Policy Act of 2005: from March to
// November), when it has -06:00.
func TestAZoneFitsItsTime(t *testing.T) {
	for at, want := range map[string]string{
		"2026-11-18T12:00:00-07:00": "America/Denver", "2026-07-18T12:00:00-06:00": "America/Denver", "2026-07-18T12:00:00-07:00": "", "2026-11-18T12:00:00Z": "",
	} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if got := zoneAt("America/Denver", when); got != want {
			t.Errorf("%s: %q, want %q", at, got, want)
		}
		if got := zoneAt("Nowhere/Atall", when) + zoneAt("", when); got != "" {
			t.Errorf("%s: %q", at, got)
		}
	}
}
