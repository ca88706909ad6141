package journal

import (
	"errors"
	"fmt"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// Errors that a caller branches on. They come wrapped: use errors.Is.
var (
	ErrNotFound  = errors.New("no journal there")
	ErrForeign   = errors.New("the file is not a journal of this program")
	ErrNewer     = errors.New("the journal was made by a newer version")
	ErrBusy      = errors.New("the journal is busy")
	ErrNotIntact = errors.New("the journal is not intact")
	ErrNoJob     = errors.New("no such job")
	ErrClosed    = errors.New("the job is closed")
	ErrReadOnly  = errors.New("the journal cannot be written")
	ErrFull      = errors.New("the disk is full")
	ErrMoved     = errors.New("the journal's file was moved or deleted while it was open")
	ErrNoConsent = errors.New("no consent to keep sound was logged")
	ErrTooLarge  = errors.New("the file is too large to keep")
)

// DamageError says which record does not fit the chain. It matches
// ErrNotIntact.
type DamageError struct {
	Seq  int64  // the record; 0 when the damage cannot be tied to one
	What string // in words
}

func (e *DamageError) Error() string {
	if e.Seq == 0 {
		return fmt.Sprintf("%v: %s", ErrNotIntact, e.What)
	}
	return fmt.Sprintf("%v: entry %d: %s", ErrNotIntact, e.Seq, e.What)
}

// Is reports that a DamageError is an ErrNotIntact.
func (e *DamageError) Is(target error) bool { return target == ErrNotIntact }

// explain turns a driver's error into one of ours, in words that say what to
// do; other errors pass through.
func explain(err error) error {
	var s sqlite3.Error
	if err == nil || !errors.As(err, &s) {
		return err
	}
	if s.SystemErrno == syscall.ENOSPC || s.SystemErrno == syscall.EDQUOT {
		s.Code = sqlite3.ErrFull // a log that cannot grow, or a quota, is called a failed disk
	}
	switch s.Code {
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return fmt.Errorf("%w: another process kept it locked; wait for it to finish and say it again (%v)", ErrBusy, s)
	case sqlite3.ErrReadonly, sqlite3.ErrPerm:
		return fmt.Errorf("%w: check the rights of the file and its folder, and that the disk is not mounted read-only (%v)", ErrReadOnly, s)
	case sqlite3.ErrFull:
		return fmt.Errorf("%w, or the quota used up: nothing of this was stored; free some space and say it again (%v)", ErrFull, s)
	case sqlite3.ErrNotADB:
		return fmt.Errorf("%w (%v)", ErrForeign, s)
	case sqlite3.ErrCorrupt:
		return &DamageError{What: fmt.Sprintf("the file's pages are damaged (%v)", s)}
	case sqlite3.ErrCantOpen:
		return fmt.Errorf("the journal cannot be opened: check that its folder exists and may be written (%w)", s)
	case sqlite3.ErrIoErr:
		return fmt.Errorf("the disk failed: nothing of this is acknowledged (%w)", s)
	}
	return err
}
