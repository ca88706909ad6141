package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Further ways to tell how the path goes.

// putOn reads where a receiver was put, told with its cable, which makes it a path:
// "put receiver three on splitter output three, garage, 55 feet".
func (t *talker) putOn() bool {
	if !t.is(vocab.Put) || t.toks[t.i].Row.Say != "put" || !t.isAt(t.i+1, vocab.Element) || t.toks[t.i+1].Means() != string(entry.Receiver) {
		return false
	}
	n := len(t.entries)
	if t.i++; !t.hung() {
		return false
	}
	p, ok := t.entries[n].(entry.Path)
	return ok && len(p.Elements) == 3
}

// jumpered reads the jumper of a receiver and its length: "receiver one's jumper is
// six feet", "receiver one has a six foot jumper", "the jumper at receiver one is six
// feet".
func (t *talker) jumpered() bool {
	if t.is(vocab.Element) && t.toks[t.i].Means() == string(entry.Jumper) {
		t.i++
		if !t.take(vocab.At, vocab.On, vocab.For, vocab.Behind, vocab.To) {
			return false
		}
		return t.jumperOf(false)
	}
	return t.jumperOf(true)
}

// jumperOf takes the receiver, and, where it comes first, the jumper.
func (t *talker) jumperOf(first bool) bool {
	e, ok := t.end()
	if !ok || e.Element != entry.Receiver {
		return false
	}
	from := t.i
	jumper := entry.PathElement{Element: entry.Jumper}
	if first && t.is(vocab.Element) && t.toks[t.i].Means() == string(entry.Jumper) {
		t.i++
		from = t.i
	} else if first && !t.has(from) {
		return false
	}
	run, ok := t.run()
	if !ok || !run.LengthFt.Said() || first && from == t.i || run.Element == entry.Cable && first && t.has(from) {
		return false
	}
	if t.is(vocab.Particle) && t.toks[t.i].Row.Say == "long" {
		t.i++
	}
	jumper.LengthFt, jumper.Cable = run.LengthFt, run.Cable
	t.entries = append(t.entries, entry.Path{Verb: "before", Elements: []entry.PathElement{jumper, e}})
	return true
}

// has reports that "has" stands before token i.
func (t *talker) has(i int) bool {
	return slices.ContainsFunc(strings.Fields(t.skipped(i)), func(w string) bool {
		return w == "has" || w == "have" || w == "got" || w == "with"
	})
}

// beyond reads a part so far along from another: "thirty feet past the ground block
// there's a splitter".
func (t *talker) beyond() bool {
	t.take(vocab.About)
	run, ok := t.run()
	if !ok || !run.LengthFt.Said() || run.Element != entry.Cable {
		return false
	}
	for t.is(vocab.Particle, vocab.On, vocab.Runs) {
		t.i++
	}
	if !t.take(vocab.After, vocab.From) {
		return false
	}
	a, ok := t.end()
	if !ok {
		return false
	}
	is := strings.Contains(t.skipped(t.i), "is") || strings.Contains(t.skipped(t.i), "there")
	if t.is(vocab.Found) && t.toks[t.i].Means() != "looks" {
		is = true
		t.i++
	}
	if t.sits(); !is && !t.isAt(t.i-1, vocab.Sits) {
		return false
	}
	b, ok := t.end()
	if !ok || a.Element == entry.Receiver || b.Element == entry.Dish {
		return false
	}
	t.path(entry.Path{Elements: []entry.PathElement{a, run, b}})
	return true
}

// existing reads that there is a part, and in which room: "there's a splitter in the
// attic", "they have a TV in the den and one in the bedroom".
func (t *talker) existing() bool {
	if !t.exists() {
		return false
	}
	var p entry.Path
	for {
		e := entry.PathElement{}
		switch {
		case len(p.Elements) > 0 && t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Index) && t.number(&t.toks[t.i]) == 1: // "and one in the kitchen"
			e = entry.PathElement{Element: p.Elements[0].Element}
			t.i++
		case len(p.Elements) > 0 && t.is(vocab.In) && strings.Contains(t.skipped(t.i), "one"):
			e = entry.PathElement{Element: p.Elements[0].Element}
		case len(p.Elements) > 0 && t.is(vocab.Thing) && strings.HasPrefix(t.toks[t.i].Row.Say, "another"):
			e = entry.PathElement{Element: p.Elements[0].Element}
			t.i++
		default:
			ways := 0
			if t.take(vocab.Ways) {
				ways = t.number(t.last())
			}
			if !t.is(vocab.Element) || t.toks[t.i].Row.Plural {
				return false
			}
			e = entry.PathElement{Element: entry.Element(t.toks[t.i].Means()), Ways: ways}
			t.i++
		}
		if !e.Element.InPath() || e.Element == entry.Fitting || e.Element == entry.Dish || e.Element == entry.LNB || e.Element == entry.Jumper {
			return false
		}
		t.sits()
		if t.take(vocab.Particle); !t.take(vocab.In) && !t.isAt(t.i, vocab.Room) || !t.is(vocab.Room, vocab.Numbered) {
			return false
		}
		var at pointParts
		t.room(&at)
		e.Room = at.Room
		p.Elements = append(p.Elements, e)
		i := t.i
		if !t.take(vocab.And) || !t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Index, vocab.Thing) && !(t.is(vocab.In) && strings.Contains(t.skipped(t.i), "one")) {
			t.i = i
			break
		}
	}
	t.entries = append(t.entries, p)
	return true
}

// exists takes what says that there is something: "there's", "they have".
func (t *talker) exists() bool {
	switch {
	case t.is(vocab.Subject):
		switch t.toks[t.i].Row.Say {
		case "they have", "he has", "she has", "house has", "customer has", "homeowner has":
			t.i++
			return true
		}
		return false
	case t.is(vocab.Found) && t.toks[t.i].Means() != "looks":
		t.i++
		return true
	}
	said := strings.Fields(t.skipped(t.i))
	return slices.ContainsFunc(said, func(w string) bool {
		return w == "there" || w == "there's" || w == "there’s" || w == "theres" || w == "have"
	})
}

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
