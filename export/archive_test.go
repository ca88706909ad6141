package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"downlead/export/archive"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/file"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// withFiles adds a photograph and a clip to the call, kept in memory.
func withFiles(t testing.TB) archive.ArchiveInput {
	t.Helper()
	kept := map[string]string{}
	keep := func(s string) string {
		h := sha256.Sum256([]byte(s))
		sum := hex.EncodeToString(h[:])
		kept[sum] = s
		return sum
	}
	in := twoFaults(t)
	for i, r := range in.Records {
		if p, ok := r.Entry.(entry.Photo); ok {
			p.SHA256, p.Name = keep("a picture"), "../block one.jpg"
			in.Records[i].Entry = p
		}
	}
	in.Records[7].Clip = keep("a sound")
	in.Records[8].Clip = keep("a sound that was purged")
	in.Records[1].Entry = entry.Consent{Given: true}
	last := len(in.Records) - 1
	in.Records[last].Entry = entry.Purge{Entry: in.Records[8].Seq, Clip: in.Records[8].Clip}
	chained(t, in.Records)
	return archive.ArchiveInput{
		Closeout: closeoutOf(t, in), Records: in.Records,
		Open: func(sum string) (io.ReadCloser, error) {
			s, ok := kept[sum]
			if !ok {
				return nil, os.ErrNotExist
			}
			return io.NopCloser(strings.NewReader(s)), nil
		},
	}
}

// chained gives records the hashes that a journal would have given them.
func chained(t testing.TB, records []record.Record) {
	t.Helper()
	var prev record.Hash
	for i := range records {
		r := &records[i]
		body, err := journal.Canonical(*r)
		if err != nil {
			t.Fatal(err)
		}
		r.Prev, r.Hash = prev, archive.ArchiveRecord{Body: body, Prev: prev}.Sum()
		prev = r.Hash
	}
}

