package dialogue

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
)

// either is the other thing that a doubtful reading may have been.
type either struct {
	words   string // of the phrase, as heard
	rival   string // the phrase that it may have been
	reading entry.Reading
}

// otherwise is what a doubtful phrase of one reading may have been instead, and
// the question that names the two: "forty one, or thirty one?". It is nil where
// the two differ in more than an answer can tell.
func (s *Session) otherwise(p Phrase, said entry.Entry, previous *entry.Point) (*either, string) {
	own, ok := said.(entry.Reading)
	entries, err := s.Parser.Parse(p.Rival)
	if !ok || p.Rival == "" || err != nil || len(entries) != 1 {
		return nil, ""
	}
	completed, missing := entry.Complete(entries[0], previous)
	other, ok := completed.(entry.Reading)
	if !ok || missing != "" || !answerable(own, other) {
		return nil, ""
	}
	a, b, ok := apart(p.Text, p.Rival)
	if !ok {
		return nil, ""
	}
	return &either{p.Text, p.Rival, other}, strings.TrimSuffix(sentence(a+", or "+b), ".") + "?"
}

// answerable reports that two readings differ in one thing that an answer can
// name: the level, the verdict or the point.
func answerable(a, b entry.Reading) bool {
	differ := 0
	for _, same := range []bool{a.Level == b.Level, a.Verdict == b.Verdict, a.Point == b.Point} {
		if !same {
			differ++
		}
	}
	b.Level, b.Verdict, b.Point, b.Assumed = a.Level, a.Verdict, a.Point, a.Assumed
	return differ == 1 && entry.Say(a) == entry.Say(b)
}

// apart are the words in which two phrases differ, whole numbers with them;
// ok is false where that is much, or nothing on one side.
func apart(text, rival string) (a, b string, ok bool) {
	x, y := strings.Fields(text), strings.Fields(rival)
	from, end := 0, 0
	for from < min(len(x), len(y)) && x[from] == y[from] {
		from++
	}
	for end < min(len(x), len(y))-from && x[len(x)-1-end] == y[len(y)-1-end] {
		end++
	}
	number := func(word string) bool { return slices.Contains(numberWords(), word) }
	inNumber := slices.ContainsFunc(slices.Concat(x[from:len(x)-end], y[from:len(y)-end]), number)
	for inNumber && from > 0 && number(x[from-1]) {
		from--
	}
	for inNumber && end > 0 && number(x[len(x)-end]) {
		end--
	}
	x, y = x[from:len(x)-end], y[from:len(y)-end]
	const most = 6
	ok = len(x) > 0 && len(y) > 0 && len(x) <= most && len(y) <= most
	return strings.Join(x, " "), strings.Join(y, " "), ok
}

// numberWords are the words that numbers are made of.
func numberWords() []string {
	return strings.Fields("zero oh one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen " +
		"sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred point")
}

// settled turns an answer that names one of the two into entries; ok is false
// for any other answer, "yes" among them.
func (o *either) settled(q question, a entry.Answer) (entries []entry.Entry, ok bool) {
	own := q.record.Entry.(entry.Reading)
	names := func(r entry.Reading) bool {
		switch {
		case a.Value.Said():
			return own.Level != o.reading.Level && (a.Value == r.Level || a.Value.Neg() == r.Level)
		case a.Verdict != "":
			return own.Verdict != o.reading.Verdict && a.Verdict == r.Verdict
		case a.Point != nil:
			return own.Point != o.reading.Point && merged(r.Point, *a.Point) == r.Point
		}
		return false
	}
	first, second := a.Choice == 1 || names(own), a.Choice == 2 || names(o.reading)
	switch {
	case first == second: // neither, or both
		return nil, false
	case first:
		return q.each("confirm"), true
	}
	return o.instead(q), true
}

// instead changes the record to what it may have been.
func (o *either) instead(q question) []entry.Entry {
	change := entry.Correction{Verb: "change", Entry: q.record.Seq}
	own := q.record.Entry.(entry.Reading)
	switch {
	case own.Level != o.reading.Level:
		change.Level = o.reading.Level
	case own.Verdict != o.reading.Verdict:
		change.Verdict = o.reading.Verdict
	default:
		change.Point = &o.reading.Point
	}
	return q.changed(change)
}

// repeated takes a phrase that was said once more for the answer to the
// question about it: heard twice alike, it is what was said.
func (s *Session) repeated(p Phrase) (entries []entry.Entry, ok bool) {
	if len(s.asked) == 0 || s.asked[0].kind != askWords {
		return nil, false
	}
	q := s.asked[0]
	switch meaning := s.Parser.Meaning(p.Text); {
	case meaning == s.Parser.Meaning(q.record.Phrase):
		return q.each("confirm"), true
	case q.or != nil && meaning == s.Parser.Meaning(q.or.rival):
		return q.or.instead(q), true
	}
	return nil, false
}

// repeatable are the phrases that may be said again to answer the open question.
func (s *Session) repeatable() []string {
	if len(s.asked) == 0 || s.asked[0].kind != askWords {
		return nil
	}
	out := []string{s.asked[0].record.Phrase}
	if or := s.asked[0].or; or != nil {
		out = append(out, or.rival)
	}
	return out
}
