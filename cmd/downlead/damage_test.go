package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// patched flips the case of one letter of every place in a file that holds a
// text between two others, and reports how many there were.
func patched(t *testing.T, path, old, with string) int {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	n := bytes.Count(b, []byte(old))
	if err := os.WriteFile(path, bytes.ReplaceAll(b, []byte(old), []byte(with)), 0o600); err != nil {
		t.Fatal(err)
	}
	return n
}

// Nobody is sent to a backup while the entries and the database are whole: it
// would lack what came after it.
func TestTheHintFollowsTheDamage(t *testing.T) {
	verify := func(path string, args ...string) (int, string) {
		e, out, errs := testEnv(t, "")
		code := run(context.Background(), e, append([]string{"--journal", path, "verify"}, args...))
		return code, out.String() + errs.String()
	}
	fresh := func() string {
		path := filepath.Join(t.TempDir(), "journal.db")
		e, _, errs := testEnv(t, "start job 5\nnote Zebra in the yard\nphoto")
		if run(context.Background(), e, []string{"--journal", path, "say", "-"}) == exitFailed {
			t.Fatal(errs)
		}
		return path
	}
	// The list of words holds the word in small letters, the entry as it was typed.
	path := fresh()
	if n := patched(t, path, "zebra", "zebrb"); n == 0 {
		t.Fatal("nothing was changed")
	}
	if code, said := verify(path); code != exitNotIntact || strings.Contains(said, "backup") || !strings.Contains(said, "verify --repair-index") {
		t.Errorf("a changed list of words: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--repair-index"); code != exitDone {
		t.Errorf("mended: exit %d, %s", code, said)
	}
	if code, said := verify(path); code != exitDone {
		t.Errorf("after mending: exit %d, %s", code, said)
	}
	path = fresh()
	if n := patched(t, path, "Zebra", "Zebrb"); n == 0 {
		t.Fatal("nothing was changed")
	}
	if code, said := verify(path); code != exitNotIntact || !strings.Contains(said, "go on from a backup") {
		t.Errorf("a changed entry: exit %d, %s", code, said)
	}
	path = fresh()
	if code, said := verify(path, "--head", strings.Repeat("ab", 32)); code != exitNotIntact || strings.Contains(said, "backup") {
		t.Errorf("another head: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--count", "999"); code != exitNotIntact || strings.Contains(said, "backup") {
		t.Errorf("another count: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--count", "0"); code != exitUsage {
		t.Errorf("no count: exit %d, %s", code, said)
	}
}

// The demo removes the journal of an earlier demo, and nothing else.
func TestTheDemoRemovesOnlyItsOwn(t *testing.T) {
	for name, content := range map[string]string{"text": "mine", "database": "SQLite format 3\x00"} {
		path := filepath.Join(t.TempDir(), "text.db")
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := removeDemo(t.Context(), path); err == nil {
			t.Errorf("%s was removed", name)
		}
		if b, _ := os.ReadFile(path); string(b) != content {
			t.Errorf("%s holds %q", name, b)
		}
	}
	other := filepath.Join(t.TempDir(), "sound.db")
	e, _, errs := testEnv(t, "start job 5\noutlet pass")
	if code := run(context.Background(), e, []string{"--journal", other, "say", "-"}); code != exitDone {
		t.Fatal(errs)
	}
	if err := removeDemo(t.Context(), other); err == nil {
		t.Error("another journal was removed")
	}
	path := demoJournal(t)
	if err := removeDemo(t.Context(), path); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("the earlier demo is still there")
	}
}
