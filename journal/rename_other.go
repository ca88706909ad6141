//go:build !linux

package journal

import (
	"io/fs"
	"os"
)

// renameNew gives a file another name that must not exist yet.
func renameNew(from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: fs.ErrExist}
	}
	return os.Rename(from, to)
}
