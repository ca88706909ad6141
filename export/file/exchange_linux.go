package file

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// Exchange lets two names change places in one step (rename(2),
// RENAME_EXCHANGE), or where the file system cannot, in three.
func Exchange(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) {
		return exchangeByThree(a, b)
	}
	if err != nil {
		return &os.LinkError{Op: "exchange", Old: a, New: b, Err: err}
	}
	return nil
}
