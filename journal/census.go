package journal

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"hash/maphash"
	"os"
	"slices"
	"strconv"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// census reads the texts of the records, beside the one who checks their
// hashes and in the same order, and remembers what has to be compared once all
// of them are known.
type census struct {
	j    *Journal
	r    *Report
	full chan []row
	idle chan []row
	fill []row // the batch being filled
	done chan struct{}

	problems, findings []Problem // of the reading side, until it is done
	jobs               map[string]*jobRow
	siteOf             map[string]*siteWatch
	sites              *siteWatch // of the job of the last record
	words              map[uint64]bool
	pending            []uint64 // hashes of the words of the record being read
	seed               maphash.Seed
	clips              map[string][]int64 // sum to the records that name it and were not purged
	clipOf             map[int64]string
	purged             map[string]int64
	photos             map[string]int64
	closeouts          map[int64]entry.Closeout
	clock              string
	clockSeq           int64
}

// batch is how many records are handed over at once: enough that the handing
// over costs little. A judgement.
const batch = 256

func newCensus(j *Journal, r *Report) *census {
	c := &census{
		j: j, r: r, full: make(chan []row, 4), idle: make(chan []row, 6), done: make(chan struct{}),
		jobs: map[string]*jobRow{}, siteOf: map[string]*siteWatch{}, words: map[uint64]bool{}, seed: maphash.MakeSeed(),
		clips: map[string][]int64{}, clipOf: map[int64]string{}, purged: map[string]int64{}, photos: map[string]int64{},
		closeouts: map[int64]entry.Closeout{},
	}
	for range cap(c.idle) {
		c.idle <- make([]row, 0, batch)
	}
	c.fill = <-c.idle
	go c.run()
	return c
}

// next is the place for the next record.
func (c *census) next() *row { return &c.fill[:len(c.fill)+1][len(c.fill)] }

// push hands over the record put into next.
func (c *census) push() {
	c.fill = c.fill[:len(c.fill)+1]
	if len(c.fill) == cap(c.fill) {
		c.full <- c.fill
		c.fill = <-c.idle
	}
}

// wait ends the handing over and waits until all is read.
func (c *census) wait() {
	c.full <- c.fill
	close(c.full)
	<-c.done
}

func (c *census) run() {
	defer close(c.done)
	for rows := range c.full {
		for i := range rows {
			c.read(&rows[i])
		}
		c.idle <- rows[:0]
	}
}

func (c *census) problem(part Part, entry int64, format string, args ...any) {
	if len(c.problems) < maxProblems {
		c.problems = append(c.problems, Problem{entry, part, fmt.Sprintf(format, args...)})
	}
}

// read reads one record's text and compares the columns beside it. The text
// is scanned and not decoded: its hash has been checked, and decoding a million
// entries takes longer than everything else. What later checks need is decoded.
func (c *census) read(r *row) {
	var seq, job, kind, clip, source, at []byte
	unconfirmed := false
	err := eachMember(r.text, func(name, value []byte) {
		switch string(name) {
		case "seq":
			seq = value
		case "job":
			job = unquote(value)
		case "kind":
			kind = unquote(value)
		case "clip":
			clip = unquote(value)
		case "time_source":
			source = unquote(value)
		case "unconfirmed":
			unconfirmed = true
		case "at":
			at = unquote(value)
		case "phrase":
			eachWord(value, true, c.word)
		case "entry":
			eachWord(value, false, c.word)
		}
	})
	if err != nil {
		c.problem(PartChain, r.seq, "it cannot be read: %v", err)
		return
	}
	if !isSeq(seq, r.seq) || !bytes.Equal(job, r.job) || !bytes.Equal(kind, r.kind) || !bytes.Equal(clip, r.clip) {
		c.problem(PartChain, r.seq, "the columns beside its text (seq, job, kind or clip) say something else")
	}
	if string(source) == string(record.FromClock) {
		c.watchClock(r.seq, at)
	}
	wordsOf(job, c.word)
	c.keepWords(job)
	if len(clip) > 0 {
		sum := string(clip)
		c.clips[sum] = append(c.clips[sum], r.seq)
		c.clipOf[r.seq] = sum
	}
	switch entry.Kind(kind) {
	case entry.KindJob, entry.KindSite, entry.KindCorrection, entry.KindPurge, entry.KindPhoto, entry.KindCloseout:
		c.readWhole(r)
	case entry.KindQuestion, entry.KindUnparsed:
	default:
		c.watchSite(r.seq, r.job, nil, !unconfirmed)
	}
}

