//go:build unix

package upkeep

import "syscall"

// freeSpace is how many bytes may still be written below a folder.
func freeSpace(folder string) (uint64, error) {
	var fs syscall.Statfs_t
	err := syscall.Statfs(folder, &fs)
	return fs.Bavail * uint64(fs.Bsize), err
}
