//go:build unix

package file

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

// openNoFollow opens a file to read, but neither follows a link nor waits for
// the other end of a pipe.
func openNoFollow(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOFOLLOW, 0)
	if errors.Is(err, syscall.ELOOP) || errors.Is(err, syscall.ENXIO) {
		return nil, errNotPlain
	}
	return f, err
}

// SyncFolder forces the names in a folder to the disk.
func SyncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("sync folder: %w", err)
	}
	defer d.Close()
	if err := d.Sync(); err != nil {
		return fmt.Errorf("sync folder %s: %w", dir, err)
	}
	return nil
}
