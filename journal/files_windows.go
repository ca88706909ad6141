package journal

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/windows"
)

// links is the number of names a file has; 1 where the system does not say.
func links(path string, _ fs.FileInfo) uint64 {
	f, err := os.Open(path)
	if err != nil {
		return 1
	}
	defer f.Close()
	var info windows.ByHandleFileInformation
	if err := windows.GetFileInformationByHandle(windows.Handle(f.Fd()), &info); err != nil {
		return 1
	}
	return uint64(info.NumberOfLinks)
}

// mayWrite reports that a file is not marked as one to read. Who may write is
// a list here, which is not looked at: SQLite says so where it does not let us.
func mayWrite(path string) error {
	info, err := os.Stat(path)
	if err == nil && !info.IsDir() && info.Mode().Perm()&0o200 == 0 {
		err = fs.ErrPermission
	}
	return err
}

// syncPath forces a file to the disk. A folder cannot be forced: the file
// system logs its changes by itself.
func syncPath(path string) error {
	if info, err := os.Stat(path); err != nil || info.IsDir() {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// fileMode is what the permission bits would be. There are none here: what is
// made takes the rights of its folder, which is the owner's own by default.
func fileMode(path string) (fs.FileMode, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return 0, err
	case info.IsDir():
		return 0o700, nil
	}
	return 0o600, nil
}
