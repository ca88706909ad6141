package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/mattn/go-sqlite3"

	"downlead/journal/record"
)

// oldFile is a journal as the released version n made it, kept for ever. The
// newest is made by UPDATE=1 go test -run OldVersions, once, before its release.
func oldFile(n int) string { return filepath.Join("testdata", fmt.Sprintf("v%d.db", n)) }

func TestOldVersions(t *testing.T) {
	newest := oldFile(len(migrations))
	if os.Getenv("UPDATE") != "" {
		j, path := openTemp(t)
		oldRecords(t, j)
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		mustWrite(t, newest, mustRead(t, path))
	}
	fresh, _ := openTemp(t)
	want := oldRecords(t, fresh)
	for n := 1; n <= len(migrations); n++ {
		path := filepath.Join(t.TempDir(), "journal.db")
		mustWrite(t, path, mustRead(t, oldFile(n)))
		j := mustOpen(t, path, Options{Now: ticking()})
		if r := mustVerify(t, j, VerifyOptions{Head: want[len(want)-1].Hash, Count: int64(len(want))}); !r.OK {
			t.Errorf("version %d: %+v", n, r)
		}
		got, err := j.Since(t.Context(), 0, 1000)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got, decimals); d != "" {
			t.Errorf("version %d (-want +got):\n%s", n, d)
		}
		mustAppend(t, j, note("4412", "and on"))
	}
}

// oldRecords are what the old files hold: one of every kind that needs no
// file beside the journal, with everything fixed.
func oldRecords(t *testing.T, j *Journal) []record.Record {
	t.Helper()
	var out []record.Record
	out = append(out, mustAppend(t, j, start("4412"))...)
	for _, e := range everyEntry() {
		d := settled(t, e)
		d.Clip, d.Job = "", "4412"
		switch e.Kind() {
		case "photo", "purge", "closeout":
			continue
		case "correction":
			c := scratch(0, 3)
			d.Entry, d.Unconfirmed = c, false
		}
		out = append(out, mustAppend(t, j, d)...)
	}
	return out
}

// Every error of the driver that a person can meet is said in words.
func TestDriverErrorsInWords(t *testing.T) {
	for _, c := range []struct {
		in   sqlite3.Error
		want error
	}{
		{sqlite3.Error{Code: sqlite3.ErrBusy}, ErrBusy},
		{sqlite3.Error{Code: sqlite3.ErrFull}, ErrFull},
		{sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.ENOSPC}, ErrFull},
		{sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.EDQUOT}, ErrFull},
		{sqlite3.Error{Code: sqlite3.ErrReadonly}, ErrReadOnly},
		{sqlite3.Error{Code: sqlite3.ErrCorrupt}, ErrNotIntact},
		{sqlite3.Error{Code: sqlite3.ErrNotADB}, ErrForeign},
	} {
		if got := explain(fmt.Errorf("wrapped: %w", c.in)); !errors.Is(got, c.want) {
			t.Errorf("%v becomes %v, want %v", c.in, got, c.want)
		}
	}
}