func isSeq(text []byte, seq int64) bool {
	n, err := strconv.ParseInt(string(text), 10, 64)
	return err == nil && n == seq
}

// readWhole decodes a record that something else depends on.
func (c *census) readWhole(r *row) {
	_, d, err := decode(r.text, &c.j.zones)
	if err != nil {
		c.problem(PartChain, r.seq, "it cannot be read: %v", err)
		return
	}
	switch e := d.Entry.(type) {
	case entry.Purge:
		if c.clipOf[e.Entry] != e.Clip {
			c.problem(PartFiles, r.seq, "it says that a clip of entry %d was purged, which that entry does not have", e.Entry)
			return
		}
		delete(c.clipOf, e.Entry)
		c.purged[e.Clip] = r.seq
	case entry.Photo:
		c.photos[e.SHA256] = r.seq
	case entry.Closeout:
		c.closeouts[r.seq] = e
	default:
		c.watchJob(r.seq, &d)
		c.watchSite(r.seq, r.job, e, false)
	}
}

// word takes a word of the record being read; keepWords adds those of the
// record to the set, once its job is known.
func (c *census) word(word []byte) { c.pending = append(c.pending, maphash.Bytes(c.seed, word)) }

func (c *census) keepWords(job []byte) {
	if len(job) > 0 {
		of := maphash.Bytes(c.seed, job)
		for _, word := range c.pending {
			c.words[wordKey(word, of)] = true
		}
	}
	c.pending = c.pending[:0]
}

// wordKey joins the hashes of a word and of a job. The multiplier is that of
// Knuth's multiplicative hashing, 2^64 divided by the golden ratio (The Art of
// Computer Programming, volume 3, section 6.4).
func wordKey(word, job uint64) uint64 { return word*0x9E3779B97F4A7C15 + job }

// watchClock finds a clock that went backwards. Stored times all have one
// width, so they compare as text.
func (c *census) watchClock(seq int64, at []byte) {
	if string(at) < c.clock && len(c.findings) < maxProblems {
		before, _ := time.Parse(stamp, c.clock)
		now, _ := time.Parse(stamp, string(at))
		c.findings = append(c.findings, Problem{seq, PartClock, fmt.Sprintf(
			"the clock went back by %v after entry %d; the order of the entries is that of their numbers", before.Sub(now), c.clockSeq)})
	}
	c.clock, c.clockSeq = string(at), seq
}

// watchJob draws the table of jobs again, but for what corrections did.
func (c *census) watchJob(seq int64, d *record.Draft) {
	row := c.jobs[d.Job]
	switch e := d.Entry.(type) {
	case entry.Job:
		if e.Verb == "start" && row == nil {
			row = &jobRow{start: seq, open: true, opened: d.At.UnixMilli()}
			c.jobs[d.Job] = row
		}
		if row != nil && !d.Unconfirmed {
			row.happen(e.Verb, seq, d.At)
		}
	case entry.Site:
		if row != nil && e.Text != "" && !d.Unconfirmed {
			row.site, row.key = e.Text, record.SiteKey(e.Text)
		}
	}
}

// finish compares what was remembered, once all records are known.
func (c *census) finish(ctx context.Context, tx *sql.Tx) {
	for _, p := range c.problems {
		c.r.problem(p.Part, p.Entry, "%s", p.What)
	}
	c.r.Findings = append(c.r.Findings, c.findings...)
	// A minute: clocks that are looked at on one machine never differ by more; a judgement.
	if last, err := time.Parse(stamp, c.clock); err == nil && last.After(c.j.now().Add(time.Minute)) {
		c.r.finding(PartClock, c.clockSeq, "its time is %v ahead of this machine's clock", last.Sub(c.j.now()).Round(time.Second))
	}
	for seq, e := range c.closeouts {
		head, err := record.ParseHash(e.Head)
		if err != nil {
			c.r.problem(PartCloseout, seq, "%v", err)
		} else if e.Count >= seq {
			c.r.problem(PartCloseout, seq, "this closeout counted %d entries, more than there were", e.Count)
		} else if what := headAt(ctx, tx, head, e.Count); what != "" {
			c.r.problem(PartCloseout, seq, "the head that this closeout printed does not fit: %s", what)
		}
	}
	if !slices.ContainsFunc(c.r.Problems, func(p Problem) bool { return p.Part == PartChain }) {
		// What is drawn from changed entries differs too, which says nothing new.
		c.compareJobs(ctx, tx)
		c.compareWords(ctx, tx)
	}
	c.compareFiles()
}

