package export

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"downlead/export/archive"
	"downlead/export/closeout"
	"downlead/export/file"
)

// readmeCommands are the commands of an archive's README: its blocks that are
// set in by four blanks, each until the next numbered or unindented line.
func readmeCommands(t *testing.T, dir string) []string {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(dir, archive.ReadmeName))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, part := range regexp.MustCompile(`(?m)^(\d\. |[A-Z]{4})`).Split(string(raw), -1) {
		if _, block, ok := strings.Cut(part, "\n\n    "); ok && !strings.HasPrefix(block, "head ") {
			out = append(out, strings.TrimRight(block, "\n"))
		}
	}
	return out
}

// shell runs a command of the README in the archive, as a stranger would.
func shell(t *testing.T, dir, command string) string {
	t.Helper()
	for _, name := range []string{"sha256sum", "python3", "openssl", "xxd"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("needs %s", name)
		}
	}
	c := exec.Command("sh", "-c", command)
	c.Dir = dir
	out, _ := c.CombinedOutput() // a failed check is told in words
	return string(out)
}

// TestArchiveExplainsItself runs the commands that the README gives, on an
// archive as it was written and on changed ones, without any of the program.
func TestArchiveExplainsItself(t *testing.T) {
	dir := realArchive(t)
	commands := readmeCommands(t, dir)
	if len(commands) != 3 {
		t.Fatalf("%d commands: %q", len(commands), commands)
	}
	sums := shell(t, dir, commands[0])
	if strings.Contains(sums, "FAILED") || strings.Count(sums, ": OK") != 9 {
		t.Errorf("the sums:\n%s", sums)
	}
	records := shell(t, dir, commands[1])
	if !strings.HasPrefix(records, "records read to the end: ") {
		t.Errorf("the records:\n%s", records)
	}
	lines := strings.Fields(shell(t, dir, commands[2]))
	if len(lines) < 2 || len(lines[0]) != 64 || lines[0] != lines[1] {
		t.Errorf("the first record: %q", lines)
	}
	readme, err := os.ReadFile(filepath.Join(dir, archive.ReadmeName))
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !bytes.Contains(readme, []byte("  "+filepath.Base(f)+" ")) {
			t.Errorf("the README does not say what %s is", filepath.Base(f))
		}
	}
	change := func(name, from, to string) {
		path := filepath.Join(dir, name)
		raw, err := os.ReadFile(path)
		if err != nil || !bytes.Contains(raw, []byte(from)) {
			t.Fatalf("%s has no %q, %v", name, from, err)
		}
		if err := os.WriteFile(path, bytes.Replace(raw, []byte(from), []byte(to), 1), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	change("closeout.txt", "Job 4412", "Job 4413")
	if sums = shell(t, dir, commands[0]); !strings.Contains(sums, "closeout.txt: FAILED") {
		t.Errorf("a changed file is not told:\n%s", sums)
	}
	change(archive.RecordsName, `"level_dbm":"-58"`, `"level_dbm":"-48"`)
	if records = shell(t, dir, commands[1]); !strings.Contains(records, "does not fit its hash") {
		t.Errorf("a changed record is not told:\n%s", records)
	}
	change(archive.RecordsName, "12 Quarry Lane", "13 Quarry Lane")
	change(archive.RecordsName, `"prev":"00`, `"prev":"10`)
	if lines = strings.Fields(shell(t, dir, commands[2])); lines[0] == lines[1] {
		t.Error("a changed first record is not told")
	}
}

// TestRedactedArchiveExplainsItself: it has no records, so that nothing is
// said of them, nor of who and where.
func TestRedactedArchiveExplainsItself(t *testing.T) {
	c, err := closeout.Redact(closeoutOf(t, shortCall(t)))
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "a")
	if err := archive.WriteArchive(t.Context(), dir, archive.ArchiveInput{Closeout: c}, file.FileOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	if commands := readmeCommands(t, dir); len(commands) != 1 {
		t.Errorf("commands %q", commands)
	}
}
