package review

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"

	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// draft is a new entry of a job, made here and now.
func (s *server) draft(job, phrase string, e entry.Entry) record.Draft {
	return record.Draft{
		Job: job, At: s.cfg.Now(), Zone: s.cfg.Zone, TimeSource: record.FromClock,
		Origin: record.Reviewed, Phrase: phrase, Entry: e,
	}
}

// keep appends entries of one phrase and returns what was kept, in words.
func (s *server) keep(ctx context.Context, job, phrase string, entries ...entry.Entry) (string, error) {
	drafts := make([]record.Draft, len(entries))
	for i, e := range entries {
		drafts[i] = s.draft(job, phrase, e)
	}
	if _, err := s.cfg.Journal.Append(ctx, drafts...); err != nil {
		return "", err
	}
	return keptWords(entries), nil
}

func keptWords(entries []entry.Entry) string {
	told := make([]string, len(entries))
	for i, e := range entries {
		told[i] = meaning(e)
	}
	return "Kept: " + strings.Join(told, "; ") + "."
}

// problem is why a typed phrase was not kept, in words for the person who
// typed it.
type problem string

func (p problem) Error() string { return string(p) }

// parse reads a typed phrase. What is wrong with it comes back as a problem.
func (s *server) parse(typed string) ([]entry.Entry, error) {
	if strings.TrimSpace(typed) == "" {
		return nil, problem("Nothing was typed.")
	}
	entries, err := s.cfg.Parser.Parse(typed)
	if err != nil {
		return nil, problem(parseProblem(err))
	}
	for _, e := range entries {
		switch e.(type) {
		case entry.Question, entry.Control:
			return nil, problem("That is for the conversation, not for the journal: " + meaning(e) + ".")
		}
	}
	return entries, nil
}

// parseProblem says what was not understood, and what was probably meant.
func parseProblem(err error) string {
	var e *grammar.Error
	if !errors.As(err, &e) {
		return shown.Capital(err.Error())
	}
	text := shown.Capital(strings.TrimSuffix(e.Message, ".")) + "."
	for _, word := range e.Suggest {
		if !strings.Contains(e.Message, word) {
			return text + " Perhaps: " + join(e.Suggest, "or") + "."
		}
	}
	return text
}

// completed fills in what the phrase left out, as the dialogue would.
func completed(entries []entry.Entry, previous *entry.Point) ([]entry.Entry, error) {
	out := make([]entry.Entry, len(entries))
	for i, e := range entries {
		full, missing := entry.Complete(e, previous)
		if missing != entry.MissingNothing {
			return nil, problem(missingWords(missing, e))
		}
		if r, ok := full.(entry.Reading); ok {
			previous = &r.Point
		}
		out[i] = full
	}
	return out, nil
}

func missingWords(missing entry.Missing, e entry.Entry) string {
	if r, ok := e.(entry.Reading); ok && missing == entry.MissingSide {
		return fmt.Sprintf("Which side of the %s? Say dish side or receiver side.", pointWords(entry.Point{Element: r.Point.Element, Number: r.Point.Number}))
	}
	return "At which point was that? Say the element too."
}

// pointBefore is the point of the last reading before an entry.
func (c *jobCall) pointBefore(seq int64) *entry.Point {
	var p *entry.Point
	for _, r := range c.current {
		if reading, ok := r.Entry.(entry.Reading); ok && r.Seq < seq {
			p = &reading.Point
		}
	}
	return p
}

// correct takes a phrase that was typed again. The new entries take the place
// of the old ones, which stay in the journal.
func (s *server) correct(w http.ResponseWriter, r *http.Request) error {
	c, p, done, err := s.deed(r)
	defer done()
	if err != nil {
		return err
	}
	typed := r.PostFormValue("phrase")
	refuse := func(status int, why string) error {
		return s.showEntries(w, r, c, trouble{status: status, entry: p.first, typed: typed, problem: why})
	}
	if why := meanwhile(r, p); why != "" {
		return refuse(http.StatusConflict, why)
	}
	if !p.correctable() {
		return refuse(http.StatusUnprocessableEntity, "This entry cannot be typed again.")
	}
	corrections, err := s.corrections(c, p, typed)
	var why problem
	if errors.As(err, &why) {
		return refuse(http.StatusUnprocessableEntity, string(why))
	}
	if err != nil {
		return err
	}
	kept, err := s.keep(r.Context(), c.number, typed, corrections...)
	if err != nil {
		return err
	}
	return s.back(w, r, fmt.Sprintf("%s/entries?at=%d", base(c.number), p.first), kept)
}

// deed reads the form of what is done to a phrase. One is done at a time: done
// lets the next begin.
func (s *server) deed(r *http.Request) (c *jobCall, p phrase, done func(), err error) {
	s.deeds.Lock()
	if err := r.ParseForm(); err != nil {
		return nil, p, s.deeds.Unlock, err
	}
	c, p, err = s.phraseOf(r.Context(), r)
	return c, p, s.deeds.Unlock, err
}

// meanwhile says that somebody else corrected the phrase since the form was
// shown; "" when nobody did.
func meanwhile(r *http.Request, p phrase) string {
	seen, err := strconv.ParseInt(r.PostFormValue("seen"), 10, 64)
	if err == nil && !p.changedSince(seen) {
		return ""
	}
	return "This was corrected elsewhere meanwhile; above is how it stands now. What you typed is still here: press Keep if it should count instead."
}

