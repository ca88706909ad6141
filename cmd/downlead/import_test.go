package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	audio "downlead/capture/sound"
	"downlead/journal"
	"downlead/journal/record"
)

// An import that is killed loses nothing and, started again, takes in the rest
// and nothing twice.
func TestImportGoesOnAfterKill(t *testing.T) {
	t.Parallel() // it waits for programs
	t.Run("memo", func(t *testing.T) {
		if testing.Short() {
			t.Skip("decodes a memo twice")
		}
		needs(t, "flite", "flite")
		var sound []int16
		for i := range 3 {
			sound = append(sound, padded(voiced(t, "flite slt", memoPhrase(i), 1))...)
		}
		killedImport(t, "memo.wav", audio.WAV(sound), 3, 1)
	})
	t.Run("text", func(t *testing.T) {
		var lines strings.Builder
		for i := range 150 {
			line := fmt.Sprintf("note line %d", i%30)
			switch i % 10 {
			case 2: // a reading; many more of them, and weighing them takes the time
				line = memoPhrase(i % 30)
			case 3:
				line = memoPhrase((i - 1) % 30) // said twice
			case 5:
				line = memoPhrase(i%30) + " strength forty, " + memoPhrase((i+1)%30) // two entries
			case 7:
				line = "next" // stores nothing
			case 8:
				line = "words that mean nothing here"
			case 9:
				line = "2026-11-18T09:00:00-07:00 " + line
			}
			if i == 1 || i == 60 { // what went into one job is not taken into the next
				line = fmt.Sprintf("start job %d", 6+i)
			}
			fmt.Fprintln(&lines, line)
		}
		killedImport(t, "notes.txt", []byte(lines.String()), 120, 3)
	})
}

func memoPhrase(i int) string {
	points := []string{"wall plate", "ground block dish side", "ground block receiver side", "splitter dish side", "behind receiver one"}
	return points[i%len(points)] + " fail minus " + numberWords(41+i)
}

// killedImport takes a file in at once, and in another home in two parts, and
// compares what was stored: at least so many phrases. It is killed once so many
// entries are there.
func killedImport(t *testing.T, name string, content []byte, least, kill int) {
	t.Helper()
	dir := t.TempDir()
	memo := filepath.Join(dir, name)
	if err := os.WriteFile(memo, content, 0o600); err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(dir, "downlead") // the test's program is downlead under that name
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(self, program); err != nil {
		t.Fatal(err)
	}
	type home struct {
		command func(args ...string) *exec.Cmd
		phrases func() []string // with the job that each went to
		stored  func() int      // how many entries there are, without a process for each look
	}
	at := func(name string) home {
		h := filepath.Join(dir, name)
		if err := os.Mkdir(h, 0o700); err != nil {
			t.Fatal(err)
		}
		var out home
		out.command = func(args ...string) *exec.Cmd {
			cmd := exec.Command(program, args...)
			cmd.Env = append(os.Environ(), "HOME="+h, "XDG_DATA_HOME=", "XDG_CONFIG_HOME=")
			return cmd
		}
		open := func() *journal.Journal {
			j, err := journal.Open(t.Context(), filepath.Join(h, ".local", "share", "downlead", "journal.db"), journal.Options{ReadOnly: true})
			if err != nil {
				t.Fatal(err)
			}
			return j
		}
		out.phrases = func() []string {
			var all []string
			j := open()
			defer j.Close()
			records, err := j.Since(t.Context(), 0, 1<<20)
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range records {
				if r.Origin == record.Imported && r.Phrase != "" {
					all = append(all, r.Job+": "+r.Phrase)
				}
			}
			return all
		}
		runCommand(t, out.command("say", "start job 5"))
		out.stored = func() int {
			j := open()
			defer j.Close()
			_, n, err := j.Head(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			return int(n)
		}
		return out
	}
	whole := at("whole")
	runCommand(t, whole.command("import", memo))
	want := whole.phrases()
	if len(want) < least {
		t.Fatalf("only %d phrases of the memo were taken in: %q", len(want), want)
	}

	killed := at("killed")
	first := killed.command("import", memo)
	before := killed.stored()
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); killed.stored() < before+kill; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("nothing was taken in")
		}
	}
	if err := first.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = first.Wait()
	part := killed.phrases()
	if len(part) >= len(want) {
		t.Skip("the import was over before it was killed")
	}
	runCommand(t, killed.command("import", memo))
	if got := killed.phrases(); !slices.Equal(got, want) {
		t.Errorf("killed after %d phrases, then\n%q\nwant\n%q", len(part), got, want)
	}
	runCommand(t, killed.command("verify"))
}

func runCommand(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if b, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v: %s", cmd.Args[1:], err, b)
	}
}
