package journal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/journal/record"
)

// These tests break the journal in the ways a machine does, but for one: the
// power was never cut. DOWNLEAD_LONG=1 runs them in full.

// childVar makes a run of this test binary a writing child.
const childVar = "DOWNLEAD_TEST_CHILD"

func TestMain(m *testing.M) {
	if args, ok := os.LookupEnv(childVar); ok {
		os.Exit(child(strings.Fields(args)))
	}
	os.Exit(m.Run())
}

// child appends notes to a job as fast as it can and prints the seq of each
// once it is acknowledged: "path job count".
func child(args []string) int {
	ctx := context.Background()
	j, err := Open(ctx, args[0], Options{Create: true, Wait: time.Minute})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer j.Close()
	count, _ := strconv.Atoi(args[2])
	if _, err := j.Append(ctx, start(args[1])); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	for i := range count {
		r, err := j.Append(ctx, note(args[1], fmt.Sprintf("%s %d", args[1], i)))
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		fmt.Println(r[0].Seq, r[0].Hash)
	}
	return 0
}

func childCommand(t *testing.T, path, job string, count int) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s %s %d", childVar, path, job, count))
	cmd.Stderr = os.Stderr
	return cmd
}

// A writer is killed at random moments, again and again on one file. Every
// entry it acknowledged is there, with the hash it was acknowledged with.
func TestKilledWriters(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	seed := uint64(time.Now().UnixNano())
	random := rand.New(rand.NewPCG(seed, 0))
	acknowledged := map[int64]string{}
	kills := pick(12, 200)
	for i := range kills {
		cmd := childCommand(t, path, fmt.Sprint("job", i), 1<<30)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// Up to 40 ms from its first word on, and sometimes from its start.
		first, atOnce := make(chan struct{}), random.IntN(8) == 0
		delay := time.Duration(random.IntN(40_000)) * time.Microsecond
		go func() {
			if !atOnce {
				<-first
			}
			time.Sleep(delay)
			cmd.Process.Kill()
		}()
		lines := bufio.NewScanner(out)
		for n := 0; lines.Scan(); n++ {
			if n == 0 {
				close(first)
			}
			if seq, hash, ok := strings.Cut(lines.Text(), " "); ok && len(hash) == 64 {
				n, _ := strconv.ParseInt(seq, 10, 64)
				acknowledged[n] = hash
			}
		}
		if err := cmd.Wait(); err == nil || err.Error() != "signal: killed" {
			t.Fatalf("seed %d: the writer ended by itself: %v", seed, err)
		}
	}
	// A reader alone can read what the last kill left, before any writer tidies up.
	reader := mustOpen(t, path, Options{ReadOnly: true})
	if r := mustVerify(t, reader, VerifyOptions{}); !r.OK {
		t.Errorf("seed %d: %+v", seed, r.Problems)
	}
	if err := reader.Close(); err != nil {
		t.Error(err)
	}
	j := mustOpen(t, path, Options{})
	var last int64
	for {
		records, err := j.Since(t.Context(), last, 1000)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if len(records) == 0 {
			break
		}
		for _, r := range records {
			if want, ok := acknowledged[r.Seq]; ok && want != r.Hash.String() {
				t.Errorf("seed %d: entry %d is not the one acknowledged", seed, r.Seq)
			}
			delete(acknowledged, r.Seq)
			last = r.Seq
		}
	}
	if len(acknowledged) > 0 {
		t.Errorf("seed %d: %d acknowledged entries are gone", seed, len(acknowledged))
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
		t.Errorf("seed %d: %+v", seed, r.Problems)
	}
	t.Logf("%d kills, %d entries", kills, last)
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".new-*"))
	t.Logf("%d unfinished files of killed first starts", len(left))
}

