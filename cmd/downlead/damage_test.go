package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
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
		e, out, errs := clitest.Env(t, "")
		code := run(context.Background(), e, append([]string{"--journal", path, "verify"}, args...))
		return code, out.String() + errs.String()
	}
	fresh := func() string {
		path := filepath.Join(t.TempDir(), "journal.db")
		e, _, errs := clitest.Env(t, "start job 5\nnote Zebra in the yard\nphoto")
		if run(context.Background(), e, []string{"--journal", path, "say", "-"}) == cli.ExitFailed {
			t.Fatal(errs)
		}
		return path
	}
	// The list of words holds the word in small letters, the entry as it was typed.
	path := fresh()
	if n := patched(t, path, "zebra", "zebrb"); n == 0 {
		t.Fatal("nothing was changed")
	}
	if code, said := verify(path); code != cli.ExitNotIntact || strings.Contains(said, "backup") || !strings.Contains(said, "verify --repair-index") {
		t.Errorf("a changed list of words: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--repair-index"); code != cli.ExitDone {
		t.Errorf("mended: exit %d, %s", code, said)
	}
	if code, said := verify(path); code != cli.ExitDone {
		t.Errorf("after mending: exit %d, %s", code, said)
	}
	path = fresh()
	if n := patched(t, path, "Zebra", "Zebrb"); n == 0 {
		t.Fatal("nothing was changed")
	}
	if code, said := verify(path); code != cli.ExitNotIntact || !strings.Contains(said, "go on from a backup") {
		t.Errorf("a changed entry: exit %d, %s", code, said)
	}
	path = fresh()
	if code, said := verify(path, "--head", strings.Repeat("ab", 32)); code != cli.ExitNotIntact || strings.Contains(said, "backup") {
		t.Errorf("another head: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--count", "999"); code != cli.ExitNotIntact || strings.Contains(said, "backup") {
		t.Errorf("another count: exit %d, %s", code, said)
	}
	if code, said := verify(path, "--count", "0"); code != cli.ExitUsage {
		t.Errorf("no count: exit %d, %s", code, said)
	}
}

// The whole look-over names every part, finds what is planted, and touches
// nothing.
func TestDoctorFull(t *testing.T) {
	type ailment struct { // of the machine form
		Part, Mend string
		OK         bool
	}
	look := func(path string, now time.Time) (int, map[string]ailment) {
		e, out, _ := clitest.Env(t, "")
		e.Now = func() time.Time { return now }
		code := run(context.Background(), e, []string{"--json", "--journal", path, "doctor", "--full"})
		var list []ailment
		if err := json.Unmarshal(out.Bytes(), &list); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		parts := map[string]ailment{}
		for _, a := range list {
			if a.Part != "finding" {
				parts[a.Part] = a
			}
			if !a.OK && a.Mend == "" {
				t.Errorf("%+v: nothing to do", a)
			}
		}
		return code, parts
	}
	now := time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC)
	path := demoJournal(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	code, parts := look(path, now)
	for _, part := range []string{"journal", "chain", "rights", "disk", "clock", "microphone"} {
		if _, ok := parts[part]; !ok {
			t.Errorf("%s was not looked at", part)
		}
	}
	if _, model := parts["model"]; !model && parts["recogniser"].Part == "" {
		t.Error("the model was not looked at")
	}
	if code != cli.ExitDone || !parts["journal"].OK || !parts["chain"].OK || !parts["rights"].OK {
		t.Errorf("exit %d: %+v", code, parts)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the journal was touched")
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, parts := look(path, now); parts["rights"].OK || !strings.Contains(parts["rights"].Mend, "chmod 600") {
		t.Errorf("rights: %+v", parts["rights"])
	}
	e, _, errs := clitest.Env(t, "")
	e.Now = func() time.Time { return now }
	if code := run(context.Background(), e, []string{"--journal", path, "job", "reopen", "4412", "--reason", "on it again"}); code != cli.ExitDone {
		t.Fatal(errs)
	}
	if code := run(context.Background(), e, []string{"--journal", path, "--job", "4412", "say", "note by the clock"}); code != cli.ExitDone {
		t.Fatal(errs)
	}
	if _, parts := look(path, now.Add(-time.Hour)); parts["clock"].OK {
		t.Errorf("clock: %+v", parts["clock"])
	}
	if n := patched(t, path, "splitter", "splittes"); n == 0 {
		t.Fatal("nothing was changed")
	}
	if code, parts := look(path, now); code != cli.ExitNotIntact || parts["journal"].OK && parts["chain"].OK {
		t.Errorf("damaged: exit %d, %+v", code, parts)
	}
}
