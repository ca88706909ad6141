package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Where somebody stands.

// whereabouts takes how one came to a place, before it: "down in the basement at
// the splitter", "outside now, at the ground block".
func (t *talker) whereabouts() {
	i := t.i
	for t.isAt(i, vocab.Particle, vocab.Output) || t.isAt(i, vocab.Force) && strings.HasPrefix(t.toks[i].Row.Say, "out") || t.isAt(i, vocab.In) && t.isAt(i+1, vocab.At, vocab.Behind, vocab.To) {
		i++
	}
	if i > t.i && (t.isAt(i, vocab.At, vocab.Behind) || t.isAt(i, vocab.In) && t.isAt(i+1, vocab.Room, vocab.Numbered)) {
		t.i = i
	}
}

// standing reads where somebody stands, and no more.
func (t *talker) standing() bool {
	start := t.i
	working := t.i+1 < len(t.toks) && t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "working" && t.isAt(t.i+1, vocab.On, vocab.At) && t.isAt(t.i+2, vocab.Element) && t.toks[t.i+2].Means() != string(entry.Receiver) // "working on the splitter"
	if working {
		t.i++
	}
	for t.take(vocab.Stand) {
	}
	if t.i > start || t.i == 0 {
		t.whereabouts()
	}
	if t.i == start && !(t.i == 0 && t.is(vocab.At, vocab.Behind, vocab.In)) {
		return false
	}
	room := t.is(vocab.In)
	t.take(vocab.At, vocab.On)
	if t.is(vocab.Side) && strings.HasPrefix(t.toks[t.i].Row.Say, "out of") {
		return false // "we're out of splitters"
	}
	p, ok := t.point()
	if room && p.said[partRoom] > p.said[partElement] {
		return false
	}
	if !ok || p.Element == "" || p.Which != "" || !p.Element.InPath() || p.Element == entry.Fitting {
		return false
	}
	if i := t.i; t.atEnd() && i < len(t.toks) { // what was measured there may follow
		if t.is(vocab.And) {
			i++
		}
		if t.goesOn(i) && !t.startsPlace(i) {
			return false
		}
	}
	t.entries = append(t.entries, entry.Place{Point: p.Point})
	t.place = p.Point
	return true
}
