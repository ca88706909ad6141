//go:build unix

package phone

import (
	"os"
	"syscall"
)

// alive reports whether a process of this machine still runs.
func alive(process int) bool {
	p, err := os.FindProcess(process)
	return err == nil && p.Signal(syscall.Signal(0)) == nil
}
