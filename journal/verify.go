package journal

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"downlead/journal/record"
)

// Report is what Verify found.
type Report struct {
	OK       bool        `json:"ok"`
	Records  int64       `json:"records"`
	Head     record.Hash `json:"head"`
	Problems []Problem   `json:"problems"`
	Findings []Problem   `json:"findings"` // what a person should know, without which nothing is lost
}

// Problem is one thing that is wrong.
type Problem struct {
	Entry int64  `json:"entry,omitempty"` // the record's seq; 0 when none can be named
	Part  Part   `json:"part"`
	What  string `json:"problem"`
}

// Part is the part of a journal that a problem is in.
type Part string

// The parts: the records and their hashes, the tables drawn from them, the
// database file itself, its tables and triggers, the kept clips and photographs, what closeouts
// printed, and the clock.
const (
	PartChain    Part = "chain"
	PartDrawn    Part = "drawn"
	PartDatabase Part = "database"
	PartSchema   Part = "schema"
	PartFiles    Part = "files"
	PartCloseout Part = "closeout"
	PartClock    Part = "clock"
)

// VerifyOptions add to what Verify checks.
type VerifyOptions struct {
	// Head and Count are those printed on a closeout; zero means not handed in.
	// With both, Head must be the hash of entry Count; Head alone must stand
	// somewhere in the chain, and Count alone is how many entries there are at
	// least. They alone show that the end was cut off.
	Head  record.Hash
	Count int64
}

// maxProblems ends a report that says the same of every record. A judgement.
const maxProblems = 1000

func (r *Report) problem(part Part, entry int64, format string, args ...any) {
	if len(r.Problems) < maxProblems {
		r.Problems = append(r.Problems, Problem{entry, part, fmt.Sprintf(format, args...)})
	}
}

func (r *Report) finding(part Part, entry int64, format string, args ...any) {
	if len(r.Findings) < maxProblems {
		r.Findings = append(r.Findings, Problem{entry, part, fmt.Sprintf(format, args...)})
	}
}

// Verify checks the whole journal: every hash, every record's text and the
// columns beside it, the tables drawn from the records, the schema, the
// database's own checks, the kept files' sums, and the heads that closeouts
// printed. What is wrong is in the report; the error is for what kept Verify
// from looking, such as ctx being done.
func (j *Journal) Verify(ctx context.Context, o VerifyOptions) (Report, error) {
	r := Report{Problems: []Problem{}, Findings: []Problem{}}
	// The database's own check reads the same pages by another connection and
	// on another core.
	own := make(chan []string, 1)
	go func() { own <- j.databaseCheck(ctx) }()

	tx, err := j.readers.BeginTx(ctx, nil) // one snapshot, whoever writes meanwhile
	if err != nil {
		return r, explain(err)
	}
	defer tx.Rollback() //nolint:errcheck // nothing was written
	seen := newCensus(j, &r)
	j.checkChain(ctx, tx, seen, &r)
	seen.finish(ctx, tx)
	j.checkHead(ctx, tx, o, &r)
	if err := checkSchema(ctx, tx); err != nil {
		r.problem(PartSchema, 0, "%v", err)
	}
	j.checkMode(&r)
	for _, what := range <-own {
		r.problem(PartDatabase, 0, "%s", what)
	}
	if err := ctx.Err(); err != nil {
		return r, err
	}
	slices.SortStableFunc(r.Problems, func(a, b Problem) int { // those of no entry last
		return cmp.Compare(uint64(a.Entry-1), uint64(b.Entry-1))
	})
	r.OK = len(r.Problems) == 0
	return r, nil
}

// databaseCheck runs SQLite's own checks and returns what they complain of.
func (j *Journal) databaseCheck(ctx context.Context) (bad []string) {
	defer func() {
		if p := recover(); p != nil { // in a goroutine of its own, where nobody else would
			bad = append(bad, fmt.Sprintf("the check itself failed: %v", p))
		}
	}()
	for _, pragma := range []string{"integrity_check", "foreign_key_check"} {
		rows, err := j.readers.QueryContext(ctx, "PRAGMA "+pragma)
		if err != nil {
			return append(bad, fmt.Sprintf("%s: %v", pragma, explain(err)))
		}
		defer rows.Close()
		for rows.Next() {
			var line string
			if pragma == "foreign_key_check" {
				line = "a row refers to one that is not there"
			} else if err := rows.Scan(&line); err != nil {
				line = err.Error()
			}
			if line != "ok" {
				bad = append(bad, pragma+": "+line)
			}
		}
		if err := rows.Err(); err != nil {
			bad = append(bad, fmt.Sprintf("%s: %v", pragma, explain(err)))
		}
	}
	return bad
}

// row is a record as it lies in the file.
type row struct {
	seq             int64
	job, kind, clip []byte
	text, hash      []byte
}

