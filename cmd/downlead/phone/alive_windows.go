package phone

import "golang.org/x/sys/windows"

// alive reports whether a process of this machine still runs.
func alive(process int) bool {
	h, err := windows.OpenProcess(windows.SYNCHRONIZE, false, uint32(process))
	if err != nil {
		return false
	}
	defer windows.CloseHandle(h) //nolint:errcheck // nothing can be done about it
	state, err := windows.WaitForSingleObject(h, 0)
	return err == nil && state == uint32(windows.WAIT_TIMEOUT)
}
