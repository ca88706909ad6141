package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// How the path goes: runs of cable between parts, told in any order, and what
// feeds what.

// pathMaker puts a path together as it is told.
type pathMaker struct {
	entry.Path
	open entry.PathElement // a run whose far end has not been told
}

func (m *pathMaker) has() bool { return m.open.Element != "" }

// end closes the run that is open with the part at its far end.
func (m *pathMaker) end(e entry.PathElement) {
	if m.has() {
		m.Elements, m.open = append(m.Elements, m.open), entry.PathElement{}
	}
	m.Elements = append(m.Elements, e)
}

// laid reads runs of cable between parts: "twenty feet of R G six from the
// ground block to the splitter", "dish to ground block is eighty feet, then
// forty more to the wall plate".
func (t *talker) laid() bool {
	var m pathMaker
	run, first := t.run()
	t.takeRuns()
	t.take(vocab.From, vocab.Between)
	a, ok := t.end()
	if !ok {
		return false
	}
	m.end(a)
	t.takeRuns()
	if !first {
		run, first = t.run()
		t.takeRuns()
	}
	from := t.is(vocab.From)
	if !from && !t.takeTo() && !t.take(vocab.And) || from && !t.take(vocab.From) {
		return false
	}
	b, ok := t.end()
	if !ok {
		return false
	}
	if t.takeRuns(); !first || !run.LengthFt.Said() {
		more, told := t.run()
		if !told && run.Cable == "" || first && (more.Element != entry.Cable || run.Cable != "" && more.Cable != "") {
			return false
		}
		more.Cable = entry.OrElse(more.Cable, run.Cable)
		if run.Element == entry.Jumper {
			more.Element = entry.Jumper
		}
		run = more
	}
	if !run.LengthFt.Said() && run.Cable == "" {
		return false
	}
	m.open = run
	if from { // "the splitter is thirty feet from the ground block"
		m.Elements[0] = b
		b = a
	}
	m.end(b)
	for t.onward(&m) {
	}
	t.path(m.Path)
	return true
}

// onward takes the next run of a path and its far end: "then forty more to the
// wall plate".
func (t *talker) onward(m *pathMaker) bool {
	start := t.i
	t.take(vocab.And)
	if run, ok := t.run(); ok && run.LengthFt.Said() {
		if t.takeRuns(); t.takeTo() {
			if e, ok := t.end(); ok {
				m.open = run
				m.end(e)
				return true
			}
		}
	}
	t.i = start
	if t.take(vocab.And); t.i > start || slices.Contains(strings.Fields(t.skipped(start)), "then") { // "then a four way splitter"
		if e, ok := t.end(); ok && t.atEnd() {
			m.end(e)
			return true
		}
	}
	t.i = start
	return false
}

// inARow reads parts and runs in a row: "splitter output one, thirty five feet, wall plate, six foot
// jumper, receiver two", with or without "path" before it.
func (t *talker) inARow() bool {
	named := t.take(vocab.Path)
	if !named && t.i > 0 {
		return false
	}
	if run := t.i; !named { // "thirty feet past the ground block there's a splitter" is no row
		for t.isAt(run, vocab.Length, vocab.About, vocab.Particle, vocab.Cable, vocab.CableType) {
			run++
		}
		if run > t.i && t.isAt(run, vocab.After, vocab.Before, vocab.Behind) {
			return false
		}
	}
	goes := t.take(vocab.Runs)
	named = goes || named
	t.take(vocab.From)
	var m pathMaker
	runs, parts, to := 0, 0, 0
	for t.i < len(t.toks) {
		if len(m.Elements) > 0 || m.has() {
			if t.take(vocab.And); t.i >= len(t.toks) {
				break
			}
			t.takeRuns()
			if t.takeTo() {
				to++
			}
		}
		if run, ok := t.run(); ok && !m.has() && run.LengthFt.Said() {
			runs++
			m.open = run
			if run.Element == entry.Jumper {
				m.Elements, m.open = append(m.Elements, run), entry.PathElement{}
			}
			continue
		}
		e, ok := t.end()
		if !ok {
			return false
		}
		parts++
		m.end(e)
	}
	if m.has() || parts < 2 || !named && runs == 0 && (parts < 3 || to < parts-1) {
		return false
	}
	// "from the dish to receiver one it goes LNB, …": its two ends come first
	if p := m.Elements; parts > 2 && !inOrder(p) && p[1].Element != entry.Cable && inOrder(append(append(p[:1:1], p[2:]...), p[1])) {
		m.Elements = append(append(p[:1:1], p[2:]...), p[1])
	}
	if !inOrder(m.Elements) {
		return false
	}
	t.path(m.Path)
	return true
}

