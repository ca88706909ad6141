package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// mount mounts a small file system of its own, or skips the test.
func mount(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", options, "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("a disk of its own cannot be mounted here (root is needed): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	return dir
}

// The disk fills up: the entry that does not fit is refused in words, those
// before it are there, and with some space life goes on.
func TestDiskFull(t *testing.T) {
	dir := mount(t, "size=700k")
	path := filepath.Join(dir, "journal.db")
	j, err := Open(t.Context(), path, Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { j.Close() }()
	ballast := filepath.Join(dir, "ballast")
	mustWrite(t, ballast, make([]byte, 100<<10))
	mustAppend(t, j, start("1"))
	stored := int64(1)
	for ; ; stored++ {
		if _, err = j.Append(t.Context(), note("1", strings.Repeat("long ", 200))); err != nil {
			break
		}
		if stored > 10_000 {
			t.Fatal("the disk does not fill up")
		}
	}
	if !errors.Is(err, ErrFull) || !strings.Contains(err.Error(), "free some space") {
		t.Errorf("full: %v", err)
	}
	if _, err := j.PutPhoto(strings.NewReader(strings.Repeat("x", 1<<20))); err == nil {
		t.Error("a photograph was kept on a full disk")
	}
	if left, _ := os.ReadDir(path + "-photos"); len(left) > 0 {
		t.Errorf("half a photograph is left: %v", left)
	}
	if _, n, err := j.Head(t.Context()); err != nil || n != stored {
		t.Errorf("%d records, %v; %d were acknowledged", n, err, stored)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, j, note("1", "on again"))
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || r.Records != stored+1 {
		t.Errorf("%+v", r)
	}
	if _, err := j.Backup(t.Context(), filepath.Join(dir, "copy.db")); !errors.Is(err, ErrFull) {
		t.Errorf("a backup on a full disk: %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".backup-*")); len(left) > 0 {
		t.Errorf("half a backup is left: %v", left)
	}
	t.Logf("%d entries fitted", stored)
}

func TestDiskFullFromTheStart(t *testing.T) {
	dir := mount(t, "size=16k")
	_, err := Open(t.Context(), filepath.Join(dir, "journal.db"), Options{Create: true})
	if !errors.Is(err, ErrFull) {
		t.Fatalf("a journal where there is no space: %v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("half a journal is left after %v: %v", err, left)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	for _, left := range []bool{false, true} {
		t.Run(fmt.Sprintf("log left=%v", left), func(t *testing.T) { readOnlyFolder(t, left) })
	}
}

// readOnlyFolder reads a journal in a folder that cannot be written, with or
// without the empty log that an earlier reader leaves beside it.
func readOnlyFolder(t *testing.T, left bool) {
	dir := mount(t, "size=2m")
	path := filepath.Join(dir, "journal.db")
	j := mustOpen(t, path, Options{Create: true})
	records := sample(t, j)
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	if left {
		r := mustOpen(t, path, Options{ReadOnly: true, Now: ticking()})
		mustVerify(t, r, VerifyOptions{})
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Stat(path + "-wal"); (err == nil) != left {
		t.Fatalf("a log is there: %v", err)
	}
	if out, err := exec.Command("mount", "-o", "remount,ro", dir).CombinedOutput(); err != nil {
		t.Fatal(err, string(out))
	}
	if j, err := Open(t.Context(), path, Options{}); !errors.Is(err, ErrReadOnly) {
		t.Errorf("to write: %v", err)
		if err == nil {
			j.Close()
		}
	}
	if _, err := Open(t.Context(), filepath.Join(dir, "new.db"), Options{Create: true}); err == nil {
		t.Error("a journal was made on a read-only disk")
	}
	ro := mustOpen(t, path, Options{ReadOnly: true, Now: ticking()})
	if r := mustVerify(t, ro, VerifyOptions{}); !r.OK || r.Records != int64(len(records)) {
		t.Errorf("to read: %+v", r)
	}
	if _, err := ro.Append(t.Context(), note("4412", "x")); !errors.Is(err, ErrReadOnly) {
		t.Errorf("append: %v", err)
	}
}

func TestSymbolicAndHardLinks(t *testing.T) {
	j, path := openTemp(t)
	sample(t, j)
	link := filepath.Join(t.TempDir(), "link.db")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	l := mustOpen(t, link, Options{Now: ticking()})
	mustAppend(t, l, note("4412", "by the link"))
	if r := mustVerify(t, l, VerifyOptions{}); !r.OK { // its clips are found beside the real file
		t.Errorf("by the link: %+v", r)
	}
	if left, _ := filepath.Glob(link + "-*"); len(left) > 0 {
		t.Errorf("files beside the link: %v", left)
	}
	dangling := filepath.Join(t.TempDir(), "dangling.db")
	if err := os.Symlink(filepath.Join(t.TempDir(), "nothing"), dangling); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), dangling, Options{Create: true}); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), "symbolic link") {
		t.Errorf("a link to nothing: %v", err)
	}
	if err := os.Link(path, filepath.Join(filepath.Dir(path), "second.db")); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), path, Options{}); !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "second name") {
		t.Errorf("a file with two names: %v", err)
	}
}

// The folder vanishes, or the file is replaced, under an open journal: the
// next append is not acknowledged.
func TestVanishingFiles(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(path string) error
	}{
		{"folder deleted", func(path string) error { return os.RemoveAll(filepath.Dir(path)) }},
		{"folder renamed", func(path string) error { return os.Rename(filepath.Dir(path), filepath.Dir(path)+"-old") }},
		{"file deleted", os.Remove},
		{"log deleted", func(path string) error { return os.Remove(path + "-wal") }},
		{"file replaced", func(path string) error {
			b, err := os.ReadFile(path)
			return errors.Join(err, os.Remove(path), os.WriteFile(path, b, 0o600))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, path := openTemp(t)
			mustAppend(t, j, start("1"))
			if err := c.do(path); err != nil {
				t.Fatal(err)
			}
			if r, err := j.Append(t.Context(), note("1", "x")); !errors.Is(err, ErrMoved) {
				t.Errorf("Append = %v, %v", r, err)
			}
		})
	}
}

func TestNoFolderCanBeMade(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	mustWrite(t, file, []byte("x"))
	if _, err := Open(t.Context(), filepath.Join(file, "journal.db"), Options{Create: true}); err == nil || !errors.Is(err, fs.ErrExist) && !strings.Contains(fmt.Sprint(err), "not a directory") {
		t.Errorf("a folder that is a file: %v", err)
	}
}
