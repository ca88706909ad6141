package journal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

func consent(job string, given bool) record.Draft {
	return record.Draft{Job: job, Entry: entry.Consent{Given: given}}
}

func TestSoundIsKeptOnlyWithConsent(t *testing.T) {
	j, path := openTemp(t)
	put := func(want error) string {
		t.Helper()
		sum, err := j.PutClip(t.Context(), "1", strings.NewReader("sound"))
		if !errors.Is(err, want) {
			t.Errorf("PutClip = %v, want %v", err, want)
		}
		return sum
	}
	put(ErrNoJob)
	mustAppend(t, j, start("1"))
	put(ErrNoConsent)
	if _, err := os.Stat(path + "-clips"); err == nil {
		t.Error("a folder of clips was made without consent")
	}
	yes := mustAppend(t, j, consent("1", true))
	// Source of the sum: independent computation (sha256sum).
	if sum := put(nil); sum != "dd29442deca69f52c50006b831cb216edf78a7da33748f0a80ff19f2ebe57ecd" {
		t.Errorf("sum %s", sum)
	}
	mustAppend(t, j, consent("1", false))
	put(ErrNoConsent)
	mustAppend(t, j, record.Draft{Job: "1", Entry: scratch(0, 3)})
	put(nil)
	// In doubt that it was taken back, none is kept until it is known.
	doubted := consent("1", false)
	doubted.Unconfirmed = true
	no := mustAppend(t, j, doubted)
	put(ErrNoConsent)
	mustAppend(t, j, record.Draft{Job: "1", Entry: scratch(0, no[0].Seq)})
	put(nil)
	mustAppend(t, j, record.Draft{Job: "1", Entry: scratch(0, yes[0].Seq)})
	put(ErrNoConsent)
}

// endless is more sound than is kept.
type endless struct{}

func (endless) Read(b []byte) (int, error) { return len(b), nil }

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestFilesThatAreNotKept(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"), consent("1", true))
	for _, c := range []struct {
		name string
		r    io.Reader
		want error
	}{
		{"too large", endless{}, ErrTooLarge},
		{"cut short", failing{}, io.ErrUnexpectedEOF},
		{"empty", strings.NewReader(""), nil},
	} {
		sum, err := j.PutClip(t.Context(), "1", c.r)
		if err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %q, %v", c.name, sum, err)
		}
	}
	if left, _ := os.ReadDir(path + "-clips"); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
	d := note("1", "x")
	for _, d.Clip = range []string{strings.Repeat("a", 64), "../journal.db", "x"} {
		if _, err := j.Append(t.Context(), d); err == nil {
			t.Errorf("an entry names the clip %q, which is not kept", d.Clip)
		}
	}
	if _, err := j.Append(t.Context(), record.Draft{Job: "1", Entry: entry.Photo{SHA256: "x"}}); err == nil {
		t.Error("an entry names a photograph that is not kept")
	}
	if _, err := j.Clip("../journal.db"); err == nil {
		t.Error("a path was taken for a sum")
	}
}