// inOrder reports that the parts of a path follow the usual order, from the dish
// or towards it.
func inOrder(list []entry.PathElement) bool {
	up, down, last := false, false, -1
	for _, e := range list {
		r := e.Element.Rank()
		if r == entry.AnyRank || e.Element == entry.Jumper {
			continue
		}
		up, down = up || last >= 0 && r > last, down || last >= 0 && r < last
		last = r
	}
	return !up || !down
}

// path adds a path, in order from the dish.
func (t *talker) path(p entry.Path) {
	for i := 0; i+1 < len(p.Elements); i++ { // "the jumper's six feet behind receiver one"
		jumper, run := &p.Elements[i], p.Elements[i+1]
		if jumper.Element == entry.Jumper && !jumper.LengthFt.Said() && run.Element == entry.Cable && run.LengthFt.Said() {
			jumper.LengthFt, jumper.Cable = run.LengthFt, run.Cable
			p.Elements = slices.Delete(p.Elements, i+1, i+2)
		}
	}
	first, last := p.Elements[0].Element.Rank(), p.Elements[len(p.Elements)-1].Element.Rank()
	if first != entry.AnyRank && last != entry.AnyRank && first > last {
		slices.Reverse(p.Elements)
	}
	t.entries = append(t.entries, p)
}

// run takes a length of cable, or a jumper with its length.
func (t *talker) run() (entry.PathElement, bool) {
	run := entry.PathElement{Element: entry.Cable}
	start := t.i
	for t.i < len(t.toks) {
		k := &t.toks[t.i]
		switch {
		case t.is(vocab.About) && t.isAt(t.i+1, vocab.Length, vocab.Figure):
		case t.is(vocab.Thing) && k.Row.Say == "another" && t.isAt(t.i+1, vocab.Length):
		case t.is(vocab.Thing) && k.Row.Say == "another" && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit) && !run.LengthFt.Said():
			t.i++
			run.LengthFt = t.toks[t.i].Value
		case t.is(vocab.Length) && !run.LengthFt.Said():
			run.LengthFt = k.Value
		case t.is(vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(t.i+1, vocab.More) && !run.LengthFt.Said():
			run.LengthFt = k.Value
		case t.is(vocab.More) && run.LengthFt.Said():
		case t.is(vocab.CableType) && run.Cable == "":
			run.Cable = k.Means()
		case t.is(vocab.Cable, vocab.Run):
		case t.is(vocab.Element) && k.Means() == string(entry.Jumper) && run.Element == entry.Cable && !t.isAt(t.i+1, vocab.Index) && (run.LengthFt.Said() || t.isAt(t.i+1, vocab.From, vocab.Between, vocab.Behind)):
			run.Element = entry.Jumper
		default:
			return run, t.i > start
		}
		t.i++
	}
	return run, t.i > start
}

