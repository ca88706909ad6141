package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Which receivers there are, and in which rooms.

// housed reads which receiver is in which room, of one or several: "receiver one
// is in the den and receiver two is in the kitchen".
func (t *talker) housed() bool {
	var p entry.Path
	said := false // that it is there
	for {
		from := t.i
		list, is, ok := t.housing(p.Elements)
		if !ok {
			t.i = from
			break
		}
		said = said || is
		p.Elements = append(p.Elements, list...)
		i := t.i
		joined := t.take(vocab.And)
		if t.i >= len(t.toks) || !joined && !t.toks[t.i].Brk {
			t.i = i
			break
		}
	}
	if n := len(p.Elements); n == 0 || n == 1 && !said {
		return false
	}
	if i := t.i; i > 0 && t.isAt(i-1, vocab.And) {
		t.i--
	}
	t.entries = append(t.entries, p)
	return true
}

// housing takes receivers, or another part of the path, and their room. After
// others a number may stand for a receiver: "two is in the den".
func (t *talker) housing(before []entry.PathElement) (list []entry.PathElement, is, ok bool) {
	if len(before) > 0 && before[0].Number > 0 && t.is(vocab.Figure, vocab.Count, vocab.Digit) {
		e := entry.PathElement{Element: before[0].Element, Number: t.number(&t.toks[t.i])}
		t.i++
		t.take(vocab.Particle)
		if is = t.saysIs(t.i); t.take(vocab.In) {
			is = true
		}
		if !is || !t.is(vocab.Room, vocab.Numbered) {
			return nil, false, false
		}
		var at pointParts
		t.room(&at)
		e.Room = at.Room
		return []entry.PathElement{e}, true, true
	}
	e, numbers, is, ok := t.houses()
	if list = append(list, e); len(numbers) > 0 {
		list = list[:0]
		for _, n := range numbers {
			e.Number = n
			list = append(list, e)
		}
	}
	return list, is, ok
}

// houses takes one part of the path, or several of one kind, and the room.
func (t *talker) houses() (e entry.PathElement, numbers []int, is, ok bool) {
	ways := 0
	if t.take(vocab.Ways) {
		ways = t.number(t.last())
	}
	p, ok := t.point()
	if ok && p.Room == "main" && p.Element == entry.Receiver && t.is(vocab.In) {
		t.missing("which receiver is the main one? Say its number, such as: receiver one is in the den")
		return e, nil, false, false
	}
	if !ok || p.Element == "" || p.Which != "" && len(p.Which.Numbers()) == 0 || p.plural && p.Which == "" || p.Side != "" || !p.Element.InPath() || p.Element == entry.Fitting || p.Element == entry.Dish || p.Element == entry.LNB {
		return e, nil, false, false
	}
	if at := p.said[partRoom]; at >= 0 {
		is = t.saysIs(at) || t.isAt(at-1, vocab.In) && t.saysIs(at-1)
		if p.said[partElement] > at && p.Number != 0 { // "the den is receiver two"
			return entry.ElementOf(p.Point), nil, t.saysIs(p.said[partElement]) || strings.Contains(t.skipped(p.said[partElement]), "has"), true
		}
		if p.said[partElement] > at { // "the den box is receiver two"
			if p.Number != 0 || p.Element != entry.Receiver || !t.is(vocab.Element) || !t.saysIs(t.i) {
				return e, nil, false, false
			}
			q, also := t.point()
			if !also || q.Element != entry.Receiver || q.Number == 0 || q.Room != "" || q.Side != "" || q.Which != "" {
				return e, nil, false, false
			}
			p.Number, is = q.Number, true
		}
		return entry.ElementOf(p.Point), p.Which.Numbers(), is, true
	}
	if t.is(vocab.Verdict) && t.isAt(t.i+1, vocab.In) && t.isAt(t.i+2, vocab.Room, vocab.Numbered) && strings.HasSuffix(t.toks[t.i].Row.Say, " up") && strings.HasPrefix(t.toks[t.i].Row.Say, "is") { // "is up in the attic"
		t.i += 2
		t.room(&p)
		e = entry.ElementOf(p.Point)
		e.Ways = ways
		return e, p.Which.Numbers(), true, true
	}
	if t.words(t.i, t.i+1) == "room" && t.isAt(t.i+1, vocab.Room, vocab.Numbered) && t.saysIs(t.i+1) { // "receiver two's room is the sunroom"
		t.i++
		t.room(&p)
		return entry.ElementOf(p.Point), p.Which.Numbers(), true, true
	}
	if t.sits(); !t.isAt(t.i-1, vocab.Sits, vocab.Particle, vocab.Runs) || !t.take(vocab.In) {
		return e, nil, false, false
	}
	if !t.is(vocab.Room, vocab.Numbered) {
		return e, nil, false, false
	}
	t.room(&p)
	e = entry.ElementOf(p.Point)
	e.Ways = ways
	return e, p.Which.Numbers(), true, true
}

