package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// A part that lies between, after or before others.

// inserted reads a part that lies between, after or before others: "found a
// diplexer hiding between the LNB and the ground block", "after the ground block
// there's a four way splitter", "somebody put a barrel before receiver two".
func (t *talker) inserted() bool {
	from := t.i
	there := strings.Contains(t.skipped(t.i), "there")
	switch {
	case t.is(vocab.Found) && t.toks[t.i].Means() != "looks":
		t.i++
	case t.is(vocab.Agent) && t.isAt(t.i+1, vocab.Put):
		t.i += 2
	case t.is(vocab.Agent) && t.isAt(t.i+1, vocab.Has) && t.isAt(t.i+2, vocab.Put):
		t.i += 3
	}
	told := there || t.i > from
	var p entry.Path
	if t.relation(&p) { // the place first
		t.sits()
		e, ok := t.end()
		return ok && t.insert(p, e)
	}
	e, ok := t.run() // "a six foot jumper behind receiver two"
	if !ok || e.Element != entry.Jumper {
		if ok {
			return false
		}
		if e, ok = t.end(); !ok {
			return false
		}
	}
	if e.Element == entry.Jumper && e.LengthFt.Said() && t.takeTo() { // "six foot jumper to receiver one"
		b, ok := t.end()
		if !ok || b.Element != entry.Receiver && b.Element != entry.WallPlate {
			return false
		}
		t.entries = append(t.entries, entry.Path{Verb: "before", Elements: []entry.PathElement{e, b}})
		return b.Element == entry.Receiver
	}
	t.sits()
	behind := t.is(vocab.Behind)
	if !t.relation(&p) {
		return false
	}
	if e.Element == entry.Jumper && !e.LengthFt.Said() {
		if run, ok := t.run(); ok && run.Element == entry.Cable && run.LengthFt.Said() { // "the jumper behind receiver two is six feet"
			e.LengthFt = run.LengthFt
		}
	}
	// What was measured behind a receiver is none of the path.
	return (!behind || e.LengthFt.Said() || told) && t.insert(p, e)
}

// insert adds the path in which part e lies as p says.
func (t *talker) insert(p entry.Path, e entry.PathElement) bool {
	switch {
	case e.Element == entry.Receiver && (len(p.Elements) == 2 || p.Verb == "before"):
		return false // nothing lies beyond a receiver
	case len(p.Elements) == 2:
		p.Elements = []entry.PathElement{p.Elements[0], e, p.Elements[1]}
	case p.Verb == "before":
		p.Elements = []entry.PathElement{e, p.Elements[0]}
	default:
		p.Elements = append(p.Elements, e)
	}
	t.entries = append(t.entries, p)
	return true
}

// sits takes the verb that says that a part is somewhere.
func (t *talker) sits() {
	if t.is(vocab.In) && t.isAt(t.i+1, vocab.Cable, vocab.Path) && t.isAt(t.i+2, vocab.Between, vocab.After, vocab.Before) { // "in line between"
		t.i += 2
	}
	for t.is(vocab.Sits, vocab.Runs, vocab.Particle) || t.is(vocab.In) && t.isAt(t.i+1, vocab.Between, vocab.After, vocab.Before) || t.is(vocab.Degree, vocab.Put, vocab.Ran) && (t.toks[t.i].Row.Say == "hanging" || t.toks[t.i].Row.Say == "stuck") || t.is(vocab.Action) && (t.toks[t.i].Row.Say == "stuck in" || t.toks[t.i].Row.Say == "spliced in") {
		t.i++
	}
}

// relation takes "between a and b", "after a" or "before a".
func (t *talker) relation(p *entry.Path) bool {
	p.Verb = "insert"
	between, start := false, t.i
	switch {
	case t.take(vocab.Between):
		between = true
	case t.take(vocab.After):
	case t.is(vocab.On) && t.isAt(t.i+1, vocab.Side) && t.isAt(t.i+2, vocab.Element) && strings.HasSuffix(t.toks[t.i+1].Row.Say, " side"): // "on the receiver side of the ground block"
		if t.toks[t.i+1].Means() == string(entry.DishSide) {
			p.Verb = "before"
		}
		t.i += 2
	case t.take(vocab.Before), t.is(vocab.Behind) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].Means() == string(entry.Receiver) && t.take(vocab.Behind):
		p.Verb = "before"
	default:
		return false
	}
	a, ok := t.end()
	if !ok || p.Verb == "before" && a.Element == entry.Dish || p.Verb == "insert" && !between && a.Element == entry.Receiver {
		t.i = start
		return false
	}
	p.Elements = []entry.PathElement{a}
	if between {
		b, also := entry.PathElement{}, t.take(vocab.And)
		if b, ok = t.end(); !also || !ok {
			t.i = start
			return false
		}
		p.Elements = append(p.Elements, b)
		if a, b := a.Element.Rank(), b.Element.Rank(); a != entry.AnyRank && b != entry.AnyRank && a > b {
			slices.Reverse(p.Elements)
		}
	}
	return true
}