// realArchive writes the archive of a call that a journal keeps.
func realArchive(t *testing.T) string {
	t.Helper()
	ctx, root := t.Context(), t.TempDir()
	j, err := journal.Open(ctx, filepath.Join(root, "journal.db"), journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	in := twoFaults(t)
	for _, r := range in.Records {
		if _, ok := r.Entry.(entry.Photo); ok {
			continue // no such file is kept
		}
		if _, err := j.Append(ctx, r.Draft); err != nil {
			t.Fatal(err)
		}
	}
	if in.Records, err = j.Job(ctx, "4412"); err != nil {
		t.Fatal(err)
	}
	head, count, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	in = diagnosed(in)
	in.Head, in.Count = head, count
	dir := filepath.Join(root, "archive")
	if err := archive.WriteArchive(ctx, dir, archive.ArchiveInput{Closeout: closeoutOf(t, in), Records: in.Records}, file.FileOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestArchiveOfARealJournal: what was stored and read back fits its hashes
// outside the journal, and a changed record does not.
func TestArchiveOfARealJournal(t *testing.T) {
	ctx, root := context.Background(), t.TempDir()
	j, err := journal.Open(ctx, filepath.Join(root, "journal.db"), journal.Options{Create: true, Now: func() time.Time { return time.Date(2026, 11, 17, 18, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	in := twoFaults(t)
	for _, r := range in.Records {
		if _, ok := r.Entry.(entry.Photo); ok {
			continue // no such file is kept
		}
		if _, err := j.Append(ctx, r.Draft); err != nil {
			t.Fatal(err)
		}
	}
	in.Records, err = j.Job(ctx, "4412")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(root, "a")
	a := archive.ArchiveInput{Closeout: closeoutOf(t, diagnosed(in)), Records: in.Records}
	if err := archive.WriteArchive(ctx, dir, a, file.FileOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	r, err := archive.CheckArchive(ctx, dir)
	if err != nil || !r.OK() || r.Records != len(in.Records) {
		t.Fatalf("%+v %v", r, err)
	}
	// A forger who mends the list of sums is still seen.
	path := filepath.Join(dir, archive.RecordsName)
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	forged := bytes.Replace(raw, []byte(`"level_dbm":"-58"`), []byte(`"level_dbm":"-48"`), 1)
	if bytes.Equal(raw, forged) {
		t.Fatal("nothing was forged")
	}
	if err := os.WriteFile(path, forged, 0o600); err != nil {
		t.Fatal(err)
	}
	sums, err := os.ReadFile(filepath.Join(dir, archive.ManifestName))
	if err != nil {
		t.Fatal(err)
	}
	hex := func(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }
	sums = bytes.Replace(sums, []byte(hex(raw)), []byte(hex(forged)), 1)
	if err := os.WriteFile(filepath.Join(dir, archive.ManifestName), sums, 0o600); err != nil {
		t.Fatal(err)
	}
	r, err = archive.CheckArchive(ctx, dir)
	if err != nil || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], "does not fit its hash") {
		t.Errorf("%+v %v", r, err)
	}
	in.Records[3].Phrase = "another phrase"
	err = archive.WriteArchive(ctx, filepath.Join(root, "b"), archive.ArchiveInput{Closeout: a.Closeout, Records: in.Records}, file.FileOptions{}, nil)
	if err == nil || !strings.Contains(err.Error(), "record 4 does not fit its hash") {
		t.Errorf("a changed record was archived: %v", err)
	}
}

func TestArchive(t *testing.T) {
	ctx, root := context.Background(), t.TempDir()
	dir := filepath.Join(root, "4412")
	in := withFiles(t)
	var told []int
	if err := archive.WriteArchive(ctx, dir, in, file.FileOptions{}, func(done, total int) { told = append(told, done, total) }); err != nil {
		t.Fatal(err)
	}
	r, err := archive.CheckArchive(ctx, dir)
	if err != nil || !r.OK() {
		t.Fatalf("%v %v", r.Problems, err)
	}
	want := archive.ArchiveReport{Job: "4412", Journal: in.Closeout.Journal, Files: 11, Records: len(in.Records), Problems: []string{}}
	if d := cmp.Diff(want, r, cmpopts.IgnoreUnexported(archive.ArchiveReport{})); d != "" {
		t.Error(d)
	}
	if told[len(told)-1] != 11 || told[len(told)-2] != 11 {
		t.Errorf("progress %v", told)
	}
	var names []string
	_ = filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if !d.IsDir() {
			rel, _ := filepath.Rel(dir, p)
			names = append(names, rel)
		}
		return err
	})
	if d := cmp.Diff([]string{"README.txt", "SHA256SUMS", "clips/8.wav", "closeout.csv", "closeout.json", "closeout.pdf", "closeout.schema.json", "closeout.txt", "level.svg", "path.svg", "photographs/34-block_one.jpg", "records.jsonl"}, names); d != "" {
		t.Error(d)
	}
	if left := exporttest.Leftovers(t, root, "4412"); left != nil {
		t.Errorf("left behind %v", left)
	}
	if err := archive.WriteArchive(ctx, dir, in, file.FileOptions{}, nil); !errors.Is(err, file.ErrExists) {
		t.Errorf("overwriting: %v", err)
	}
	if err := archive.WriteArchive(ctx, dir, in, file.FileOptions{Force: true}, nil); err != nil {
		t.Error(err)
	}
	// An independent program checks the same list.
	if path, err := exec.LookPath("sha256sum"); err == nil {
		cmd := exec.Command(path, "--check", "--strict", "SHA256SUMS")
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s", err, out)
		}
	}
}

func TestArchiveWithoutConsentHasNoSound(t *testing.T) {
	in, dir := withFiles(t), filepath.Join(t.TempDir(), "a")
	if got := in.Closeout.Recording; got != (closeout.Recording{Consent: "given", Clips: 1, Purged: 1}) {
		t.Errorf("recording %+v", got)
	}
	in.Records[1].Entry = entry.Consent{Given: false}
	chained(t, in.Records)
	if err := archive.WriteArchive(context.Background(), dir, in, file.FileOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "clips")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the archive holds clips: %v", err)
	}
}

func TestArchiveIsTheSameTwice(t *testing.T) {
	root, in := t.TempDir(), withFiles(t)
	var sums [2][]byte
	for i, name := range []string{"a", "b"} {
		if err := archive.WriteArchive(context.Background(), filepath.Join(root, name), in, file.FileOptions{}, nil); err != nil {
			t.Fatal(err)
		}
		sums[i], _ = os.ReadFile(filepath.Join(root, name, archive.ManifestName))
	}
	if !bytes.Equal(sums[0], sums[1]) {
		t.Errorf("two archives of one job differ:\n%s\n%s", sums[0], sums[1])
	}
}

func TestCheckArchiveFindsChanges(t *testing.T) {
	write := func(name, s string) func(string) error {
		return func(dir string) error { return os.WriteFile(filepath.Join(dir, name), []byte(s), 0o600) }
	}
	tests := []struct {
		name   string
		change func(dir string) error
		want   string // in a problem
		err    string // in the error
	}{
		{"changed", write("closeout.csv", "x"), "closeout.csv: its content has changed", ""},
		{"missing", func(dir string) error { return os.Remove(filepath.Join(dir, "closeout.pdf")) }, "closeout.pdf: it is missing", ""},
		{"added", write("more.txt", "x"), "more.txt: it is not in the list", ""},
		{"closeout gone", func(dir string) error { return os.Remove(filepath.Join(dir, "closeout.json")) }, "closeout.json: it is missing", ""},
		{"a link", func(dir string) error {
			p := filepath.Join(dir, "closeout.txt")
			return errors.Join(os.Remove(p), os.Symlink("closeout.csv", p))
		}, "closeout.txt: it is not a plain file", ""},
		{"no list", func(dir string) error { return os.Remove(filepath.Join(dir, archive.ManifestName)) }, "", "not an archive folder"},
		{"empty list", write(archive.ManifestName, ""), "", "lists no file"},
		{"broken list", write(archive.ManifestName, "hello\n"), "", "line 1 is not a sum"},
		{"a way out", write(archive.ManifestName, strings.Repeat("0", 64)+"  ../x\n"), "", "outside the folder"},
		{"twice", write(archive.ManifestName, strings.Repeat(strings.Repeat("0", 64)+"  x\n", 2)), "", "names x again"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "a")
			if err := archive.WriteArchive(context.Background(), dir, withFiles(t), file.FileOptions{}, nil); err != nil {
				t.Fatal(err)
			}
			if err := tt.change(dir); err != nil {
				t.Fatal(err)
			}
			r, err := archive.CheckArchive(context.Background(), dir)
			if tt.err != "" {
				if err == nil || !strings.Contains(err.Error(), tt.err) {
					t.Errorf("got %v", err)
				}
				return
			}
			if err != nil || r.OK() || !strings.Contains(strings.Join(r.Problems, "\n"), tt.want) {
				t.Errorf("problems %q, error %v", r.Problems, err)
			}
		})
	}
}