// The log is cut at every page border and at random bytes: what is left opens,
// is whole, and holds every entry whose commit lies before the cut.
func TestTruncatedLog(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	if _, err := j.conn.ExecContext(t.Context(), "PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
		t.Fatal(err)
	}
	var hashes []record.Hash
	var ends []int64 // the log's size at each acknowledgement
	for i := range pick(12, 60) {
		hashes = append(hashes, mustAppend(t, j, note("1", fmt.Sprint(i)))[0].Hash)
		info, err := os.Stat(path + "-wal")
		if err != nil {
			t.Fatal(err)
		}
		ends = append(ends, info.Size())
	}
	file, log := mustRead(t, path), mustRead(t, path+"-wal")
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	// Frames are 24 bytes and a page, behind a header of 32 (SQLite file
	// format, section 4.1); the page size of this file is at offset 16.
	page := int(file[16])<<8 | int(file[17])
	cuts := map[int]bool{0: true, 31: true, 32: true}
	for at := 32; at <= len(log); at += 24 + page {
		cuts[at], cuts[at+24], cuts[max(at-1, 0)] = true, true, true
	}
	for range pick(20, 2000) {
		cuts[rand.IntN(len(log))] = true
	}
	dir := t.TempDir()
	whole := 0
	for cut := range cuts {
		if cut > len(log) {
			continue
		}
		p := filepath.Join(dir, "cut.db")
		removeDatabase(p)
		mustWrite(t, p, file)
		mustWrite(t, p+"-wal", log[:cut])
		c, err := Open(t.Context(), p, Options{Now: ticking()})
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		records, err := c.Since(t.Context(), 1, 1000)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		for i, r := range records {
			if r.Hash != hashes[i] {
				t.Errorf("cut at %d: entry %d differs", cut, r.Seq)
			}
		}
		want := 0
		for want < len(ends) && ends[want] <= int64(cut) {
			want++
		}
		if len(records) != want {
			t.Errorf("cut at %d: %d entries are left of the %d whose commit is before it", cut, len(records), want)
		}
		if len(records) == len(hashes) {
			whole++
		}
		if r := mustVerify(t, c, VerifyOptions{}); !r.OK {
			t.Errorf("cut at %d: %+v", cut, r.Problems)
		}
		mustAppend(t, c, note("1", "and on"))
		c.Close()
	}
	if whole == 0 || whole == len(cuts) {
		t.Errorf("%d of %d cuts left everything", whole, len(cuts))
	}
	t.Logf("%d cuts", len(cuts))
}

func mustRead(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func mustWrite(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Four processes write into one journal: no entry is lost and none refused.
func TestFourProcesses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	each := pick(100, 1000)
	var children []*exec.Cmd
	for i := range 4 {
		cmd := childCommand(t, path, fmt.Sprint("job", i), each)
		cmd.Stdout = io.Discard
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		children = append(children, cmd)
	}
	for i, cmd := range children {
		if err := cmd.Wait(); err != nil {
			t.Errorf("process %d: %v", i, err)
		}
	}
	j := mustOpen(t, path, Options{})
	for i := range 4 {
		records, err := j.Job(t.Context(), fmt.Sprint("job", i))
		if err != nil || len(records) != each+1 {
			t.Fatalf("job %d has %d records, %v", i, len(records), err)
		}
		for k, r := range records[1:] {
			if want := fmt.Sprintf("note job%d %d", i, k); r.Phrase != want {
				t.Fatalf("entry %d is %q, want %q", r.Seq, r.Phrase, want)
			}
		}
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || r.Records != int64(4*(each+1)) {
		t.Errorf("%+v", r)
	}
}

func TestBusy(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	other := mustOpen(t, path, Options{Wait: 20 * time.Millisecond})
	if _, err := j.conn.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	if _, err := other.Append(t.Context(), note("1", "x")); !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "another process") {
		t.Errorf("Append while another writes: %v", err)
	}
	if _, err := other.Job(t.Context(), "1"); err != nil {
		t.Errorf("reading while another writes: %v", err)
	}
	if _, err := j.conn.ExecContext(t.Context(), "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, other, note("1", "x"))
}

// An append is not cut short by a context that is done.
func TestAppendIsNotCancelled(t *testing.T) {
	j, _ := openTemp(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := j.Append(ctx, start("1")); err != nil {
		t.Error(err)
	}
}

// Several goroutines use one journal, as the page and the listener do.
func TestManyGoroutines(t *testing.T) {
	j, _ := openTemp(t)
	mustAppend(t, j, start("1"))
	var group sync.WaitGroup
	for g := range 4 {
		group.Go(func() {
			for i := range 10 {
				r, err := j.Append(t.Context(), note("1", fmt.Sprint(g, i)), reading("1", -40))
				if err != nil || r[1].Seq != r[0].Seq+1 || r[1].Prev != r[0].Hash {
					t.Errorf("Append = %v, %v", r, err)
				}
				if _, err := j.Job(t.Context(), "1"); err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || r.Records != 81 {
		t.Errorf("%+v", r)
	}
	if err := errors.Join(j.Close(), j.Close()); err != nil {
		t.Error(err)
	}
	if _, err := j.Append(t.Context(), note("1", "x")); err == nil {
		t.Error("a closed journal took an entry")
	}
}
