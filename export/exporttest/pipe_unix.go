//go:build unix

package exporttest

import (
	"syscall"
	"testing"
)

// Pipe makes a named pipe, which nobody writes to.
func Pipe(t *testing.T, path string) {
	t.Helper()
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
}
