package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/export/exporttest"
)

// faultsProgram compiles the program that makes a chosen call on a file fail,
// and names the command's own program.
func faultsProgram(t *testing.T) (faults, program string) {
	t.Helper()
	if runtime.GOOS != "linux" || runtime.GOARCH != "amd64" {
		t.Skip("faults are injected on x86-64 Linux alone")
	}
	dir := t.TempDir()
	faults, program = filepath.Join(dir, "faults"), filepath.Join(dir, "downlead")
	out, err := exec.Command("gcc", "-O1", "-Wall", "-Werror", "-o", faults, filepath.Join("..", "..", "testdata", "faults", "faults.c")).CombinedOutput()
	if errors.Is(err, exec.ErrNotFound) {
		t.Skip("install gcc")
	}
	if err != nil {
		t.Fatalf("gcc: %v %s", err, out)
	}
	if out, err := exec.Command(faults, dir, "1", "none", "true").CombinedOutput(); err != nil {
		t.Skipf("no program may be traced here: %v %s", err, out)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(self, program); err != nil {
		t.Fatal(err)
	}
	return faults, program
}

// faultHome is a home with a journal, files of others and things to take in.
type faultHome struct {
	faults, program string
	base, dir       string
}

// run runs a command line in a fresh copy of the home under a fault.
func (h *faultHome) run(t *testing.T, n int, action string, args []string) (out string, calls int, met string) {
	t.Helper()
	if err := errors.Join(os.RemoveAll(h.dir), os.CopyFS(h.dir, os.DirFS(h.base))); err != nil {
		t.Fatal(err)
	}
	return h.again(t, n, action, args)
}

// again runs a command line in the home as it is.
func (h *faultHome) again(t *testing.T, n int, action string, args []string) (out string, calls int, met string) {
	t.Helper()
	cmd := exec.Command(h.faults, append([]string{h.dir, fmt.Sprint(n), action, h.program}, args...)...)
	cmd.Dir = h.dir
	cmd.Env = append(os.Environ(), "HOME="+h.dir, "XDG_DATA_HOME=", "XDG_CONFIG_HOME=", "DOWNLEAD_JOURNAL="+filepath.Join(h.dir, "journal.db"), "GOMAXPROCS=1", "TMPDIR="+t.TempDir())
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	_ = cmd.Run() // it may fail: that is what is asked for
	at := strings.LastIndex(stderr.String(), "faults: ")
	if at < 0 {
		t.Fatalf("%v: %s", args, stderr.String())
	}
	if _, err := fmt.Sscanf(stderr.String()[at:], "faults: %d calls, met %s", &calls, &met); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(stderr.String(), "goroutine ") || strings.Contains(stderr.String(), "the program itself failed") {
		t.Errorf("%s at call %d of %v: %s", action, n, args, stderr.String())
	}
	return stdout.String(), calls, met
}

// ask runs a command line in this process and returns its exit code and output.
func (h *faultHome) ask(t *testing.T, args ...string) (int, string) {
	t.Helper()
	e, out, errs := clitest.Env(t, "")
	code := run(context.Background(), e, append([]string{"--journal", filepath.Join(h.dir, "journal.db")}, args...))
	return code, out.String() + errs.String()
}

// stored is every entry, seq to hash.
func (h *faultHome) stored(t *testing.T) map[string]bool {
	t.Helper()
	code, out := h.ask(t, "--json", "--job", "4412", "job", "log", "--all")
	if code != cli.ExitDone {
		t.Errorf("job log: exit %d: %s", code, out)
	}
	all := map[string]bool{}
	for d := json.NewDecoder(strings.NewReader(out)); d.More(); {
		var r struct{ Seq json.Number }
		if d.Decode(&r) != nil {
			break
		}
		all[r.Seq.String()] = true
	}
	return all
}

// sums is every file below the home that was there before, but for the
// journal and its log.
func (h *faultHome) sums(t *testing.T, root string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := fs.WalkDir(os.DirFS(root), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == "journal.db" || name == "journal.db-wal" || name == "journal.db-shm" {
			return err
		}
		b, err := os.ReadFile(filepath.Join(root, name))
		all[name] = fmt.Sprintf("%x", sha256.Sum256(b))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// newFaultHome types the demo call, closes it out once, and puts files of
// others beside.
func newFaultHome(t *testing.T) *faultHome {
	h := &faultHome{base: t.TempDir(), dir: filepath.Join(t.TempDir(), "home")}
	h.faults, h.program = faultsProgram(t)
	b, err := os.ReadFile(demoJournal(t))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{
		"journal.db": string(b), "others.pdf": "%PDF-1.4 somebody's", "others/letter.txt": "dear", "others/journal.db": "not ours",
		"picture.jpg": string(somePicture(t)), "notes.txt": "outlet pass\nnote one\nsplitter dish side pass minus forty\nnote two\n",
	}
	for name, text := range files {
		path := filepath.Join(h.base, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	h.dir = h.base
	if code, said := h.ask(t, "--job", "4412", "closeout", "--archive", filepath.Join(h.base, "archive")); code != cli.ExitDone {
		t.Fatal(said)
	}
	if code, said := h.ask(t, "job", "reopen", "4412", "--reason", "on it again"); code != cli.ExitDone { // a closed job takes nothing in
		t.Fatal(said)
	}
	h.dir = filepath.Join(t.TempDir(), "home")
	return h
}

// Every command that writes, with every call on a file made to fail, in every
// way: nothing acknowledged is lost, the journal is not refused, no file of
// others is touched, and what has the asked-for name is whole. One table.
func TestFaultsOfEveryCommand(t *testing.T) {
	t.Parallel() // it waits for programs
	h := newFaultHome(t)
	before := h.sums(t, h.base)
	type count struct{ injected, lost, refused, touched, halves int }
	total := map[string]*count{}
	for _, op := range []struct {
		name string
		args []string
		// whole looks at what the command wrote, if it has its name.
		made  string
		whole func(path string) bool
		mine  string // may be replaced: an older archive of ours
	}{
		{"append", []string{"--json", "--job", "4412", "say", "note something"}, "", nil, ""},
		{"backup", []string{"backup", "copy.db"}, "copy.db", func(path string) bool {
			e, _, _ := clitest.Env(t, "")
			return run(context.Background(), e, []string{"--journal", path, "verify"}) == cli.ExitDone
		}, ""},
		{"closeout", []string{"--job", "4412", "closeout", "--pdf", "new.pdf"}, "new.pdf", func(path string) bool {
			b, err := os.ReadFile(path)
			return err == nil && bytes.HasPrefix(b, []byte("%PDF-")) && bytes.HasSuffix(bytes.TrimSpace(b), []byte("%%EOF"))
		}, ""},
		{"closeout by force over others", []string{"--job", "4412", "closeout", "--csv", "others.pdf", "--force"}, "", nil, ""},
		{"archive", []string{"--job", "4412", "closeout", "--archive", "new"}, "new", func(path string) bool { code, _ := h.ask(t, "verify", "--archive", path); return code == cli.ExitDone }, ""},
		{"archive by force", []string{"--job", "4412", "closeout", "--archive", "archive", "--force"}, "archive", func(path string) bool { code, _ := h.ask(t, "verify", "--archive", path); return code == cli.ExitDone }, "archive/"},
		{"attach", []string{"--job", "4412", "job", "attach", "picture.jpg", "ground block"}, "", nil, ""},
		{"import", []string{"--json", "--job", "4412", "import", "notes.txt"}, "", nil, ""},
		{"mend", []string{"verify", "--repair-index"}, "", nil, ""},
	} {
		c := &count{}
		total[op.name] = c
		_, calls, _ := h.run(t, 0, "none", op.args)
		if calls == 0 && !strings.Contains(op.name, "others") {
			t.Errorf("%s: no call is counted", op.name)
		}
		for k, action := range []string{"kill", "ENOSPC", "EIO", "EROFS", "ENOSPC1", "EIO1", "short"} {
			step := 1
			if os.Getenv("DOWNLEAD_LONG") == "" {
				step = max(1, calls/3)
			}
			for n := 1 + k%step; n <= calls; n += step {
				out, _, met := h.run(t, n, action, op.args)
				c.injected++
				what := fmt.Sprintf("%s: %s at call %d of %d (%s)", op.name, action, n, calls, met)
				if code, said := h.ask(t, "verify"); code != cli.ExitDone {
					c.refused++
					t.Errorf("%s: verify: exit %d: %s", what, code, said)
				}
				there := h.stored(t)
				for d := json.NewDecoder(strings.NewReader(out)); op.args[0] == "--json" && d.More(); {
					var r struct {
						Seq     json.Number
						Entries []struct{ Seq json.Number }
					}
					if d.Decode(&r) != nil {
						break
					}
					for _, e := range append(r.Entries, struct{ Seq json.Number }{r.Seq}) {
						if e.Seq != "" && !there[e.Seq.String()] {
							c.lost++
							t.Errorf("%s: the acknowledged entry %s is lost", what, e.Seq)
						}
					}
				}
				after := h.sums(t, h.dir)
				for _, name := range slices.Sorted(maps.Keys(before)) {
					if after[name] != before[name] && (op.mine == "" || !strings.HasPrefix(name, op.mine)) {
						c.touched++
						t.Errorf("%s: %s was touched", what, name)
					}
				}
				if op.made == "" {
					continue
				}
				path := filepath.Join(h.dir, op.made)
				if _, err := os.Lstat(path); err == nil && !op.whole(path) {
					c.halves++
					t.Errorf("%s: %s is not whole", what, op.made)
				} else if err != nil && op.mine != "" {
					c.touched++
					t.Errorf("%s: %s is gone", what, op.made)
				}
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(total)) {
		t.Logf("%-32s %+v", name, *total[name])
	}
}

// A text import that is killed again and again takes in every line once.
func TestTextImportTakesNoLineTwice(t *testing.T) {
	t.Parallel()
	h := newFaultHome(t)
	var lines strings.Builder
	for i := range 12 {
		// The same line twice with the same time, which nothing else tells apart.
		fmt.Fprintf(&lines, "2026-11-18T09:00:00-07:00 note the same\nnote number %d\n", i/2)
	}
	if err := os.WriteFile(filepath.Join(h.base, "notes.txt"), []byte(lines.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"--json", "--job", "4412", "import", "notes.txt"}
	_, calls, _ := h.run(t, 0, "none", args)
	imported := func() (phrases []string) {
		_, out := h.ask(t, "--json", "--job", "4412", "job", "log", "--all")
		for d := json.NewDecoder(strings.NewReader(out)); d.More(); {
			var r struct{ Origin, Phrase string }
			if d.Decode(&r) != nil {
				break
			}
			if r.Origin == "import" && r.Phrase != "" {
				phrases = append(phrases, r.Phrase)
			}
		}
		return phrases
	}
	want := imported()
	if len(want) != 24 {
		t.Fatalf("%d lines taken in: %q", len(want), want)
	}
	rounds := 8
	if os.Getenv("DOWNLEAD_LONG") != "" {
		rounds = 80
	}
	for i := range rounds {
		n := 1 + (i*37+calls/3)%calls
		h.run(t, n, "kill", args)
		for _, more := range []int{n / 2, n / 3} {
			h.again(t, more+1, "kill", args)
		}
		h.again(t, 0, "none", args)
		if got := imported(); !slices.Equal(got, want) {
			t.Errorf("round %d, killed at call %d of %d:\n%q\nwant\n%q", i, n, calls, got, want)
		}
	}
	t.Logf("%d rounds", rounds)
}

// One line that is no UTF-8 or far too long costs that line alone.
func TestDamagedLines(t *testing.T) {
	long := "note " + strings.Repeat("x", 2<<20)
	text := "start job 5\n" + "note caf\xe9 closed\n" + long + "\noutlet pass\n"
	for _, how := range []string{"say", "import"} {
		path := filepath.Join(t.TempDir(), "journal.db")
		e, _, errs := clitest.Env(t, text)
		want := cli.ExitNotUnderstood
		args := []string{"say", "-"}
		if how == "import" {
			notes := filepath.Join(t.TempDir(), "notes.txt")
			if err := os.WriteFile(notes, []byte(strings.TrimPrefix(text, "start job 5\n")), 0o600); err != nil {
				t.Fatal(err)
			}
			if code := run(context.Background(), e, []string{"--journal", path, "say", "start job 5"}); code != cli.ExitDone {
				t.Fatal(errs)
			}
			args, want = []string{"import", notes}, cli.ExitDone
		}
		if code := run(context.Background(), e, append([]string{"--journal", path}, args...)); code != want {
			t.Errorf("%s: exit %d: %.300s", how, code, errs)
		}
		for _, told := range []string{"not all UTF-8", "longer than 64 kB"} {
			if !strings.Contains(errs.String(), told) {
				t.Errorf("%s does not tell %q: %.500s", how, told, errs)
			}
		}
		if errs.Len() > 5000 {
			t.Errorf("%s tells %d bytes", how, errs.Len())
		}
		e, out, _ := clitest.Env(t, "")
		run(context.Background(), e, []string{"--journal", path, "--json", "job", "log", "--all"})
		log := out.String()
		for _, kept := range []string{"caf\uFFFD closed", strings.Repeat("x", 60<<10), `"phrase":"outlet pass"`} {
			if !strings.Contains(log, kept) {
				t.Errorf("%s did not keep %.20q", how, kept)
			}
		}
	}
	// Asked for, older text is converted: 0xE9 is é there, 0x80 the euro sign.
	path := filepath.Join(t.TempDir(), "journal.db")
	e, _, errs := clitest.Env(t, "start job 5\nnote caf\xe9 5 \x80\n")
	if code := run(context.Background(), e, []string{"--journal", path, "say", "--encoding", "windows-1252", "-"}); code != cli.ExitDone {
		t.Errorf("exit %d: %s", code, errs)
	}
	e, out, _ := clitest.Env(t, "")
	run(context.Background(), e, []string{"--journal", path, "--json", "job", "log"})
	if !strings.Contains(out.String(), "café 5 €") {
		t.Errorf("kept %s", out)
	}
}

// somePicture is a small JPEG photograph.
func somePicture(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 16, 16)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A negative number in a phrase is no flag, and keeps its sign.
func TestNegativeNumbersAreNoFlags(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	for _, line := range [][]string{
		{"say", "start job 5"},
		{"say", "note", "-40", "at", "the", "dish"},
		{"say", "--job", "5", "note", "-.5", "dB", "--json"},
		{"--json", "parse", "behind", "receiver", "one", "pass", "-46"},
	} {
		e, out, errs := clitest.Env(t, "")
		if code := run(context.Background(), e, append([]string{"--journal", path}, line...)); code != cli.ExitDone {
			t.Errorf("%q: exit %d: %s", line, code, errs)
		}
		if line[1] == "parse" && !strings.Contains(out.String(), `"level_dbm":-46`) {
			t.Errorf("%q: %s", line, out)
		}
	}
	e, out, _ := clitest.Env(t, "")
	run(context.Background(), e, []string{"--journal", path, "--json", "job", "log"})
	for _, want := range []string{`"text":"-40 at the dish"`, `"text":"-.5 dB"`, `"phrase":"note -40 at the dish"`} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %s in %s", want, out)
		}
	}
}

// What was asked for is a file, and it is there: that the journal cannot keep
// that it was written is told, and no failure.
func TestACloseoutBesideABusyOrReadOnlyJournal(t *testing.T) {
	path := demoJournal(t)
	pdf := filepath.Join(t.TempDir(), "a.pdf")
	e, _, errs := clitest.Env(t, "")
	e.Now = func() time.Time { // the clock is asked for the entry alone, when the file is written
		if _, err := os.Stat(pdf); err == nil {
			_ = os.Rename(path, path+".away")
		}
		return time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC)
	}
	if code := run(context.Background(), e, []string{"--journal", path, "--job", "4412", "closeout", "--pdf", pdf}); code != cli.ExitDone {
		t.Errorf("exit %d: %s", code, errs)
	}
	if b, err := os.ReadFile(pdf); err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) {
		t.Errorf("the file: %v", err)
	}
	if !strings.Contains(errs.String(), "--head") || !strings.Contains(errs.String(), "could not keep") {
		t.Errorf("told %s", errs)
	}
}

// Nothing that is taken in is waited for: a pipe without a writer would hold a
// plain open for ever (open(2)).
func TestPipesAreNotWaitedFor(t *testing.T) {
	path, pipe := demoJournal(t), filepath.Join(t.TempDir(), "pipe.txt")
	exporttest.Pipe(t, pipe)
	for _, line := range [][]string{{"import", pipe}, {"job", "attach", pipe}, {"verify", "--archive", pipe}, {"job", "attach", "/dev/zero"}} {
		e, _, errs := clitest.Env(t, "")
		if code := run(context.Background(), e, append([]string{"--journal", path, "--job", "4412"}, line...)); code != cli.ExitFailed {
			t.Errorf("%q: exit %d: %s", line, code, errs)
		}
	}
}
