package journal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Opening and closing a second handle must not drop the locks of the first
// one, as closing any descriptor of the file would on POSIX systems.
func TestASecondHandleLeavesTheLocksAlone(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	before := fileLocks(t, path)
	if before == 0 {
		t.Skip("this system does not show the locks of a file")
	}
	for _, o := range []Options{{}, {ReadOnly: true}, {Create: true}, {Damaged: true}} {
		mustOpen(t, path, o).Close()
		if got := fileLocks(t, path); got != before {
			t.Errorf("%d locks are left of %d after opening with %+v and closing", got, before, o)
		}
	}
	if _, err := j.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.db")); err != nil || fileLocks(t, path) != before {
		t.Errorf("after a backup: %d locks of %d, %v", fileLocks(t, path), before, err)
	}
}

// fileLocks counts the locks on a file that /proc/locks shows.
func fileLocks(t *testing.T, path string) int {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	locks, err := os.ReadFile("/proc/locks")
	if err != nil {
		return 0
	}
	return strings.Count(string(locks), fmt.Sprintf(":%d ", info.Sys().(*syscall.Stat_t).Ino))
}