// end takes a part of the path.
func (t *talker) end() (entry.PathElement, bool) {
	start, ways := t.i, 0
	if t.i >= len(t.toks) {
		return entry.PathElement{}, false
	}
	if t.is(vocab.Ways) {
		ways = t.number(&t.toks[t.i])
		t.i++
	}
	p, ok := t.point()
	if ok && p.Element == "" && p.Port > 0 && p.Room == "" && len(t.entries) > 0 { // "output two" of the splitter before
		if before, is := t.entries[len(t.entries)-1].(entry.Path); is && before.Verb == "" && before.Elements[0].Port > 0 {
			p.Element, p.Number = before.Elements[0].Element, before.Elements[0].Number
		}
	}
	if !ok || p.Element == entry.Receiver && p.Port > 0 || p.Element == "" || p.Which != "" || p.plural && p.Number > 0 || !p.Element.InPath() || p.Element == entry.Fitting || p.Element == entry.Cable {
		t.i = start
		return entry.PathElement{}, false
	}
	e := entry.ElementOf(p.Point)
	e.Ways = ways
	return e, true
}

// takeRuns takes the verb of a run of cable.
func (t *talker) takeRuns() { t.take(vocab.Runs) }

// takeTo takes "to", also where it ends words that mean nothing elsewhere:
// "down to", "over to".
func (t *talker) takeTo() bool {
	start := t.i
	if t.take(vocab.Particle); t.is(vocab.In) && t.isAt(t.i+1, vocab.To) {
		t.i++
	}
	if t.take(vocab.To) || t.is(vocab.Through) && strings.HasSuffix(t.toks[t.i].Row.Say, "into") && t.take(vocab.Through) || t.is(vocab.BackTo) && t.toks[t.i].Row.Say == "back to" && t.take(vocab.BackTo) || t.is(vocab.Feeds, vocab.Fed) && strings.HasSuffix(t.toks[t.i].Row.Say, " to") && t.take(vocab.Feeds, vocab.Fed) {
		return true
	}
	t.i = start
	skipped := strings.Fields(t.skipped(t.i))
	return len(skipped) > 0 && slices.Contains(skipped, "to")
}

// skipped are the words before token i that mean nothing by themselves.
func (t *talker) skipped(i int) string {
	lo, hi := 0, len(t.phrase)
	if i > 0 {
		lo = t.toks[i-1].Hi
	}
	if i < len(t.toks) {
		hi = t.toks[i].Lo
	}
	return strings.ToLower(t.phrase[min(lo, hi):hi])
}

// hung reads what feeds what: "receiver three is off splitter output three",
// "splitter output two feeds the den receiver". The length of cable between them
// and the room may follow.
func (t *talker) hung() bool {
	a, ok := t.end()
	room := false
	if !ok {
		if a, room = t.roomOn(); !room {
			return false
		}
	}
	t.take(vocab.Particle)
	feeds := t.is(vocab.Feeds) || t.is(vocab.Runs)
	goesOn := t.is(vocab.Runs) && strings.HasSuffix(t.toks[t.i].Row.Say, " on") && a.Element == entry.Receiver // "goes on splitter output two"
	on := t.is(vocab.On) || goesOn
	feeds = feeds && !goesOn
	if on {
		if t.i++; t.is(vocab.Length) { // "is on a six foot jumper from the wall plate"
			return t.onJumper(a)
		}
	} else if a.Port > 0 && t.takeTo() { // "splitter output one to the den receiver"
		feeds = true
	} else if !t.take(vocab.Fed, vocab.Feeds) && (!t.take(vocab.Runs) || !t.takeTo()) {
		return false
	}
	b, assumed, ok := t.outlet()
	if !ok || (on || room) && b.Port == 0 || assumed && a.Element != entry.Receiver {
		return false
	}
	up, down := b, a
	if feeds || a.Element.Rank() < b.Element.Rank() && a.Port > 0 {
		up, down = a, b
	}
	if up.Element.Rank() > down.Element.Rank() && up.Element.Rank() != entry.AnyRank && down.Element.Rank() != entry.AnyRank || down.Port > 0 || up.Element == entry.Receiver {
		up, down = down, up
	}
	if up.Port == 0 && down.Element == up.Element || up.Element == entry.Receiver || down.Element == entry.Dish || down.Port > 0 {
		return false
	}
	list := []entry.PathElement{up}
	if up.Room != "" && down.Room == "" && up.Port > 0 { // the room is the receiver's: a port has none
		down.Room, list[0].Room = up.Room, ""
	}
	for t.i < len(t.toks) {
		i := t.i
		t.take(vocab.With, vocab.On, vocab.By, vocab.Through)
		last := list[len(list)-1].Element
		if run, ok := t.run(); ok && run.LengthFt.Said() && last != entry.Cable && last != entry.Jumper {
			list = append(list, run)
			if t.is(vocab.On, vocab.Particle, vocab.Runs) && !t.toks[t.i].Brk && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And)) { // "thirty feet on"
				t.i++
			}
			continue
		}
		t.i = i
		if e, ok := t.end(); ok && e.Element == entry.WallPlate && down.Element == entry.Receiver && last == entry.Cable { // "…, sixty feet, wall plate, six foot jumper"
			list = append(list, e)
			continue
		}
		t.i = i
		if t.take(vocab.In); down.Room == "" && t.is(vocab.Room, vocab.Numbered) && !t.isAt(t.i+1, vocab.Element) {
			var at pointParts
			t.room(&at)
			down.Room = at.Room
			continue
		}
		t.i = i
		break
	}
	whole := entry.Path{Elements: append(list, down)}
	if assumed {
		whole.Assumed = []string{"element"}
	}
	t.path(whole)
	return true
}

