package upkeep

import "golang.org/x/sys/windows"

// freeSpace is how many bytes may still be written below a folder.
func freeSpace(folder string) (free uint64, err error) {
	name, err := windows.UTF16PtrFromString(folder)
	if err == nil {
		err = windows.GetDiskFreeSpaceEx(name, &free, nil, nil)
	}
	return free, err
}
