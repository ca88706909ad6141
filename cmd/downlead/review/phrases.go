package review

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"downlead/capture"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// phrase is the entries that one phrase made, as they count now.
type phrase struct {
	first, last int64
	view        []record.Viewed
}

// phrases puts the view of a job back into the phrases it was said in.
func phrases(view []record.Viewed) []phrase {
	var out []phrase
	for _, v := range view {
		if n := len(out); n > 0 && together(out[n-1].view[0].Record, v.Record) {
			out[n-1].view = append(out[n-1].view, v)
			out[n-1].last = v.Seq
			continue
		}
		out = append(out, phrase{first: v.Seq, last: v.Seq, view: []record.Viewed{v}})
	}
	return out
}

func together(a, b record.Record) bool {
	return a.Seq == b.Seq || a.Phrase != "" && a.Phrase == b.Phrase && a.Origin == b.Origin && a.At.Equal(b.At) && a.Clip == b.Clip
}

// gone reports that nothing of the phrase counts any more.
func (p phrase) gone() bool {
	return !slices.ContainsFunc(p.view, func(v record.Viewed) bool { return v.SupersededBy == 0 })
}

// standing returns the seqs of the phrase that still stand, each with what
// stands there: an entry that was replaced by several has several.
func (p phrase) standing() (seqs []int64, entries [][]entry.Entry) {
	for _, v := range p.view {
		if v.SupersededBy != 0 {
			continue
		}
		if n := len(seqs); n > 0 && seqs[n-1] == v.Seq {
			entries[n-1] = append(entries[n-1], v.Entry)
			continue
		}
		seqs, entries = append(seqs, v.Seq), append(entries, []entry.Entry{v.Entry})
	}
	return seqs, entries
}

// whole reports that nothing is missing from what stands, so that it can be
// confirmed as it is.
func (p phrase) whole() bool {
	return !slices.ContainsFunc(p.view, func(v record.Viewed) bool {
		_, missing := entry.Complete(v.Entry, nil)
		return v.SupersededBy == 0 && missing != entry.MissingNothing
	})
}

// changedSince reports that a correction later than seq reached the phrase.
func (p phrase) changedSince(seq int64) bool {
	return slices.ContainsFunc(p.view, func(v record.Viewed) bool {
		return v.SupersededBy > seq || slices.ContainsFunc(v.CorrectedBy, func(by int64) bool { return by > seq })
	})
}

// correctable reports that the phrase can be typed again. What happened in
// the journal itself cannot, and what a correction did is undone by
// scratching the correction.
func (p phrase) correctable() bool {
	switch e := p.view[0].Entry.(type) {
	case entry.Correction, entry.Closeout, entry.Purge, entry.Photo:
		return false
	case entry.Job:
		return e.Verb == "complaint"
	}
	return !p.gone()
}

// scratchable reports that the phrase can be taken back.
func (p phrase) scratchable() bool {
	if p.gone() {
		return false
	}
	switch p.view[0].Entry.(type) {
	case entry.Correction, entry.Photo:
		return true
	}
	return p.correctable()
}

// looker finds what a person should look at before the rest.
type looker struct {
	t         capture.Thresholds
	confirmed map[int64]bool
	contrary  map[int64]string
}

func (s *server) looker(c *jobCall) looker {
	l := looker{t: s.cfg.Thresholds, confirmed: map[int64]bool{}, contrary: map[int64]string{}}
	for _, r := range c.records {
		if k, ok := r.Entry.(entry.Correction); ok && k.Verb == "confirm" {
			l.confirmed[k.Entry] = true
		}
	}
	for _, k := range c.d.Contradictions {
		for _, seq := range k.Entries {
			l.contrary[seq] = k.Text
		}
	}
	return l
}

// toLook returns the phrases to look at first: those not understood, then
// those unconfirmed, then those perhaps misheard or contradicted.
func (s *server) toLook(c *jobCall) []phrase {
	l := s.looker(c)
	var ranked [4][]phrase
	for _, p := range phrases(c.view) {
		if rank, _ := l.why(p); rank >= 0 {
			ranked[rank] = append(ranked[rank], p)
		}
	}
	return slices.Concat(ranked[:]...)
}

// why says for what reason a phrase should be looked at; rank -1 means none.
func (l looker) why(p phrase) (rank int, words string) {
	rank = -1
	for _, v := range p.view {
		if v.SupersededBy != 0 {
			continue
		}
		at, why := l.whyEntry(v)
		if at >= 0 && (rank < 0 || at < rank) {
			rank, words = at, why
		}
	}
	return rank, words
}

func (l looker) whyEntry(v record.Viewed) (int, string) {
	if u, ok := v.Entry.(entry.Unparsed); ok {
		return 0, "Not understood: " + u.Reason + ". It counts for nothing until it is corrected."
	}
	if v.Unconfirmed {
		if _, missing := entry.Complete(v.Entry, nil); missing != entry.MissingNothing {
			return 1, missingWords(missing, v.Entry) + " It counts for nothing until it is corrected."
		}
		return 1, "Its question was not answered. It counts for nothing until you say that it is right, or correct it."
	}
	if text, ok := l.contrary[v.Seq]; ok {
		return 2, text
	}
	if len(v.CorrectedBy) > 0 || l.confirmed[v.Seq] || v.Heard == nil {
		return -1, ""
	}
	switch v.Entry.(type) {
	case entry.Question, entry.Note, entry.Correction:
		return -1, ""
	}
	if doubt := l.doubt(*v.Heard); doubt != "" {
		return 3, "Perhaps misheard: " + doubt + "."
	}
	return -1, ""
}

