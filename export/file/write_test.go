package file

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/export/exporttest"
)

func TestWriteFile(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	path := filepath.Join(dir, "a.txt")
	if err := WriteFile(ctx, path, FileOptions{}, exporttest.Text("text: one")); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(ctx, path, FileOptions{}, exporttest.Text("text: two")); !errors.Is(err, ErrExists) {
		t.Errorf("overwriting: %v", err)
	}
	if err := WriteFile(ctx, path, FileOptions{Force: true}, exporttest.Text("text: three")); err != nil {
		t.Error(err)
	}
	if b, _ := os.ReadFile(path); string(b) != "text: three" {
		t.Errorf("holds %q", b)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v", info.Mode())
	}
	if left := exporttest.Leftovers(t, dir, "a.txt"); left != nil {
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
		{"the writer fails", context.Background(), FileOptions{Force: true}, func(w io.Writer) error { _ = exporttest.Text("half")(w); return boom }, boom},
		{"cancelled half-way", cancelled, FileOptions{Force: true}, func(w io.Writer) error { _ = exporttest.Text("half")(w); cancel(); return exporttest.Text("more")(w) }, context.Canceled},
		{"cancelled at the end", cancelled, FileOptions{Force: true}, func(w io.Writer) error { return nil }, context.Canceled},
		{"output is input", context.Background(), FileOptions{Force: true, Inputs: []string{dir + "/./a.txt"}}, exporttest.Text("new"), ErrIsInput},
		{"output is input by another name", context.Background(), FileOptions{Force: true, Inputs: []string{link}}, exporttest.Text("new"), ErrIsInput},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if err := WriteFile(tt.ctx, path, tt.o, tt.write); !errors.Is(err, tt.want) {
				t.Errorf("got %v, want %v", err, tt.want)
			}
			if b, _ := os.ReadFile(path); string(b) != "old" {
				t.Errorf("holds %q", b)
			}
			if left := exporttest.Leftovers(t, dir, "a.txt", "link"); left != nil {
				t.Errorf("left behind %v", left)
			}
		})
	}
}

// TestWriteFileWhereItCannot uses what fails for everyone: a folder that is
// not there, a folder as the file, and the device that is always full.
func TestWriteFileWhereItCannot(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	if err := WriteFile(ctx, filepath.Join(dir, "no", "a.txt"), FileOptions{}, exporttest.Text("x")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no folder: %v", err)
	}
	if err := WriteFile(ctx, dir, FileOptions{Force: true}, exporttest.Text("x")); err == nil || !strings.Contains(err.Error(), "folder") {
		t.Errorf("a folder: %v", err)
	}
	if full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0); err == nil {
		defer full.Close()
		path := filepath.Join(dir, "full.txt")
		err := WriteFile(ctx, path, FileOptions{}, func(io.Writer) error { return exporttest.Text("x")(full) })
		if err == nil || !strings.Contains(err.Error(), "no space left") {
			t.Errorf("full disk: %v", err)
		}
	}
	if left := exporttest.Leftovers(t, dir); left != nil {
		t.Errorf("left behind %v", left)
	}
}

// Force overwrites a file of the same kind, and nothing else: no text of
// another kind, no database, no link, no pipe, nothing in a folder of inputs.
func TestForceOverwritesOnlyItsOwnKind(t *testing.T) {
	dir := t.TempDir()
	kept := filepath.Join(dir, "kept")
	exporttest.Pipe(t, filepath.Join(dir, "pipe"))
	for _, err := range []error{
		os.Mkdir(kept, 0o700),
		os.WriteFile(filepath.Join(dir, "target"), []byte("%PDF-1.4 target"), 0o600), os.Symlink("target", filepath.Join(dir, "link")),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	const pdf, csv, json = "%PDF-1.7 new", "job,site\r\n1,x\r\n", "{\n  \"version\": 1}"
	for _, c := range []struct {
		name, old, fresh string
		ok               bool
	}{
		{"a.pdf", "%PDF-1.3 old", pdf, true},
		{"b.pdf", "", pdf, true},
		{"c.csv", "job,site,more\n", csv, true},
		{"d.csv", "\ufeffjob,site\n", csv, true},
		{"e.json", "{\"version\":0}", json, true},
		{"f.pdf", "SQLite format 3\x00", pdf, false},
		{"g.csv", "[rates]\nbase = 1\n", csv, false},
		{"h.csv", "name,phone\n", csv, false},
		{"i.pdf", "notes of mine", pdf, false},
		{"j.json", "{\"secrets\": []}", json, false},
		{"pipe", "-", pdf, false},
		{"link", "-", pdf, false},
		{"kept/k.pdf", "%PDF-1.3 old", pdf, false},
	} {
		path := filepath.Join(dir, c.name)
		if c.old != "-" {
			if err := os.WriteFile(path, []byte(c.old), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		err := WriteFile(t.Context(), path, FileOptions{Force: true, Inputs: []string{kept}}, exporttest.Text(c.fresh))
		if (err == nil) != c.ok {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.old == "-" {
			continue
		}
		want := c.old
		if c.ok {
			want = c.fresh
		}
		if b, _ := os.ReadFile(path); string(b) != want {
			t.Errorf("%s holds %q", c.name, b)
		}
	}
	if b, _ := os.ReadFile(filepath.Join(dir, "target")); string(b) != "%PDF-1.4 target" {
		t.Errorf("the link's target holds %q", b)
	}
}