func (c *census) compareJobs(ctx context.Context, tx *sql.Tx) {
	for job, watch := range c.siteOf {
		if row := c.jobs[job]; row != nil && watch.hit {
			records, err := c.j.recordsFrom(ctx, tx, "WHERE r.job = ? ORDER BY r.seq", job)
			if err != nil {
				continue // reported by the chain
			}
			*row = rowOf(records)
		}
	}
	rows, err := tx.QueryContext(ctx, "SELECT number, start, turn, open, opened, closed, site, site_key FROM job")
	if err != nil {
		c.r.problem(PartDrawn, 0, "the list of jobs cannot be read: %v", explain(err))
		return
	}
	defer rows.Close()
	left := len(c.jobs)
	for rows.Next() {
		var number string
		var got jobRow
		if err := rows.Scan(&number, &got.start, &got.turn, &got.open, &got.opened, &got.closed, &got.site, &got.key); err != nil {
			c.r.problem(PartDrawn, 0, "the list of jobs cannot be read: %v", explain(err))
			return
		}
		left--
		if want := c.jobs[number]; want == nil || *want != got {
			c.r.problem(PartDrawn, got.start, "the list of jobs says something else of job %s than its entries", number)
		}
	}
	if err := rows.Err(); err != nil || left != 0 {
		c.r.problem(PartDrawn, 0, "the list of jobs is not complete")
	}
}

func (c *census) compareWords(ctx context.Context, tx *sql.Tx) {
	rows, err := tx.QueryContext(ctx, "SELECT word, job FROM word")
	if err != nil {
		c.r.problem(PartDrawn, 0, "the list of words cannot be read: %v", explain(err))
		return
	}
	defer rows.Close()
	left := len(c.words)
	for rows.Next() {
		var word, job sql.RawBytes
		if err := rows.Scan(&word, &job); err != nil {
			break
		}
		left--
		if !c.words[wordKey(maphash.Bytes(c.seed, word), maphash.Bytes(c.seed, job))] {
			c.r.problem(PartDrawn, 0, "the list of words has %q for job %s, which is in no entry", word, job)
		}
	}
	if err := rows.Err(); err != nil || left != 0 {
		c.r.problem(PartDrawn, 0, "the list of words is not complete")
	}
}

// compareFiles checks the sums of the files that records name.
func (c *census) compareFiles() {
	for sum, seqs := range c.clips {
		standing := seqs[:0]
		for _, seq := range seqs {
			if _, named := c.clipOf[seq]; named {
				standing = append(standing, seq)
			}
		}
		if len(standing) > 0 {
			c.checkFile(c.j.clips, sum, standing[0], "clip")
		}
	}
	for sum, seq := range c.photos {
		c.checkFile(c.j.photos, sum, seq, "photograph")
	}
	c.findStrays()
}

func (c *census) checkFile(s store, sum string, seq int64, what string) {
	b, err := os.ReadFile(s.path(sum))
	if err != nil {
		c.r.problem(PartFiles, seq, "its %s is gone: %v", what, err)
	} else if record.Hash(sha256.Sum256(b)).String() != sum {
		c.r.problem(PartFiles, seq, "its %s %s was changed", what, s.path(sum))
	}
}

// findStrays finds sound that should have been deleted, or that no record names.
func (c *census) findStrays() {
	sums, err := c.j.clips.list()
	if err != nil {
		c.r.problem(PartFiles, 0, "the folder of clips cannot be read: %v", err)
	}
	named := map[string]bool{}
	for _, sum := range c.clipOf {
		named[sum] = true
	}
	for _, sum := range sums {
		switch {
		case named[sum]:
		case c.purged[sum] != 0:
			c.r.finding(PartFiles, c.purged[sum], "it says that clip %s was purged, and the file is still there; purge it again", sum)
		default:
			c.r.finding(PartFiles, 0, "no entry names clip %s; it may be purged", sum)
		}
	}
}
