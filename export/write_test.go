package export

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// leftovers lists what lies in a folder beside the names given.
func leftovers(t *testing.T, dir string, names ...string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
next:
	for _, e := range entries {
		for _, n := range names {
			if e.Name() == n {
				continue next
			}
		}
		left = append(left, e.Name())
	}
	return left
}

func TestWriteFile(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	path := filepath.Join(dir, "a.txt")
	if err := WriteFile(ctx, path, FileOptions{}, text("one")); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(ctx, path, FileOptions{}, text("two")); !errors.Is(err, ErrExists) {
		t.Errorf("overwriting: %v", err)
	}
	if err := WriteFile(ctx, path, FileOptions{Force: true}, text("three")); err != nil {
		t.Error(err)
	}
	if b, _ := os.ReadFile(path); string(b) != "three" {
		t.Errorf("holds %q", b)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v", info.Mode())
	}
	if left := leftovers(t, dir, "a.txt"); left != nil {
		t.Errorf("left behind %v", left)
	}
}

func TestWriteFileKeepsTheOldOneOnTrouble(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	boom := errors.New("boom")
	cancelled, cancel := context.WithCancel(context.Background())
	link := filepath.Join(dir, "link")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name  string
		ctx   context.Context
		o     FileOptions
		write func(io.Writer) error
		want  error
	}{
		{"the writer fails", context.Background(), FileOptions{Force: true}, func(w io.Writer) error { _ = text("half")(w); return boom }, boom},
		{"cancelled half-way", cancelled, FileOptions{Force: true}, func(w io.Writer) error { _ = text("half")(w); cancel(); return text("more")(w) }, context.Canceled},
		{"cancelled at the end", cancelled, FileOptions{Force: true}, func(w io.Writer) error { return nil }, context.Canceled},
		{"output is input", context.Background(), FileOptions{Force: true, Inputs: []string{dir + "/./a.txt"}}, text("new"), ErrIsInput},
		{"output is input by another name", context.Background(), FileOptions{Force: true, Inputs: []string{link}}, text("new"), ErrIsInput},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if err := WriteFile(tt.ctx, path, tt.o, tt.write); !errors.Is(err, tt.want) {
				t.Errorf("got %v, want %v", err, tt.want)
			}
			if b, _ := os.ReadFile(path); string(b) != "old" {
				t.Errorf("holds %q", b)
			}
			if left := leftovers(t, dir, "a.txt", "link"); left != nil {
				t.Errorf("left behind %v", left)
			}
		})
	}
}

// TestWriteFileWhereItCannot uses what fails for everyone: a folder that is
// not there, a folder as the file, and the device that is always full.
func TestWriteFileWhereItCannot(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	if err := WriteFile(ctx, filepath.Join(dir, "no", "a.txt"), FileOptions{}, text("x")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no folder: %v", err)
	}
	if err := WriteFile(ctx, dir, FileOptions{Force: true}, text("x")); err == nil || !strings.Contains(err.Error(), "folder") {
		t.Errorf("a folder: %v", err)
	}
	if full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0); err == nil {
		defer full.Close()
		path := filepath.Join(dir, "full.txt")
		err := WriteFile(ctx, path, FileOptions{}, func(io.Writer) error { return text("x")(full) })
		if err == nil || !strings.Contains(err.Error(), "no space left") {
			t.Errorf("full disk: %v", err)
		}
	}
	if left := leftovers(t, dir); left != nil {
		t.Errorf("left behind %v", left)
	}
}