func TestArchiveAllOrNothing(t *testing.T) {
	root := t.TempDir()
	in := withFiles(t)
	in.Open = func(string) (io.ReadCloser, error) { return io.NopCloser(strings.NewReader("another picture")), nil }
	err := archive.WriteArchive(context.Background(), filepath.Join(root, "a"), in, file.FileOptions{}, nil)
	if err == nil || !strings.Contains(err.Error(), "the kept file has changed") {
		t.Errorf("got %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	err = archive.WriteArchive(ctx, filepath.Join(root, "b"), withFiles(t), file.FileOptions{}, func(done, total int) {
		if done == 3 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if left := exporttest.Leftovers(t, root); left != nil {
		t.Errorf("left behind %v", left)
	}
}

// Nothing in the place of a file makes the check wait: a pipe without a
// writer would hold a plain open for ever (open(2)).
func TestCheckArchiveNeverWaits(t *testing.T) {
	for _, name := range []string{archive.ManifestName, "closeout.json", archive.RecordsName, "path.svg"} {
		dir := realArchive(t)
		path := filepath.Join(dir, name)
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		exporttest.Pipe(t, path)
		r, err := archive.CheckArchive(t.Context(), dir)
		if err == nil && r.OK() {
			t.Errorf("%s as a pipe: %+v", name, r)
		}
	}
}

// An archive by itself shows only that it fits itself; a head kept elsewhere
// proves its entries.
func TestArchiveAgainstAHead(t *testing.T) {
	dir := realArchive(t)
	check := func(head record.Hash, count int64) archive.ArchiveReport {
		r, err := archive.CheckArchive(t.Context(), dir)
		if err != nil {
			t.Fatal(err)
		}
		r.Against(head, count)
		return r
	}
	alone := check(record.Hash{}, 0)
	if !alone.OK() || alone.Proven {
		t.Errorf("alone: %+v", alone)
	}
	head, err := record.ParseHash(alone.Journal.Head)
	if err != nil {
		t.Fatal(err)
	}
	if r := check(head, alone.Journal.Count); !r.OK() || !r.Proven {
		t.Errorf("with its head: %+v", r)
	}
	if r := check(head, 0); !r.OK() || !r.Proven {
		t.Errorf("with its head alone: %+v", r)
	}
	if r := check(record.Hash{}, alone.Journal.Count); !r.OK() || r.Proven {
		t.Errorf("with its count alone: %+v", r)
	}
	if r := check(record.Hash{1}, 0); r.OK() || r.Proven {
		t.Errorf("with another head: %+v", r)
	}
	if r := check(head, alone.Journal.Count-1); r.OK() {
		t.Errorf("with a count that is too small: %+v", r)
	}
	if r := check(head, alone.Journal.Count+1); r.OK() {
		t.Errorf("with another count: %+v", r)
	}
}

// By force an archive takes the place of an archive, and of nothing else.
func TestForcedArchiveReplacesOnlyAnArchive(t *testing.T) {
	in := withFiles(t)
	write := func(path, content string) {
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(content), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	makeOne := func(dir string) {
		if err := archive.WriteArchive(t.Context(), dir, in, file.FileOptions{}, nil); err != nil {
			t.Fatal(err)
		}
	}
	for name, prepare := range map[string]func(dir string){
		"somebody's folder": func(dir string) { write(dir+"/letters/1.txt", "dear") },
		"an empty folder":   func(dir string) { _ = os.Mkdir(dir, 0o700) },
		"a file":            func(dir string) { write(dir, "mine") },
		"a journal":         func(dir string) { write(dir, "SQLite format 3\x00") },
		"its folder":        func(dir string) { write(dir+"/journal.db", "x") },
		"a parent of it":    func(dir string) { write(dir+"/data/journal.db", "x") },
		"sums of others":    func(dir string) { write(dir+"/SHA256SUMS", strings.Repeat("0", 64)+"  x\n"); write(dir+"/x", "x") },
		"an archive with something of mine in it": func(dir string) { makeOne(dir); write(dir+"/notes.txt", "mine") },
		"an archive in which something changed":   func(dir string) { makeOne(dir); write(dir+"/closeout.txt", "mine") },
		"a link to an archive":                    func(dir string) { makeOne(dir + "-real"); _ = os.Symlink(dir+"-real", dir) },
	} {
		root := t.TempDir()
		dir := filepath.Join(root, "x")
		prepare(dir)
		before := treeSums(t, root)
		if err := archive.WriteArchive(t.Context(), dir, in, file.FileOptions{Force: true}, nil); !errors.Is(err, file.ErrOther) {
			t.Errorf("%s: %v", name, err)
		}
		if d := cmp.Diff(before, treeSums(t, root)); d != "" {
			t.Errorf("%s was touched:\n%s", name, d)
		}
	}
	dir := filepath.Join(t.TempDir(), "x")
	makeOne(dir)
	if err := archive.WriteArchive(t.Context(), dir, in, file.FileOptions{Force: true}, nil); err != nil {
		t.Errorf("an intact archive: %v", err)
	}
	if r, err := archive.CheckArchive(t.Context(), dir); err != nil || !r.OK() {
		t.Errorf("the new one: %+v %v", r, err)
	}
	if left := exporttest.Leftovers(t, filepath.Dir(dir), "x"); left != nil {
		t.Errorf("left behind %v", left)
	}
}

// treeSums is everything below a folder, by name.
func treeSums(t *testing.T, root string) map[string]string {
	t.Helper()
	sums := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if !d.Type().IsRegular() {
			sums[path] = d.Type().String()
			return nil
		}
		b, err := os.ReadFile(path)
		sums[path] = fmt.Sprintf("%x", sha256.Sum256(b))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sums
}
