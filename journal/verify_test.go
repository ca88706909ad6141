package journal

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// long reports whether the slow searches are asked for: DOWNLEAD_LONG=1.
func long() bool { return os.Getenv("DOWNLEAD_LONG") != "" }

// pick returns the size of a test: small in every run, large where asked for.
func pick(small, large int) int {
	if long() {
		return large
	}
	return small
}

// sample fills a journal with one of most things and returns its records.
func sample(t testing.TB, j *Journal) []record.Record {
	t.Helper()
	mustAppend(t, j, start("4412"), record.Draft{Job: "4412", Entry: entry.Site{Text: "12 Quarry Lane"}},
		record.Draft{Job: "4412", Entry: entry.Consent{Given: true}})
	clip, err := j.PutClip(t.Context(), "4412", strings.NewReader("sound of a phrase"))
	if err != nil {
		t.Fatal(err)
	}
	photo, err := j.PutPhoto(strings.NewReader("picture of a block"))
	if err != nil {
		t.Fatal(err)
	}
	heard := reading("4412", -41)
	heard.Clip, heard.Origin, heard.Heard = clip, record.Voice, &record.Heard{Grammar: -900, SNR: 20}
	mustAppend(t, j, heard, record.Draft{Job: "4412", Entry: entry.Photo{SHA256: photo, Name: "block.jpg"}})
	head, n, err := j.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	mustAppend(t, j, record.Draft{Job: "4412", Origin: record.Tool, Entry: entry.Closeout{Head: head.String(), Count: n, Format: "pdf"}},
		start("4413"), note("4413", "dog in the yard"),
		record.Draft{Job: "4412", Entry: entry.Correction{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Site{Text: "14 Quarry Lane"}}}})
	records, err := j.Since(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	return records
}