func TestPurge(t *testing.T) {
	j, path := openTemp(t)
	records := sample(t, j)
	sum := records[3].Clip
	again := note("4413", "the same sound")
	again.Clip = sum
	mustAppend(t, j, again)
	list, err := j.Clips(t.Context(), "4412")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]Clip{{Sum: sum, Job: "4412", Entries: []int64{4}, Bytes: 17}}, list); d != "" {
		t.Errorf("Clips (-want +got):\n%s", d)
	}
	purged, err := j.Purge(t.Context(), record.Draft{Origin: record.Tool}, sum)
	if err != nil {
		t.Fatal(err)
	}
	var entries []entry.Entry
	for _, r := range purged {
		entries = append(entries, r.Entry)
	}
	want := []entry.Entry{entry.Purge{Entry: 4, Clip: sum}, entry.Purge{Entry: int64(len(records) + 1), Clip: sum}}
	if d := cmp.Diff(want, entries); d != "" || purged[0].Job != "4412" || purged[1].Job != "4413" {
		t.Errorf("records of the purge (-want +got):\n%s", d)
	}
	if _, err := j.Clip(sum); !errors.Is(err, ErrGone) {
		t.Errorf("Clip after the purge: %v", err)
	}
	got, err := j.Record(t.Context(), 4)
	if err != nil || cmp.Diff(records[3], got, decimals) != "" {
		t.Errorf("the entry did not stay as it was: %+v, %v", got, err)
	}
	if list, _ := j.Clips(t.Context(), ""); len(list) != 1 || !list[0].Purged || list[0].Bytes != 0 {
		t.Errorf("Clips after the purge: %+v", list)
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || len(r.Findings) != 0 {
		t.Errorf("after the purge: %+v", r)
	}
	// A purge that was cut short between its records and the deletion.
	if err := os.WriteFile(filepath.Join(path+"-clips", sum), []byte("sound of a phrase"), 0o600); err != nil {
		t.Fatal(err)
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || len(r.Findings) != 1 {
		t.Errorf("with the file back: %+v", r)
	}
	if more, err := j.Purge(t.Context(), record.Draft{}, sum); err != nil || len(more) != 0 {
		t.Errorf("purging again: %v, %v", more, err)
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || len(r.Findings) != 0 {
		t.Errorf("after the second purge: %+v", r)
	}
}

func TestModes(t *testing.T) {
	j, path := openTemp(t)
	sample(t, j)
	for _, c := range []struct {
		path string
		want os.FileMode
	}{
		{filepath.Dir(path), 0o700},
		{path, 0o600},
		{path + "-wal", 0o600},
		{path + "-shm", 0o600},
		{path + "-clips", 0o700},
		{path + "-photos", 0o700},
	} {
		if got, err := fileMode(c.path); err != nil || got != c.want {
			t.Errorf("%s has mode %04o, want %04o (%v)", filepath.Base(c.path), got, c.want, err)
		}
	}
	for _, s := range []store{j.clips, j.photos} {
		sums, err := s.list()
		if err != nil || len(sums) != 1 {
			t.Fatal(sums, err)
		}
		if got, _ := fileMode(s.path(sums[0])); got != 0o600 {
			t.Errorf("a kept file has mode %04o", got)
		}
	}
	for _, mode := range []os.FileMode{0o644, 0o640, 0o620, 0o602} { // a group is others, too
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		if r := mustVerify(t, j, VerifyOptions{}); !r.OK || len(r.Findings) != 1 || !strings.Contains(r.Findings[0].What, "chmod 600") {
			t.Errorf("mode %04o: %+v", mode, r)
		}
	}
}

func TestBackupAndRestore(t *testing.T) {
	j, path := openTemp(t)
	records := sample(t, j)
	dst := filepath.Join(t.TempDir(), "copy.db")
	r, err := j.Backup(t.Context(), dst)
	if err != nil || !r.OK || r.Records != int64(len(records)) {
		t.Fatalf("Backup = %+v, %v", r, err)
	}
	if _, err := j.Backup(t.Context(), dst); !errors.Is(err, os.ErrExist) {
		t.Errorf("a backup over another: %v", err)
	}
	if _, err := j.Backup(t.Context(), filepath.Join(dst, "no", "folder.db")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a backup into no folder: %v", err)
	}
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(dst), ".*"))
	if len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
	if mode, _ := fileMode(dst); mode != 0o600 {
		t.Errorf("the copy has mode %04o", mode)
	}
	mustAppend(t, j, note("4412", "after the backup"))

	// The drill: the machine is lost, the copy takes its place.
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Dir(path)); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, suffix := range []string{"", "-clips", "-photos"} {
		if err := os.Rename(dst+suffix, path+suffix); err != nil {
			t.Fatal(err)
		}
	}
	j = mustOpen(t, path, Options{Now: ticking()})
	got, err := j.Since(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(records, got, decimals); d != "" {
		t.Errorf("restored (-before +after):\n%s", d)
	}
	if b, err := j.Clip(records[3].Clip); err != nil || !bytes.Equal(b, []byte("sound of a phrase")) {
		t.Errorf("restored clip %q, %v", b, err)
	}
	mustAppend(t, j, note("4412", "life goes on"))
	if r := mustVerify(t, j, VerifyOptions{Head: records[8].Hash, Count: 9}); !r.OK || r.Records != 10 {
		t.Errorf("after the restore: %+v", r)
	}
}