// checkChain reads every record in order, checks its hash and hands it on.
// Where the file cannot be read it goes on behind the place.
func (j *Journal) checkChain(ctx context.Context, tx *sql.Tx, seen *census, r *Report) {
	c := chainCheck{report: r, seen: seen}
	for failures := 0; failures < maxProblems && ctx.Err() == nil; failures++ {
		err := c.readFrom(ctx, tx)
		if err == nil {
			break
		}
		c.report.problem(PartChain, c.last+1, "it cannot be read: %v", explain(err))
		c.last, c.broken = c.last+1, true
	}
	seen.wait()
	r.Records, r.Head = c.count, c.stored
}

// chainCheck walks the chain.
type chainCheck struct {
	report *Report
	seen   *census

	last, count      int64
	stored, computed record.Hash // of the last record: as it lies there, and as it should be
	broken           bool        // the last record could not be read, so the next hash cannot be checked
}

func (c *chainCheck) readFrom(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, "SELECT seq, job, kind, clip, body, hash FROM record WHERE seq > ? ORDER BY seq", c.last)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		r := c.seen.next()
		var job, kind, clip, text, hash sql.RawBytes
		if err := rows.Scan(&r.seq, &job, &kind, &clip, &text, &hash); err != nil {
			return err
		}
		r.job, r.kind, r.clip = append(r.job[:0], job...), append(r.kind[:0], kind...), append(r.clip[:0], clip...)
		r.text, r.hash = append(r.text[:0], text...), append(r.hash[:0], hash...)
		c.check(r)
		c.seen.push()
	}
	return rows.Err()
}

// check compares one record with the chain. A changed hash breaks the link
// before and the one after it; the second is not the fault of the record after,
// and is not reported.
func (c *chainCheck) check(r *row) {
	if r.seq != c.last+1 {
		c.report.problem(PartChain, c.last+1, "it is missing, with all up to entry %d", r.seq-1)
		c.broken = true
	}
	var stored record.Hash
	fits := len(r.hash) == len(stored)
	copy(stored[:], r.hash)
	computed := record.Chain(c.stored, r.text)
	if fits && !c.broken && computed != stored {
		other := record.Chain(c.computed, r.text)
		fits = c.computed != c.stored && other == stored
		if fits {
			computed = other
		}
	}
	if !fits {
		c.report.problem(PartChain, r.seq, "its text or its hash was changed")
	}
	if c.broken {
		computed = stored
	}
	c.last, c.count, c.stored, c.computed, c.broken = r.seq, c.count+1, stored, computed, false
}

// checkHead compares the head and count that were printed with the chain.
func (j *Journal) checkHead(ctx context.Context, tx *sql.Tx, o VerifyOptions, r *Report) {
	what := ""
	switch {
	case o.Count != 0 && o.Head != record.Hash{}:
		what = headAt(ctx, tx, o.Head, o.Count)
	case o.Count > r.Records:
		what = fmt.Sprintf("%d entries were counted and %d are there: the end of the journal was cut off", o.Count, r.Records)
	case o.Head != record.Hash{}:
		what = headIn(ctx, tx, o.Head)
	}
	if what != "" {
		r.problem(PartCloseout, 0, "what was handed in does not fit: %s", what)
	}
}

// headIn says that no entry has the hash head; "" when one does.
func headIn(ctx context.Context, tx *sql.Tx, head record.Hash) string {
	var found bool
	err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM record WHERE hash = ?)", head[:]).Scan(&found)
	switch {
	case err != nil:
		return explain(err).Error()
	case !found:
		return "no entry has this hash: the end of the journal was cut off, or an entry was changed"
	}
	return ""
}

// headAt says how the hash of record count differs from head; "" when it does not.
func headAt(ctx context.Context, tx *sql.Tx, head record.Hash, count int64) string {
	var hash []byte
	err := tx.QueryRowContext(ctx, "SELECT hash FROM record WHERE seq = ?", count).Scan(&hash)
	switch {
	case count == 0 && head == record.Hash{}:
		return ""
	case errors.Is(err, sql.ErrNoRows):
		return fmt.Sprintf("entry %d is not there: the end of the journal was cut off", count)
	case err != nil:
		return explain(err).Error()
	case string(hash) != string(head[:]):
		return fmt.Sprintf("entry %d has another hash, so it or one before it was changed", count)
	}
	return ""
}

// checkMode finds what others can read or change.
func (j *Journal) checkMode(r *Report) {
	for _, name := range []string{j.path, j.path + "-wal", j.path + "-shm", j.clips.dir, j.photos.dir} {
		mode, err := fileMode(name)
		if err != nil || mode&0o077 == 0 {
			continue
		}
		want := "600"
		if mode&0o100 != 0 {
			want = "700"
		}
		r.finding(PartFiles, 0, "others on this machine can read the journal (mode %04o); chmod %s %s", mode, want, name)
	}
}