func mustVerify(t testing.TB, j *Journal, o VerifyOptions) Report {
	t.Helper()
	r, err := j.Verify(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// names reports whether a report names an entry in a part.
func names(r Report, part Part, entry int64) bool {
	return slices.ContainsFunc(r.Problems, func(p Problem) bool { return p.Part == part && p.Entry == entry })
}

func TestVerifyFindsNothingWrong(t *testing.T) {
	j, path := openTemp(t)
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK || r.Records != 0 {
		t.Errorf("an empty journal: %+v", r)
	}
	records := sample(t, j)
	last := records[len(records)-1]
	r := mustVerify(t, j, VerifyOptions{Head: records[3].Hash, Count: 4})
	want := Report{OK: true, Records: last.Seq, Head: last.Hash, Problems: []Problem{}, Findings: []Problem{}}
	if d := cmp.Diff(want, r); d != "" {
		t.Errorf("report (-want +got):\n%s", d)
	}
	j.Close()
	ro := mustOpen(t, path, Options{ReadOnly: true, Now: ticking()})
	if r := mustVerify(t, ro, VerifyOptions{}); !r.OK {
		t.Errorf("read-only: %+v", r)
	}
}

// closedSample returns the bytes of a sample's file, and its records.
func closedSample(t *testing.T) (string, []byte, []record.Record) {
	t.Helper()
	j, path := openTemp(t)
	records := sample(t, j)
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path + "-wal"); err == nil {
		t.Fatal("the log was left behind by a close")
	}
	return path, data, records
}

// verifyBytes verifies a file of these bytes at path.
func verifyBytes(t *testing.T, path string, data []byte) (Report, []record.Record, error) {
	t.Helper()
	removeDatabase(path)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	j, err := Open(t.Context(), path, Options{Damaged: true, Now: ticking()})
	if err != nil {
		return Report{}, nil, err
	}
	defer j.Close()
	r, err := j.Verify(t.Context(), VerifyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	records, err := j.Since(t.Context(), 0, 1000)
	return r, records, err
}

func TestEveryFlippedByteOfAnEntryIsFound(t *testing.T) {
	path, data, records := closedSample(t)
	if !long() {
		records = records[3:5]
	}
	flipped := 0
	for _, r := range records {
		text, err := encode(r.Seq, &r.Draft)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range [][]byte{text, r.Hash[:]} {
			from := bytes.Index(data, part)
			if from < 0 || bytes.Count(data, part) != 1 {
				t.Fatalf("entry %d lies %d times in the file", r.Seq, bytes.Count(data, part))
			}
			for i := from; i < from+len(part); i++ {
				for _, mask := range masks(i) {
					flipped++
					data[i] ^= mask
					report, _, err := verifyBytes(t, path, data)
					data[i] ^= mask
					if err != nil && !errors.Is(err, ErrNotIntact) {
						t.Errorf("entry %d, byte %d: %v", r.Seq, i-from, err)
					}
					if report.OK || !names(report, PartChain, r.Seq) {
						t.Errorf("entry %d, byte %d of %d flipped by %02x is not found: %+v", r.Seq, i-from, len(part), mask, report)
					}
				}
			}
		}
	}
	t.Logf("%d bytes flipped", flipped)
}

// masks are the changes tried on a byte: one bit, or where asked for each bit
// and all of them.
func masks(i int) []byte {
	if long() {
		return []byte{1, 2, 4, 8, 16, 32, 64, 128, 255}
	}
	return []byte{1 << (i % 8)}
}

// A flipped byte anywhere in the file is found, or changes nothing that can be
// read from it (free space, counters).
func TestFlippedBytesOfTheWholeFile(t *testing.T) {
	path, data, records := closedSample(t)
	silent := 0
	step := pick(211, 1)
	for i := 0; i < len(data); i += step {
		data[i] ^= 1 << (i % 8)
		report, got, err := verifyBytes(t, path, data)
		data[i] ^= 1 << (i % 8)
		if err != nil || !report.OK {
			continue
		}
		silent++
		if d := cmp.Diff(records, got, decimals); d != "" || report.Head != records[len(records)-1].Hash {
			t.Errorf("byte %d flipped is not found, and the records differ:\n%s", i, d)
		}
	}
	t.Logf("%d of %d bytes tried were of no consequence", silent, (len(data)+step-1)/step)
}

// forged runs statements on a sample whose triggers are taken off for that,
// and verifies it with the head it had before.
func forged(t *testing.T, statements ...string) Report {
	t.Helper()
	path, _, records := closedSample(t)
	db := sql.OpenDB(connector{dsn: path})
	triggers := map[string]string{}
	for _, name := range []string{"record_insert", "record_update", "record_delete"} {
		var text string
		if err := db.QueryRow("SELECT sql FROM sqlite_schema WHERE name = ?", name).Scan(&text); err != nil {
			t.Fatal(err)
		}
		triggers[name] = text
		if _, err := db.Exec("DROP TRIGGER " + name); err != nil {
			t.Fatal(err)
		}
	}
	for _, s := range statements {
		if res, err := db.Exec(s); err != nil {
			t.Fatal(s, err)
		} else if n, _ := res.RowsAffected(); n == 0 {
			t.Fatalf("nothing was changed by %s", s)
		}
	}
	for _, text := range triggers {
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	j := mustOpen(t, path, Options{Damaged: true, Now: ticking()})
	return mustVerify(t, j, VerifyOptions{Head: records[len(records)-1].Hash, Count: int64(len(records))})
}

func TestVerifyNamesWhatWasForged(t *testing.T) {
	for _, c := range []struct {
		name       string
		statements []string
		part       Part
		entry      int64
	}{
		{"text edited", []string{`UPDATE record SET body = replace(body, '"-41"', '"-21"') WHERE seq = 4`}, PartChain, 4},
		{"column edited", []string{"UPDATE record SET job = '4413' WHERE seq = 4"}, PartChain, 4},
		{"kind edited", []string{"UPDATE record SET kind = 'note' WHERE seq = 6"}, PartChain, 6},
		{"clip edited", []string{"UPDATE record SET clip = NULL WHERE seq = 4"}, PartChain, 4},
		{"entry taken out", []string{"DELETE FROM record WHERE seq = 5"}, PartChain, 5},
		{"entry taken out and the rest moved up", []string{"DELETE FROM record WHERE seq = 5", "UPDATE record SET seq = seq - 1 WHERE seq > 5"}, PartChain, 5},
		{"first entry taken out", []string{"DELETE FROM record WHERE seq = 1"}, PartChain, 1},
		{"two entries swapped", []string{"UPDATE record SET seq = 99 WHERE seq = 4", "UPDATE record SET seq = 4 WHERE seq = 5", "UPDATE record SET seq = 5 WHERE seq = 99"}, PartChain, 4},
		{"tail cut off", []string{"DELETE FROM record WHERE seq > 7"}, PartCloseout, 0},
		{"job list edited", []string{"UPDATE job SET site = 'elsewhere' WHERE number = '4412'"}, PartDrawn, 1},
		{"job hidden", []string{"DELETE FROM job WHERE number = '4413'"}, PartDrawn, 0},
		{"word hidden", []string{"DELETE FROM word WHERE word = 'dog'"}, PartDrawn, 0},
		{"word made up", []string{"INSERT INTO word VALUES ('cat', '4413')"}, PartDrawn, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := forged(t, c.statements...)
			if r.OK || !names(r, c.part, c.entry) {
				t.Errorf("%s: %+v", c.name, r)
			}
		})
	}
}

func TestRedraw(t *testing.T) {
	j, _ := openTemp(t)
	records := sample(t, j)
	if _, err := j.conn.ExecContext(t.Context(), "UPDATE job SET site = 'x', open = 0; DELETE FROM word WHERE job = '4413'; INSERT INTO word VALUES ('cat', '1')"); err != nil {
		t.Fatal(err)
	}
	if r := mustVerify(t, j, VerifyOptions{}); r.OK {
		t.Fatal("the changed lists are not found")
	}
	if err := j.Redraw(t.Context()); err != nil {
		t.Fatal(err)
	}
	r := mustVerify(t, j, VerifyOptions{})
	if !r.OK || r.Head != records[len(records)-1].Hash {
		t.Errorf("after redrawing: %+v", r)
	}
	mustAppend(t, j, note("4413", "cat and dog"))
	if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
		t.Errorf("after redrawing and appending: %+v", r)
	}
}

func TestRedrawRestoresTheSchema(t *testing.T) {
	j, path := openTemp(t)
	records := sample(t, j)
	if _, err := j.conn.ExecContext(t.Context(), "DROP TRIGGER record_delete; DROP INDEX job_site; DROP TABLE word; CREATE TRIGGER x AFTER INSERT ON job BEGIN SELECT 1; END; CREATE VIEW \"a view\" AS SELECT 1"); err != nil {
		t.Fatal(err)
	}
	j.Close()
	if _, err := Open(t.Context(), path, Options{}); !errors.Is(err, ErrNotIntact) {
		t.Fatalf("Open = %v", err)
	}
	r := mustOpen(t, path, Options{Repair: true, Now: ticking()})
	if err := r.Redraw(t.Context()); err != nil {
		t.Fatal(err)
	}
	r.Close()
	r = mustOpen(t, path, Options{Now: ticking()})
	if got := mustVerify(t, r, VerifyOptions{}); !got.OK || got.Head != records[len(records)-1].Hash {
		t.Errorf("%+v", got)
	}
	if _, err := r.conn.ExecContext(t.Context(), "CREATE TABLE extra (a); INSERT INTO extra VALUES (1)"); err != nil {
		t.Fatal(err)
	}
	if err := r.Redraw(t.Context()); err == nil || !strings.Contains(err.Error(), "extra") {
		t.Errorf("a table of somebody else's: %v", err)
	}
	var n int
	if err := r.conn.QueryRowContext(t.Context(), "SELECT count(*) FROM extra").Scan(&n); err != nil || n != 1 {
		t.Errorf("it holds %d rows, %v", n, err)
	}
}

// A head alone must stand in the chain, a count alone must be reached, and
// with both the head must be that of this entry.
func TestVerifyTakesAHeadOrACountAlone(t *testing.T) {
	j, _ := openTemp(t)
	records := sample(t, j)
	n := int64(len(records))
	first, last := records[0].Hash, records[n-1].Hash
	for _, c := range []struct {
		head  record.Hash
		count int64
		ok    bool
	}{
		{record.Hash{}, 0, true},
		{last, 0, true},
		{first, 0, true},
		{record.Hash{1}, 0, false},
		{record.Hash{}, n, true},
		{record.Hash{}, n - 1, true},
		{record.Hash{}, n + 1, false},
		{last, n, true},
		{first, 1, true},
		{first, n, false},
		{last, n + 1, false},
		{record.Hash{1}, n, false},
	} {
		if r := mustVerify(t, j, VerifyOptions{Head: c.head, Count: c.count}); r.OK != c.ok {
			t.Errorf("head %.8s count %d: %+v", c.head, c.count, r)
		}
	}
}

// A forger who makes the whole chain anew is shown by a printed head alone.
func TestARemadeChainIsShownByThePrintedHead(t *testing.T) {
	a, _ := openTemp(t)
	b, _ := openTemp(t)
	mustAppend(t, a, start("1"), reading("1", -53))
	mustAppend(t, b, start("1"), reading("1", -43))
	head, n, err := a.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if r := mustVerify(t, b, VerifyOptions{}); !r.OK {
		t.Errorf("by itself: %+v", r)
	}
	if r := mustVerify(t, b, VerifyOptions{Head: head, Count: n}); r.OK || !names(r, PartCloseout, 0) {
		t.Errorf("with the other's head: %+v", r)
	}
}

func TestVerifyChecksCloseoutsAndFiles(t *testing.T) {
	j, path := openTemp(t)
	records := sample(t, j)
	mustAppend(t, j, record.Draft{Job: "4412", Entry: entry.Closeout{Head: records[1].Hash.String(), Count: 3, Format: "json"}})
	mustAppend(t, j, record.Draft{Job: "4412", Entry: entry.Closeout{Head: records[1].Hash.String(), Count: 300, Format: "json"}})
	clip := filepath.Join(path+"-clips", records[3].Clip)
	if err := os.WriteFile(clip, []byte("another sound"), 0o600); err != nil {
		t.Fatal(err)
	}
	photo := filepath.Join(path+"-photos", records[4].Entry.(entry.Photo).SHA256)
	if err := os.Remove(photo); err != nil {
		t.Fatal(err)
	}
	r := mustVerify(t, j, VerifyOptions{})
	n := int64(len(records))
	if !names(r, PartCloseout, n+1) || !names(r, PartCloseout, n+2) || !names(r, PartFiles, 4) || !names(r, PartFiles, 5) || len(r.Problems) != 4 {
		t.Errorf("report %+v", r)
	}
	if _, err := j.Clip(records[3].Clip); !errors.Is(err, ErrNotIntact) {
		t.Errorf("a changed clip is read: %v", err)
	}
	if _, err := j.Photo(records[4].Entry.(entry.Photo).SHA256); !errors.Is(err, ErrGone) {
		t.Errorf("a lost photograph: %v", err)
	}
}

func TestAClockSetBackIsAFinding(t *testing.T) {
	j, _ := openTemp(t)
	at := func(h int) record.Draft {
		d := note("1", fmt.Sprint(h))
		d.At = evening.Add(time.Duration(h) * time.Hour)
		return d
	}
	s := start("1")
	s.At = evening
	given := at(-5)
	given.TimeSource = record.FromGiven
	mustAppend(t, j, s, at(2), at(1), given, at(3))
	records, err := j.Job(t.Context(), "1")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]Jump{{Seq: 3, Back: time.Hour}}, Jumps(records)); d != "" {
		t.Errorf("Jumps (-want +got):\n%s", d)
	}
	r := mustVerify(t, j, VerifyOptions{})
	if !r.OK || len(r.Findings) != 2 || r.Findings[0].Entry != 3 || r.Findings[1].Entry != 5 {
		t.Errorf("findings (one jump back, one entry ahead of the clock): %+v", r)
	}
	for i := range records {
		if records[i].Seq != int64(i+1) {
			t.Errorf("the order is not that of seq: %d at %d", records[i].Seq, i)
		}
	}
}

