package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What more is seen of a part.

// andConditions takes further conditions of a part: "rusted and loose". Those of
// one meaning are one sighting.
func (t *talker) andConditions(s *entry.Sighting) []entry.Sighting {
	var more []entry.Sighting
	for t.is(vocab.And) {
		i := t.i
		t.i++
		next := entry.Sighting{Element: s.Element, Number: s.Number, Room: s.Room, Assumed: s.Assumed}
		t.take(vocab.Was)
		if t.degree(&next); !t.take(vocab.Condition) {
			t.i = i
			break
		}
		k := t.last()
		if seeCondition(&next, k); next.Condition == "" || t.is(vocab.Element, vocab.Cable, vocab.Bolt) { // of another part
			t.i = i
			break
		}
		if next.Condition == s.Condition {
			s.Remark = entry.List(s.Remark, entry.OrElse(next.Remark, k.Row.Say))
			continue
		}
		more = append(more, next)
	}
	return more
}

// andStuff reads what else is found on the part just seen: "dish is dinged up,
// got a dent on the bottom lip". What is of the same meaning adds to its remark.
func (t *talker) andStuff() bool {
	n := len(t.entries)
	if n == 0 {
		return false
	}
	s, ok := t.entries[n-1].(entry.Sighting)
	if !ok {
		return false
	}
	next := entry.Sighting{Element: s.Element, Number: s.Number, Room: s.Room, At: s.At}
	from := t.i
	t.take(vocab.Has)
	said := t.i
	if !t.is(vocab.Stuff) {
		t.degree(&next)
	}
	if t.is(vocab.Condition) && from == t.i-len(strings.Fields(next.Remark)) {
		return t.andIs(&s, &next)
	}
	if !t.take(vocab.Stuff) {
		return false
	}
	stuff := t.last()
	if strings.HasSuffix(strings.TrimRight(strings.ToLower(t.phrase), ". "), " it") { // "staple has gone through it"
		t.lies(&next)
	}
	if seeCondition(&next, stuff); next.Condition != s.Condition && !(t.i-from > 1 || strings.Contains(t.skipped(from), "got")) {
		return false
	}
	if t.onIt(); !t.atEnd() {
		t.whereSeen(&next)
	}
	if !t.atEnd() {
		return false
	}
	if next.Condition == s.Condition {
		s.Remark = entry.List(s.Remark, t.words(said, t.i))
		t.entries = append(t.entries[:n-1:n-1], s)
		return true
	}
	t.entries = append(t.entries, next)
	return true
}

// andIs reads what else the part just seen is: "lawnmower got the cable, it's
// sliced".
func (t *talker) andIs(s, next *entry.Sighting) bool {
	n, from := len(t.entries), t.i
	said := strings.Fields(t.skipped(from - len(strings.Fields(next.Remark))))
	if !slices.ContainsFunc(said, func(w string) bool {
		return w == "it" || w == "its" || w == "it's" || w == "it’s" || strings.HasPrefix(w, "they") || w == "is" || w == "are"
	}) {
		return false
	}
	k := &t.toks[t.i]
	t.i++
	if seeCondition(next, k); next.Condition == "" || k.Means() == "missing" {
		return false
	}
	if t.whereSeen(next); !t.atEnd() {
		return false
	}
	if next.Condition == s.Condition {
		s.Remark = entry.List(s.Remark, next.Remark)
		t.entries = append(t.entries[:n-1:n-1], *s)
		return true
	}
	t.entries = append(t.entries, *next)
	return true
}

// onIt takes where on the part that was named something is: "rust all over it", "a
// staple through it".
func (t *talker) onIt() {
	i := t.i
	switch {
	case t.is(vocab.Tail) && t.toks[i].Row.Say == "on it":
		t.i++
	case t.is(vocab.In, vocab.On, vocab.Through):
		t.i++
	case t.is(vocab.Some) && t.words(i, i+2) == "all over":
		t.i += 2
	}
	if t.i > i && t.i < len(t.toks) && !t.toks[t.i].Brk && !t.is(vocab.And) {
		t.i = i
	}
}
