package journal

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// faultsProgram compiles the program that makes a chosen call on a file fail.
func faultsProgram(t *testing.T) string {
	t.Helper()
	if runtime.GOOS != "linux" || runtime.GOARCH != "amd64" {
		t.Skip("faults are injected on x86-64 Linux alone")
	}
	program := filepath.Join(t.TempDir(), "faults")
	out, err := exec.Command("gcc", "-O1", "-Wall", "-Werror", "-o", program, filepath.Join("..", "testdata", "faults", "faults.c")).CombinedOutput()
	if errors.Is(err, exec.ErrNotFound) {
		t.Skip("install gcc")
	}
	if err != nil {
		t.Fatalf("gcc: %v %s", err, out)
	}
	if out, err := exec.Command(program, t.TempDir(), "1", "none", "true").CombinedOutput(); err != nil {
		t.Skipf("no program may be traced here: %v %s", err, out)
	}
	return program
}

// faulted runs a child under an injected fault. It returns the seqs and hashes
// that the child acknowledged, how many calls were counted, and which was met.
func faulted(t *testing.T, program, dir string, n int, action string, child *exec.Cmd) (acknowledged map[string]string, calls int, met string) {
	t.Helper()
	cmd := exec.Command(program, append([]string{dir, fmt.Sprint(n), action, child.Path}, child.Args[1:]...)...)
	cmd.Env = append(child.Env, "GOMAXPROCS=1")
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	_ = cmd.Run() // the child may fail: that is what is asked for
	acknowledged = map[string]string{}
	for lines := bufio.NewScanner(&out); lines.Scan(); {
		if seq, hash, ok := strings.Cut(lines.Text(), " "); ok && len(hash) == 64 {
			acknowledged[seq] = hash
		}
	}
	at := strings.LastIndex(errOut.String(), "faults: ")
	if at < 0 {
		t.Fatalf("%s %d: %s", action, n, errOut.String())
	}
	if _, err := fmt.Sscanf(errOut.String()[at:], "faults: %d calls, met %s", &calls, &met); err != nil {
		t.Fatal(err)
	}
	if i := strings.Index(errOut.String(), "panic:"); i >= 0 {
		t.Errorf("%s at call %d: %s", action, n, errOut.String()[i:])
	}
	return acknowledged, calls, met
}

// baseJournal makes a journal with some entries and returns its file.
func baseJournal(t *testing.T) []byte {
	t.Helper()
	j, path := openTemp(t)
	sample(t, j)
	for i := range 40 {
		mustAppend(t, j, note("4413", fmt.Sprint("before ", i)))
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	return mustRead(t, path)
}

// whole holds what a fault left against what was acknowledged: to read, to
// write and to verify.
func whole(t *testing.T, what, path string, acknowledged map[string]string) {
	t.Helper()
	for _, o := range []Options{{ReadOnly: true}, {}} {
		j, err := Open(t.Context(), path, o)
		if err != nil {
			t.Errorf("%s: an intact journal is refused (%+v): %v", what, o, err)
			continue
		}
		records, err := j.Since(t.Context(), 0, 1<<20)
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		there := map[string]string{}
		for _, r := range records {
			there[fmt.Sprint(r.Seq)] = r.Hash.String()
		}
		for seq, hash := range acknowledged {
			if there[seq] != hash {
				t.Errorf("%s: the acknowledged entry %s is lost", what, seq)
			}
		}
		for _, p := range mustVerify(t, j, VerifyOptions{}).Problems {
			if p.Part != PartFiles { // the clips and photographs are not copied along
				t.Errorf("%s: %+v", what, p)
			}
		}
		if err := j.Close(); err != nil {
			t.Errorf("%s: close: %v", what, err)
		}
	}
}

// Every call on the journal's files fails once, in every way, while a child
// appends and then closes, which writes its log back: nothing acknowledged is
// lost, and what is left is no damaged journal. Between the first page that a
// checkpoint writes and the last, the file alone is shorter than its header
// says; with its log it is whole (sqlite.org/wal.html, section 2.1).
func TestFaultsOfAppendAndCheckpoint(t *testing.T) {
	program, base := faultsProgram(t), baseJournal(t)
	path := filepath.Join(t.TempDir(), "journal.db")
	run := func(n int, action string) (map[string]string, int, string) {
		removeDatabase(path)
		mustWrite(t, path, base)
		return faulted(t, program, path, n, action, childCommand(t, path, "4414", 25))
	}
	acknowledged, calls, _ := run(1, "none")
	if len(acknowledged) != 25 || calls < 50 {
		t.Fatalf("%d entries acknowledged in %d calls", len(acknowledged), calls)
	}
	table := map[string]int{}
	for _, action := range []string{"kill", "ENOSPC", "EIO", "EROFS", "ENOSPC1", "EIO1", "short"} {
		for n := 1; n <= calls; n++ {
			// The closing checkpoint is the last; the small run looks there.
			if !long() && (n < calls-30 || action != "kill" && n%4 != 0) {
				continue
			}
			acknowledged, _, met := run(n, action)
			whole(t, fmt.Sprintf("%s at call %d (%s)", action, n, met), path, acknowledged)
			table[action]++
		}
	}
	t.Logf("injected into append and checkpoint, of %d calls: %v", calls, table)
}

// The disk fills up while a journal is written and closed; then there is space
// again. It was whole all the time.
func TestFullDiskAndClose(t *testing.T) {
	dir := mount(t, "size=400k")
	path := filepath.Join(dir, "journal.db")
	mustWrite(t, path, baseJournal(t))
	ballast := filepath.Join(dir, "ballast")
	mustWrite(t, ballast, make([]byte, 16<<10))
	j := mustOpen(t, path, Options{})
	stored := int64(48)
	for {
		if _, err := j.Append(t.Context(), note("4413", strings.Repeat("long ", 300))); err != nil {
			break
		}
		stored++
	}
	_ = j.Close() // it cannot write its log back
	if err := func() error {
		r, err := Open(t.Context(), path, Options{ReadOnly: true})
		if err == nil {
			err = r.Close()
		}
		return err
	}(); errors.Is(err, ErrNotIntact) || errors.Is(err, ErrForeign) {
		t.Errorf("while the disk is full: %v", err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	j = mustOpen(t, path, Options{})
	if _, n, err := j.Head(t.Context()); err != nil || n < stored {
		t.Errorf("%d entries, %v; %d were acknowledged", n, err, stored)
	}
	whole(t, "after the disk was full", path, nil)
}

// A journal is opened again and again beside a process that opens, appends
// and closes: it is never refused.
func TestOpensBesideAClosingWriter(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	mustWrite(t, path, baseJournal(t))
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		for ctx.Err() == nil {
			j, err := Open(context.Background(), path, Options{})
			if err == nil {
				for range 20 {
					_, err = j.Append(context.Background(), note("4413", strings.Repeat("x", 5000)))
				}
				err = errors.Join(err, j.Close())
			}
			if err != nil {
				done <- err
				return
			}
		}
		done <- nil
	}()
	refused := 0
	opens := pick(60, 1000)
	for i := range opens {
		j, err := Open(t.Context(), path, Options{ReadOnly: i%2 == 0, Wait: time.Minute})
		if err != nil {
			refused++
			t.Errorf("open %d: %v", i, err)
			continue
		}
		j.Close()
	}
	stop()
	if err := <-done; err != nil {
		t.Errorf("the writer: %v", err)
	}
	t.Logf("%d opens, %d refused", opens, refused)
}