// saysIs reports that "is" stands before token i.
func (t *talker) saysIs(i int) bool {
	said := t.skipped(i)
	return strings.Contains(said, "'s") || strings.Contains(said, "’s") || slices.ContainsFunc(strings.Fields(said), func(w string) bool { return w == "is" || w == "are" })
}

// receivers reads how many receivers there are, and their rooms: "three
// receivers, living room, den and garage".
func (t *talker) receivers() bool {
	if t.is(vocab.Subject) {
		switch t.toks[t.i].Row.Say {
		case "they have", "he has", "she has", "house has", "customer has", "homeowner has":
			t.i++
		}
	} else if t.is(vocab.Found) && t.toks[t.i].Means() != "looks" {
		t.i++
	}
	n, from := 0, t.i
	if t.take(vocab.Count, vocab.Figure, vocab.Digit) {
		n = t.number(t.last())
	}
	if !t.is(vocab.Element) || t.toks[t.i].Means() != string(entry.Receiver) || !t.toks[t.i].Row.Plural && n != 1 {
		return false
	}
	t.i++
	if t.is(vocab.Tail) && strings.Contains(t.toks[t.i].Row.Say, "al") && n > 0 { // "total", "in all"
		t.i++
	}
	if t.is(vocab.In) && n == 0 && !t.saysIs(t.i) && from == t.i-1 && t.i == 1 {
		return false // "receivers in the den": nothing is said of them
	}
	var p entry.Path
	for t.i < len(t.toks) {
		if !t.aRoom(&p) {
			return false
		}
		i := t.i
		t.take(vocab.And)
		if t.i == i && t.i < len(t.toks) && !t.toks[i].Brk {
			return false
		}
	}
	switch have := len(p.Elements); {
	case have == 0:
		return false
	case n > 0 && have != n, n == 0 && have < 2:
		return t.missing("how many receivers, and in which rooms? Say: three receivers, living room, den and garage")
	}
	t.entries = append(t.entries, p)
	return true
}

// aRoom takes the room of one of several receivers: "one in the den", "den".
func (t *talker) aRoom(p *entry.Path) bool {
	if t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Index) && t.number(&t.toks[t.i]) == 1 {
		t.i++
	}
	t.take(vocab.Particle)
	t.take(vocab.In)
	if !t.is(vocab.Room, vocab.Numbered) {
		return false
	}
	var at pointParts
	t.room(&at)
	p.Elements = append(p.Elements, entry.PathElement{Element: entry.Receiver, Room: at.Room})
	return true
}

// outInRoom reports words that may say where a part is, or that it fails: "the
// box is out in the garage".
func (t *talker) outInRoom() bool {
	for i := t.i + 1; i+2 < len(t.toks) && !t.toks[i].Brk; i++ {
		if !t.isAt(i, vocab.Verdict) || !t.isAt(i+1, vocab.In) || !t.isAt(i+2, vocab.Room, vocab.Numbered) || !t.isAt(i-1, vocab.Element, vocab.Index) {
			continue
		}
		switch t.toks[i].Row.Say {
		case "is out", "are out", "down", "is down", "are down":
			return true
		}
	}
	return false
}

