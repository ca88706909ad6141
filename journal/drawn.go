package journal

import (
	"context"
	"database/sql"
	"encoding/json"
)

// drawn remembers which words of which jobs are in the table of words, so
// that saying them again costs no look-up: a word once there stays. Only a few
// jobs are remembered, those last added to.
type drawn struct{ words map[string]map[string]bool }

// maxDrawn is how many jobs are remembered. A judgement: a person works on one.
const maxDrawn = 8

func newDrawn() *drawn { return &drawn{map[string]map[string]bool{}} }

// has reports whether a job is known to be there.
func (d *drawn) has(job string) bool { return d.words[job] != nil }

// note adds the words of a record's text that are in neither d nor known.
func (d *drawn) note(job string, text []byte, known *drawn) {
	if job == "" {
		return
	}
	old, mine := known.words[job], d.words[job]
	if mine == nil {
		mine = map[string]bool{}
		d.words[job] = mine
	}
	recordWords(text, func(word []byte) {
		if !old[string(word)] && !mine[string(word)] {
			mine[string(word)] = true
		}
	})
}

// write stores the words noted.
func (d *drawn) write(ctx context.Context, conn *sql.Conn) error {
	for job, words := range d.words {
		if len(words) == 0 {
			continue
		}
		list := make([]string, 0, len(words))
		for w := range words {
			list = append(list, w)
		}
		array, err := json.Marshal(list)
		if err != nil {
			return err
		}
		_, err = conn.ExecContext(ctx, "INSERT OR IGNORE INTO word (word, job) SELECT value, ? FROM json_each(?)", job, string(array))
		if err != nil {
			return explain(err)
		}
	}
	return nil
}

// learn takes over what was committed.
func (d *drawn) learn(fresh *drawn) {
	if len(d.words)+len(fresh.words) > maxDrawn {
		d.words = nil
	}
	if d.words == nil {
		d.words = map[string]map[string]bool{}
	}
	for job, words := range fresh.words {
		if d.words[job] == nil {
			d.words[job] = words
			continue
		}
		for w := range words {
			d.words[job][w] = true
		}
	}
}

// recordWords calls f with what a record's job can be found by: the words of
// the phrase, of the entry's own strings, and the job's number.
func recordWords(text []byte, f func(word []byte)) {
	// A text that cannot be scanned has no words; the chain check names it.
	_ = eachMember(text, func(name, value []byte) {
		switch string(name) {
		case "job", "phrase":
			eachWord(value, true, f)
		case "entry":
			eachWord(value, false, f)
		}
	})
}
