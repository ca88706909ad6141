package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
)

// typist types to the program on a terminal of its own.
type typist struct {
	t    *testing.T
	pty  *os.File
	cmd  *exec.Cmd
	mu   sync.Mutex
	seen bytes.Buffer
	done chan struct{}
	from int // what was looked at
}

func sitDown(t *testing.T, home string, args ...string) *typist {
	t.Helper()
	y := &typist{t: t, cmd: exec.Command("downlead", args...), done: make(chan struct{})}
	y.cmd.Env = append(os.Environ(), "HOME="+home, "XDG_DATA_HOME=", "XDG_CONFIG_HOME=", "DOWNLEAD_JOURNAL=", "TERM=xterm")
	var err error
	if y.pty, err = pty.StartWithSize(y.cmd, &pty.Winsize{Rows: 24, Cols: 100}); err != nil {
		t.Skipf("no terminal can be made here: %v", err)
	}
	t.Cleanup(func() { _ = y.cmd.Process.Kill(); y.pty.Close() })
	go func() {
		defer close(y.done)
		b := make([]byte, 4096)
		for {
			n, err := y.pty.Read(b)
			y.mu.Lock()
			y.seen.Write(b[:n])
			y.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return y
}

// types types keys and waits until the terminal shows something after it.
func (y *typist) types(keys, shows string) {
	y.t.Helper()
	if _, err := io.WriteString(y.pty, keys); err != nil {
		y.t.Fatal(err)
	}
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		y.mu.Lock()
		text := y.seen.String()[y.from:]
		at := strings.Index(text, shows)
		if at >= 0 {
			y.from += at + len(shows)
		}
		y.mu.Unlock()
		if at >= 0 {
			return
		}
	}
	y.t.Fatalf("after %q the terminal never showed %q; it has\n%s", keys, shows, y.seen.String())
}

// says types a line, and waits for its answer and the prompt after it: what is
// typed before that is the terminal's own to edit.
func (y *typist) says(line, answer string) {
	y.t.Helper()
	y.types(line, answer)
	y.types("", "> ")
}

// leaves waits for the program's end.
func (y *typist) leaves() {
	y.t.Helper()
	if err := y.cmd.Wait(); err != nil {
		y.t.Errorf("it ended with %v", err)
	}
	select {
	case <-y.done:
	case <-time.After(10 * time.Second):
	}
}

// The keys, as a terminal sends them (ECMA-48; XTerm control sequences).
const (
	keyUp, keyHome, keyEnd  = "\x1b[A", "\x1b[H", "\x1b[F"
	ctrlD, ctrlW, tab, back = "\x04", "\x17", "\t", "\x7f"
)

// TestPromptOnATerminal: a line can be completed, edited and had again; the
// answers stand between; and the next run knows the job's phrases.
func TestPromptOnATerminal(t *testing.T) {
	home := t.TempDir()
	y := sitDown(t, home, "listen", "--text")
	y.types("", "> ")
	y.types("start j"+tab, "job ")
	y.says("1001\r", "Start job one zero zero one.")
	y.says("wall plate fail minus sixty"+ctrlW+"fifty fourr"+back+"\r", "Wall plate receiver side, fail, minus fifty four.")
	y.says(keyUp+keyHome+"kitchen "+keyEnd+" "+ctrlW+"five\r", "Wall plate receiver side in the kitchen, fail, minus fifty five.")
	y.types("grou"+tab, "ground") // ground, grounding, groundblock: what is certain
	y.types(tab, "groundblock")
	y.says(ctrlW+"start job 1002\r", "Start job one zero zero two. Job 1001 stays open")
	y.types("back to job "+tab, "100")
	y.says("1\r", "On job 1001 now")
	y.types(ctrlD, "5 taken, 0 asked, 0 ignored, 0 not understood")
	y.leaves()

	y = sitDown(t, home, "listen", "--text")
	y.types("", "Job 1001. ")
	y.types("", "> ")
	y.types(keyUp+keyUp, "kitchen wall plate fail minus fifty five")
	y.says("\r", "fifty five.")
	y.types(ctrlD, "1 taken")
	y.leaves()
}

// TestPromptIsForTerminals: a pipe gets no prompt, no echo and no control
// sequence.
func TestPromptIsForTerminals(t *testing.T) {
	cmd := exec.Command("downlead", "listen", "--text")
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "XDG_DATA_HOME=", "XDG_CONFIG_HOME=", "DOWNLEAD_JOURNAL="+filepath.Join(t.TempDir(), "j.db"))
	cmd.Stdin = strings.NewReader("start job 1\nraining\n")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		var exit *exec.ExitError
		errors.As(err, &exit)
		t.Fatalf("%v: %s", err, &errs)
	}
	if strings.Contains(out.String()+errs.String(), "> ") || strings.ContainsRune(out.String()+errs.String(), '\x1b') {
		t.Errorf("a pipe got a prompt:\n%s%s", &out, &errs)
	}
	if !strings.Contains(out.String(), "Raining.") {
		t.Errorf("not answered:\n%s", &out)
	}
}