// roomOnOutput reads "den is out one": which splitter, and whether the receiver
// or the wall plate, is asked.
func (t *talker) roomOnOutput() bool {
	if !t.is(vocab.Room, vocab.Numbered) {
		return false
	}
	var p pointParts
	t.room(&p)
	if !t.take(vocab.Output) && !(t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "is out" && t.take(vocab.Verdict)) {
		return false
	}
	if !t.take(vocab.Index, vocab.Figure, vocab.Count, vocab.Digit) || !t.atEnd() {
		return false
	}
	return t.missing("on which splitter, and is it the receiver or the wall plate? Say: den receiver on splitter output one")
}

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

// some takes "both", "all", "all four", "the other".
func (t *talker) some(p *pointParts) bool {
	k := &t.toks[t.i]
	i := t.i + 1
	if j := i; t.isAt(j, vocab.Output) || t.isAt(j, vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(j+1, vocab.Output) { // "both outputs"
		return t.missing("which outputs? Say their numbers, such as: splitter outputs one and two good")
	}
	which := entry.Which(k.Means())
	if which == entry.WhichOthers && t.place.Side != "" && p.Side == "" && k.Row.Say == "other" && t.isAt(t.i-1, vocab.On, vocab.At) && (i >= len(t.toks) || t.isAt(i, vocab.And) || t.toks[i].Brk) { // "minus 41 on the other"
		t.putSide(p, across(t.place.Side))
		return true
	}
	if which == entry.WhichAll && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].Value.String())
		i++
	}
	if which == entry.WhichOthers && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].Value.String())
		i++
	}
	if t.isAt(i, vocab.Room, vocab.Numbered) || !t.isAt(i, vocab.Element) || entry.Element(t.toks[i].Means()) != entry.Receiver {
		return false
	}
	switch which {
	case "neither":
		which, p.none = entry.WhichBoth, true
	case "none":
		which, p.none = entry.WhichAll, true
	}
	if which == entry.WhichOthers && !t.toks[i].Row.Plural && i == t.i+1 {
		which += " 1"
	}
	p.Which, t.i = which, i
	if t.isAt(i, vocab.Element) && t.toks[i].Row.Plural && t.isAt(i+1, vocab.Some) && t.toks[i+1].Row.Say == "all" && !t.toks[i+1].Brk { // "the other receivers all pass"
		t.toks = append(t.toks[:i+1:i+1], t.toks[i+2:]...)
	}
	return true
}

// rooms takes two rooms of one kind of part: "kitchen and den receivers".
func (t *talker) rooms(p *pointParts) bool {
	if p.Element != "" || p.Which != "" || !t.isAt(t.i, vocab.Room, vocab.Numbered) || !t.isAt(t.i+1, vocab.And) || !t.isAt(t.i+2, vocab.Room, vocab.Numbered) || !t.isAt(t.i+3, vocab.Element) || !t.toks[t.i+3].Row.Plural {
		return false
	}
	p.Which, p.inRooms = whichRooms, []string{t.toks[t.i].Means(), t.toks[t.i+2].Means()}
	p.Element, p.said[partElement] = entry.Element(t.toks[t.i+3].Means()), t.i+3
	if t.i += 4; t.is(vocab.Some) && t.toks[t.i].Means() == string(entry.WhichBoth) {
		t.i++
	}
	return true
}

func (t *talker) room(p *pointParts) {
	k := &t.toks[t.i]
	p.Room, p.said[partRoom] = k.Means(), t.i
	t.i++
	if (p.Room == "upstairs" || p.Room == "downstairs") && t.is(vocab.In) && t.isAt(t.i+1, vocab.Room, vocab.Numbered) { // "upstairs in the bedroom"
		t.i++
	}
	if (p.Room == "upstairs" || p.Room == "downstairs" || p.Room == "basement") && t.is(vocab.Room, vocab.Numbered) && !t.toks[t.i].Brk { // "the upstairs bedroom"
		k = &t.toks[t.i]
		p.Room = entry.Join(p.Room, k.Means())
		t.i++
	}
	if k.Class == vocab.Numbered && t.take(vocab.Index) {
		p.Room = entry.Join(p.Room, t.last().Value.String())
	}
}