// doubt says what made the recogniser unsure, "" when it was sure. The scores
// are kept in hundredths.
func (l looker) doubt(h record.Heard) string {
	if h.Confidence > 0 {
		if h.Confidence >= surely {
			return ""
		}
		return fmt.Sprintf("it was sure to %d %% only", h.Confidence/100)
	}
	is := func(v int, least float64) bool { return float64(v)/100 < least }
	switch {
	case is(h.Margin, l.t.Margin):
		return "another number is nearly as likely"
	case is(h.SNR, l.t.SNR):
		return "it was noisy"
	case is(h.Grammar, l.t.Grammar), is(h.Ratio, l.t.Ratio), is(h.WorstWord, l.t.WorstWord):
		return "the words were not clear"
	}
	return ""
}

// surely is the confidence from which a phrase is taken without a question at
// the usual costs, in hundredths of a per cent.
const surely = 9950

// sure says in words how sure the recogniser was.
func (l looker) sure(h *record.Heard) string {
	if h == nil {
		return ""
	}
	if h.Confidence > 0 {
		return fmt.Sprintf("Heard, %d %%.", h.Confidence/100)
	}
	if doubt := l.doubt(*h); doubt != "" {
		return "Heard, but " + doubt + "."
	}
	return "Heard clearly."
}

// phraseData is a phrase on the page.
type phraseData struct {
	Anchor, Machine, At, Seqs, How, Words, Sure, Clip, Why string
	Gone, Correct, Retype, Confirm, Open                   bool
	Meanings                                               []meaningData
	Action, Typed, Problem, Field                          string
	Seen                                                   int64
}

type meaningData struct {
	ID, Verdict, Text, Extra, ByLink string
	Gone, Changed, Same              bool
	By                               int64
}

func (l looker) data(c *jobCall, p phrase) phraseData {
	first := p.view[0]
	t := local(first.Record)
	d := phraseData{
		Anchor: fmt.Sprintf("entry-%d", p.first), Machine: t.Format(time.RFC3339), At: t.Format("15:04"),
		Seqs: seqWords(p), How: howWords(first.Record), Words: first.Phrase, Sure: l.sure(first.Heard),
		Gone: p.gone(), Correct: p.scratchable(), Retype: p.correctable(),
		Action: fmt.Sprintf("%s/entry/%d", base(c.number), p.first), Typed: first.Phrase, Field: fmt.Sprint(p.first), Seen: c.last,
	}
	rank, why := l.why(p)
	d.Why, d.Confirm, d.Open = why, rank == 1 && p.whole() || rank == 3, rank == 0 || rank == 1 && !p.whole()
	if first.Clip != "" {
		d.Clip = base(c.number) + "/clip/" + first.Clip
	}
	for i, v := range p.view {
		m := meaningData{Text: inWords(v.Entry), Changed: len(v.CorrectedBy) > 0, Gone: v.SupersededBy != 0, By: v.SupersededBy}
		if i > 0 && v.Seq != p.view[i-1].Seq {
			m.ID = fmt.Sprintf("entry-%d", v.Seq)
		}
		if m.Gone {
			m.ByLink = fmt.Sprintf("%s/entries?at=%d#entry-%d", base(c.number), v.SupersededBy, v.SupersededBy)
		}
		m.Verdict, m.Extra = extra(v.Entry)
		if len(p.view) == 1 && !m.Changed && sameWords(first.Phrase, m.Text) {
			m.Text, m.Same = "", true // so that the others meet the eye
		}
		d.Meanings = append(d.Meanings, m)
	}
	return d
}

// sameWords reports that two phrases are the same but for case and commas.
func sameWords(a, b string) bool {
	strip := func(s string) string {
		return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' }), " ")
	}
	return strings.EqualFold(strip(a), strip(b))
}

// extra is what stands beside the meaning: the verdict's mark, and what was
// assumed.
func extra(e entry.Entry) (verdict, words string) {
	var assumed []string
	switch e := e.(type) {
	case entry.Reading:
		verdict, assumed = string(e.Verdict), e.Assumed
	case entry.Check:
		verdict, assumed = string(e.Verdict), e.Assumed
	case entry.Path:
		assumed = e.Assumed
	case entry.Action:
		assumed = e.Assumed
	}
	if len(assumed) > 0 {
		return verdict, "assumed: " + strings.Join(assumed, ", ")
	}
	return verdict, ""
}

func seqWords(p phrase) string {
	if p.first == p.last {
		return fmt.Sprint(p.first)
	}
	return fmt.Sprintf("%d to %d", p.first, p.last)
}

// howWords says how an entry came in and where its time is from.
func howWords(r record.Record) string {
	how := map[record.Origin]string{
		record.Typed: "typed", record.Voice: "heard", record.Imported: "from a recording",
		record.Reviewed: "typed here", record.Tool: "made by the tool",
	}[r.Origin]
	if r.Origin == record.Reviewed && r.Phrase == "" {
		how = "by a button here"
	}
	switch r.TimeSource {
	case record.FromGiven:
		how += ", time as given"
	case record.FromRecording:
		how += ", time of the recording"
	case record.FromEdit:
		how += ", time edited"
	}
	return how
}
