//go:build unix

package journal

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// links is the number of names a file has.
func links(_ string, info fs.FileInfo) uint64 {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(s.Nlink)
	}
	return 1
}

// mayWrite reports that the rights of a file or a folder let us write it.
func mayWrite(path string) error { return unix.Access(path, unix.W_OK) }

// syncPath forces a file or a folder to the disk.
func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// fileMode is the permission bits of a file.
func fileMode(path string) (fs.FileMode, error) {
	info, err := os.Stat(path)
	if err != nil {
		return 0, err
	}
	return info.Mode().Perm(), nil
}
