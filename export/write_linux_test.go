package export

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"downlead/export/archive"
	"downlead/export/exporttest"
	"downlead/export/file"
)

// TestFullDisk fills a real file system of 64 KiB.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("a small file system cannot be mounted here: %v", err)
	}
	defer func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) }()
	err := file.WriteFile(context.Background(), filepath.Join(dir, "big.txt"), file.FileOptions{}, exporttest.Text(strings.Repeat("x", 1<<20)))
	if !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("file: %v", err)
	}
	err = archive.WriteArchive(context.Background(), filepath.Join(dir, "archive"), withFiles(t), file.FileOptions{}, nil)
	if !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("archive: %v", err)
	}
	if left := exporttest.Leftovers(t, dir); left != nil {
		t.Errorf("left behind %v", left)
	}
}

// TestFolderThatCannotBeWritten uses a read-only file system, as a mode would
// not stop the superuser.
func TestFolderThatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	if os.Geteuid() == 0 {
		if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_RDONLY, ""); err != nil {
			t.Skipf("a read-only file system cannot be mounted here: %v", err)
		}
		defer func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) }()
	} else if err := os.Chmod(dir, 0o500); err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"file":    file.WriteFile(context.Background(), filepath.Join(dir, "a.txt"), file.FileOptions{}, exporttest.Text("x")),
		"archive": archive.WriteArchive(context.Background(), filepath.Join(dir, "archive"), withFiles(t), file.FileOptions{}, nil),
	} {
		if err == nil || !strings.Contains(err.Error(), "write ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