// roomOn takes a room that is on something: its receiver hangs there.
func (t *talker) roomOn() (entry.PathElement, bool) {
	start := t.i
	if p, ok := t.point(); ok && p.Room != "" && p.Point == (entry.Point{Room: p.Room}) && t.is(vocab.On, vocab.Fed) {
		return entry.PathElement{Element: entry.Receiver, Room: p.Room}, true
	}
	t.i = start
	return entry.PathElement{}, false
}

// outlet takes the part that something hangs on. An output by itself is taken
// for a splitter's, and assumed tells so.
func (t *talker) outlet() (e entry.PathElement, assumed, ok bool) {
	if e, ok := t.end(); ok {
		return e, false, true
	}
	start := t.i
	if p, ok := t.point(); ok && p.Port > 0 && p.Point == (entry.Point{Side: entry.ReceiverSide, Port: p.Port}) {
		return entry.PathElement{Element: entry.Splitter, Port: p.Port}, true, true
	}
	t.i = start
	return entry.PathElement{}, false, false
}

// onJumper reads the jumper of a receiver: "receiver one is on a six foot jumper
// from the wall plate".
func (t *talker) onJumper(a entry.PathElement) bool {
	run, ok := t.run()
	if !ok || run.Element != entry.Jumper || a.Element != entry.Receiver {
		return false
	}
	p := entry.Path{Verb: "before", Elements: []entry.PathElement{run, a}}
	if t.take(vocab.From, vocab.Fed) {
		b, ok := t.end()
		if !ok || b.Element == entry.Receiver {
			return false
		}
		p = entry.Path{Elements: []entry.PathElement{b, run, a}}
	}
	t.entries = append(t.entries, p)
	return true
}

// sized reads how many outputs a splitter has: "the splitter is a four way".
func (t *talker) sized() bool {
	it := strings.Contains(t.skipped(t.i), "it") || strings.Contains(t.skipped(t.i), "that's")
	e, ok := t.end()
	switch {
	case !ok:
		return false
	case e.Ways == 0 && t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Index) && t.isAt(t.i+1, vocab.Output) && t.toks[t.i+1].Row.Plural && strings.Contains(t.skipped(t.i), "has"): // "has four outputs"
		e.Ways = t.number(&t.toks[t.i])
		t.i += 2
	case e.Ways == 0:
		if !t.is(vocab.Ways) || !t.saysIs(t.i) {
			return false
		}
		e.Ways = t.number(&t.toks[t.i])
		t.i++
	case !it || t.i < 2 || t.i != len(t.toks):
		return false
	}
	if !e.Element.Forks() {
		return false
	}
	t.entries = append(t.entries, entry.Path{Elements: []entry.PathElement{e}})
	return true
}