// An entry may be some seconds ahead of the clock that verify looks at; one that
// is minutes ahead was made while the clock was wrong.
func TestAnEntryAheadOfTheClockIsAFinding(t *testing.T) {
	for ahead, want := range map[time.Duration]int{50 * time.Second: 0, 70 * time.Second: 1, 20 * time.Minute: 1} {
		path := filepath.Join(t.TempDir(), "journal.db")
		j := mustOpen(t, path, Options{Create: true, Now: func() time.Time { return evening }})
		d := start("1")
		d.At = evening.Add(ahead)
		mustAppend(t, j, d)
		r := mustVerify(t, j, VerifyOptions{})
		if !r.OK || len(r.Findings) != want || want > 0 && (r.Findings[0].Part != PartClock || r.Findings[0].Entry != 1) {
			t.Errorf("%v ahead: %+v", ahead, r)
		}
	}
}

func TestReadsNameADamagedEntry(t *testing.T) {
	path, data, records := closedSample(t)
	text, err := encode(7, &records[6].Draft)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(data, text) + rand.IntN(len(text))
	data[i] ^= 4
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), path, Options{})
	var damage *DamageError
	if !errors.As(err, &damage) || damage.Seq != 7 || !errors.Is(err, ErrNotIntact) {
		t.Errorf("Open of a journal with a damaged tail: %v", err)
	}
	j := mustOpen(t, path, Options{Damaged: true})
	if _, err := j.Job(t.Context(), "4413"); !errors.As(err, &damage) || damage.Seq != 7 {
		t.Errorf("Job: %v", err)
	}
	if _, err := j.Append(t.Context(), note("4412", "x")); !errors.Is(err, ErrReadOnly) {
		t.Errorf("append to a damaged journal: %v", err)
	}
}
