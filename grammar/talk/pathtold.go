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
