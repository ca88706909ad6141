package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What was wrong, and what was done about it, said of one part.

// remedied reads a part, that it was bad, and the deed: "the splitter was bad so I
// swapped it out", "found a bad fitting and replaced it". What was bad is no
// reading of now: it stays in the remark of the deed.
func (t *talker) remedied() bool {
	from := t.i
	found := t.take(vocab.Found)
	o, ok := t.part()
	if !ok || len(o.others) > 0 || o.plural && o.Element == entry.Receiver {
		return false
	}
	d := deed{objects: []object{o}}
	for t.is(vocab.At, vocab.On, vocab.Behind, vocab.In) && t.circumstance(&d) {
	}
	if t.take(vocab.Was) {
		found = t.wasBad(o)
	} else {
		found = found && o.remark != ""
	}
	said := t.words(from, t.i)
	if !found || !t.is(vocab.And) && !(t.i < len(t.toks) && t.toks[t.i].Brk) {
		return false
	}
	t.take(vocab.And)
	at := d.At
	d = deed{Action: entry.Action{At: at}}
	if !t.verbs(&d) {
		return false
	}
	t.particle(&d)
	t.oneMore(&d)
	if !d.newOne && !t.pointsBack() {
		return false
	}
	t.particle(&d)
	o.remark = ""
	d.objects = []object{o}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	d.Remark = entry.List(said, d.Remark)
	return t.act(&d)
}

// wasBad takes what was wrong with a part.
func (t *talker) wasBad(o object) bool {
	for t.take(vocab.Degree) {
	}
	switch {
	case t.is(vocab.Verdict) && t.toks[t.i].Means() == string(entry.Fail), t.is(vocab.NoSignal, vocab.Condition, vocab.Soft):
	case t.is(vocab.Particle, vocab.Output, vocab.Old) && (o.Element == entry.Dish || t.is(vocab.Old)): // "was off"
		if t.i++; t.is(vocab.Side, vocab.Facet) {
			t.i++
		}
		return true
	case t.is(vocab.Side) && o.Element == entry.Dish && t.isAt(t.i+1, vocab.Facet): // "was out of alignment"
		t.i++
	default:
		return false
	}
	t.i++
	return true
}

// pointsBack reports that the verb just read has "it" or "them" behind it, or
// nothing: what it was done to was said before.
func (t *talker) pointsBack() bool {
	behind := strings.Fields(t.skipped(t.i))
	return t.atEnd() || slices.Contains(behind, "it") || slices.Contains(behind, "them")
}