// corrections turns a phrase typed again into entries.
func (s *server) corrections(c *jobCall, p phrase, typed string) ([]entry.Entry, error) {
	seqs, standing := p.standing()
	entries, err := s.parse(typed)
	if err != nil || partial(entries) {
		if change, ok := s.answer(typed, standing); ok {
			return p.changed(seqs[0], change), nil
		}
	}
	if err != nil {
		return nil, err
	}
	if k, ok := entries[0].(entry.Correction); ok {
		if len(entries) > 1 || k.Verb != "change" || len(seqs) > 1 {
			return nil, problem("Type the whole phrase as it should be.")
		}
		return p.changed(seqs[0], k), nil
	}
	entries, err = completed(entries, c.pointBefore(p.first))
	if err != nil {
		return nil, err
	}
	return replacements(seqs, standing, p, entries)
}

// partial reports whether a phrase is only a part of one: figures or a verdict
// without a point, or a point alone.
func partial(entries []entry.Entry) bool {
	if len(entries) != 1 {
		return false
	}
	switch e := entries[0].(type) {
	case entry.Place:
		return true
	case entry.Reading:
		return e.Point == entry.Point{}
	}
	return false
}

// changed names the entry that a correction is of; one that was unconfirmed
// is right with it.
func (p phrase) changed(seq int64, k entry.Correction) []entry.Entry {
	k.Entry = seq
	for _, v := range p.view {
		if v.SupersededBy == 0 && v.Unconfirmed {
			return []entry.Entry{k, entry.Correction{Verb: "confirm", Entry: seq}}
		}
	}
	return []entry.Entry{k}
}

// answer reads a correction that is only the wrong part said right: a value,
// a verdict, a point, for a phrase that is one reading.
func (s *server) answer(typed string, standing [][]entry.Entry) (entry.Correction, bool) {
	if len(standing) != 1 || len(standing[0]) != 1 || standing[0][0].Kind() != entry.KindReading {
		return entry.Correction{}, false
	}
	a, err := s.cfg.Parser.ParseAnswer(typed)
	if err != nil {
		return entry.Correction{}, false
	}
	k := entry.Correction{Verb: "change"}
	switch {
	case a.Verdict != "":
		k.Verdict = a.Verdict
	case a.Point != nil:
		k.Point = a.Point
	case a.Value.Said() && a.Value.Sign() > 0:
		k.Level, k.Assumed = a.Value.Neg(), []string{"sign"}
	case a.Value.Said():
		k.Level = a.Value
	default:
		return k, false
	}
	return k, true
}

// replacements puts new entries in the place of old ones: one for one where
// there are as many, and only where they differ; else all in the place of the
// first.
func replacements(seqs []int64, standing [][]entry.Entry, p phrase, entries []entry.Entry) ([]entry.Entry, error) {
	unconfirmed := map[int64]bool{}
	for _, v := range p.view {
		unconfirmed[v.Seq] = unconfirmed[v.Seq] || v.SupersededBy == 0 && v.Unconfirmed
	}
	var out []entry.Entry
	if len(entries) == len(seqs) {
		for i, seq := range seqs {
			switch {
			case !reflect.DeepEqual(standing[i], entries[i:i+1]):
				out = append(out, entry.Correction{Verb: "change", Entry: seq, Replace: entries[i : i+1]})
			case unconfirmed[seq]:
				out = append(out, entry.Correction{Verb: "confirm", Entry: seq})
			}
		}
		if len(out) == 0 {
			return nil, problem("That is what the entry says already.")
		}
		return out, nil
	}
	out = append(out, entry.Correction{Verb: "change", Entry: seqs[0], Replace: entries})
	for _, seq := range seqs[1:] {
		out = append(out, entry.Correction{Verb: "scratch", Entry: seq})
	}
	return out, nil
}

// confirm says that a phrase was heard right.
func (s *server) confirm(w http.ResponseWriter, r *http.Request) error {
	return s.amend(w, r, "confirm")
}

// scratch takes a phrase back.
func (s *server) scratch(w http.ResponseWriter, r *http.Request) error {
	return s.amend(w, r, "scratch")
}

func (s *server) amend(w http.ResponseWriter, r *http.Request, verb string) error {
	c, p, done, err := s.deed(r)
	defer done()
	if err != nil {
		return err
	}
	if why := meanwhile(r, p); why != "" {
		return s.showEntries(w, r, c, trouble{status: http.StatusConflict, entry: p.first, typed: p.view[0].Phrase, problem: why})
	}
	if verb == "confirm" && !p.whole() {
		return s.showEntries(w, r, c, trouble{status: http.StatusUnprocessableEntity, entry: p.first, typed: p.view[0].Phrase, problem: "Something is missing from it: type the phrase again, whole."})
	}
	if !p.scratchable() {
		return failure{status: http.StatusUnprocessableEntity, title: "That stands", text: "This entry tells of something that happened in the journal itself. It cannot be taken back."}
	}
	var entries []entry.Entry
	seqs, _ := p.standing()
	for _, seq := range seqs {
		entries = append(entries, entry.Correction{Verb: verb, Entry: seq})
	}
	kept, err := s.keep(r.Context(), c.number, "", entries...)
	if err != nil {
		return err
	}
	return s.back(w, r, fmt.Sprintf("%s/entries?at=%d", base(c.number), p.first), kept)
}