// A copy touches nothing that lies where it goes, under any of the names
// that belong to it, and leaves nothing when it does not come about.
func TestBackupTouchesNothing(t *testing.T) {
	for _, suffix := range []string{"", "-wal", "-shm", "-journal", "-clips", "-photos"} {
		j, path := openTemp(t)
		sample(t, j)
		dir := t.TempDir()
		dst := filepath.Join(dir, "copy.db")
		mustWrite(t, dst+suffix, []byte("somebody's"))
		if _, err := j.Backup(t.Context(), dst); !errors.Is(err, os.ErrExist) {
			t.Errorf("with %q there: %v", suffix, err)
		}
		if left, _ := os.ReadDir(dir); len(left) != 1 || string(mustRead(t, dst+suffix)) != "somebody's" {
			t.Errorf("with %q there: %v is left", suffix, left)
		}
		for _, own := range []string{path + "-journal", path + "-x", filepath.Join(path+"-clips", "copy"), filepath.Join(path+"-photos", "copy")} {
			if _, err := j.Backup(t.Context(), own); err == nil {
				t.Errorf("a copy at %s", own)
			}
		}
		if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
			t.Errorf("%+v", r)
		}
	}
}

// A log that lies where a journal is made is another's: SQLite would write
// its pages into the new one.
func TestALogLeftBehindIsNotTaken(t *testing.T) {
	j, path := openTemp(t)
	sample(t, j)
	log := mustRead(t, path+"-wal")
	j.Close()
	other := filepath.Join(t.TempDir(), "journal.db")
	mustWrite(t, other+"-wal", log)
	if _, err := Open(t.Context(), other, Options{Create: true}); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), "-wal") {
		t.Errorf("Open = %v", err)
	}
	if !bytes.Equal(mustRead(t, other+"-wal"), log) {
		t.Error("the log was touched")
	}
}

func TestBackupOfADamagedJournal(t *testing.T) {
	path, data, records := closedSample(t)
	text, err := encode(2, &records[1].Draft)
	if err != nil {
		t.Fatal(err)
	}
	data[bytes.Index(data, text)+5] ^= 1
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	j := mustOpen(t, path, Options{Damaged: true})
	dst := filepath.Join(t.TempDir(), "copy.db")
	if _, err := j.Backup(context.Background(), dst); !errors.Is(err, ErrNotIntact) || !strings.Contains(err.Error(), "entry 2") {
		t.Errorf("Backup = %v", err)
	}
	if _, err := os.Stat(dst); err == nil {
		t.Error("a damaged copy got its name")
	}
}

func TestBackupWithALostClip(t *testing.T) {
	j, path := openTemp(t)
	records := sample(t, j)
	if err := os.Remove(filepath.Join(path+"-clips", records[3].Clip)); err != nil {
		t.Fatal(err)
	}
	r, err := j.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.db"))
	if err != nil || r.OK || !names(r, PartFiles, 4) {
		t.Errorf("Backup = %+v, %v", r, err)
	}
}

// A copy made while others write is one state of the journal.
func TestBackupWhileWriting(t *testing.T) {
	j, _ := openTemp(t)
	mustAppend(t, j, start("1"))
	stop, done := make(chan struct{}), make(chan int64)
	go func() {
		n := int64(1)
		for {
			select {
			case <-stop:
				done <- n
				return
			default:
			}
			if _, err := j.Append(context.Background(), note("1", "x")); err != nil {
				t.Error(err)
			}
			n++
		}
	}()
	dir := t.TempDir()
	var last int64
	for i := range 5 {
		r, err := j.Backup(t.Context(), filepath.Join(dir, fmt.Sprint(i)))
		if err != nil || !r.OK || r.Records < last {
			t.Errorf("backup %d: %+v, %v", i, r, err)
		}
		last = r.Records
	}
	close(stop)
	if n := <-done; last > n || last < 2 {
		t.Errorf("the last copy holds %d records of %d", last, n)
	}
}

// The log beside the journal gives no rights that the journal does not.
func TestTheLogHasTheJournalsRights(t *testing.T) {
	j, path := openTemp(t)
	sample(t, j)
	for _, name := range []string{path + "-wal", path + "-shm"} {
		if err := os.Chmod(name, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if r := mustVerify(t, j, VerifyOptions{}); len(r.Findings) != 2 || !r.OK {
		t.Errorf("%+v", r)
	}
	for _, o := range []Options{{ReadOnly: true}, {}} {
		mustOpen(t, path, o).Close()
		for _, name := range []string{path + "-wal", path + "-shm"} {
			if mode, err := fileMode(name); err != nil || mode != 0o600 {
				t.Errorf("%s has mode %04o, %v", name, mode, err)
			}
		}
	}
	if err := os.Chmod(path+"-clips", 0o755); err != nil {
		t.Fatal(err)
	}
	if r := mustVerify(t, j, VerifyOptions{}); len(r.Findings) != 1 || !strings.Contains(r.Findings[0].What, "chmod 700") {
		t.Errorf("%+v", r)
	}
}
