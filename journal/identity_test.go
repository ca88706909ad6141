package journal

import (
	"bytes"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/gowebpki/jcs"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// uuid4 is the text of a random UUID: RFC 9562, sections 4 and 5.4.
var uuid4 = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)

func mustIdentity(t *testing.T, j *Journal) string {
	t.Helper()
	id, err := j.Identity(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestIdentity(t *testing.T) {
	seen := map[string]bool{}
	for range 20 {
		j, path := openTemp(t)
		id := mustIdentity(t, j)
		if !uuid4.MatchString(id) || seen[id] {
			t.Fatalf("identity %q, seen before: %v", id, seen[id])
		}
		seen[id] = true
		if got := mustIdentity(t, mustOpen(t, path, Options{ReadOnly: true})); got != id {
			t.Errorf("opened again it is %s, was %s", got, id)
		}
	}
}

func TestIdentityIsKept(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	id := mustIdentity(t, j)
	for _, change := range []string{"UPDATE identity SET uuid = uuid", "DELETE FROM identity", "INSERT INTO identity VALUES (2, uuid())", "INSERT OR REPLACE INTO identity VALUES (1, '00000000-0000-4000-8000-000000000000')"} {
		if _, err := j.conn.ExecContext(t.Context(), change); err == nil {
			t.Errorf("%s was done", change)
		}
	}
	backup := filepath.Join(t.TempDir(), "copy.db")
	if _, err := j.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{path, backup} {
		if got := mustIdentity(t, mustOpen(t, p, Options{ReadOnly: true})); got != id {
			t.Errorf("%s: %s, want %s", p, got, id)
		}
	}
}

// A journal of the first version is read as it is, and has an identity from
// the first time it is opened to write.
func TestIdentityOfAnOldJournal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	old := mustRead(t, oldFile(1))
	mustWrite(t, path, old)
	reader, err := Open(t.Context(), path, Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	if id := mustIdentity(t, reader); id != "" {
		t.Errorf("read alone it has the identity %q", id)
	}
	if all, err := reader.Since(t.Context(), 0, 1000); err != nil || len(all) == 0 {
		t.Errorf("%d records, %v", len(all), err)
	}
	if r := mustVerify(t, reader, VerifyOptions{}); !r.OK {
		t.Errorf("%+v", r.Problems)
	}
	if err := reader.Close(); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(old, mustRead(t, path)) {
		t.Error("reading changed the file")
	}
	id := mustIdentity(t, mustOpen(t, path, Options{}))
	if !uuid4.MatchString(id) {
		t.Errorf("identity %q", id)
	}
	if got := mustIdentity(t, mustOpen(t, path, Options{})); got != id {
		t.Errorf("opened again it is %s, was %s", got, id)
	}
}

func TestTechnician(t *testing.T) {
	_, path := openTemp(t)
	j := mustOpen(t, path, Options{Technician: "Ana Ögmund"})
	mustAppend(t, j, start("1"), record.Draft{Job: "1", Technician: "B. \"Two\"", Entry: entry.Note{Text: "x"}})
	mustAppend(t, mustOpen(t, path, Options{}), note("1", "of nobody"))
	got, err := j.Job(t.Context(), "1")
	if err != nil {
		t.Fatal(err)
	}
	text, err := encode(got[1].Seq, &got[1].Draft)
	if err != nil {
		t.Fatal(err)
	}
	if canonical, err := jcs.Transform(text); err != nil || !bytes.Equal(canonical, text) {
		t.Errorf("%s is not canonical: %v", text, err) // RFC 8785, by the library
	}
	for i, want := range []string{"Ana Ögmund", "B. \"Two\"", ""} {
		if got[i].Technician != want {
			t.Errorf("entry %d is of %q, want %q", i+1, got[i].Technician, want)
		}
	}
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
		t.Errorf("%+v", r.Problems)
	}
	for _, bad := range []string{" x", "a\nb", strings.Repeat("n", 81), "\xff"} {
		j := mustOpen(t, path, Options{Technician: bad})
		if _, err := j.Append(t.Context(), note("1", "y")); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}
