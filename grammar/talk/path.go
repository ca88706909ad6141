package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// How the path goes: runs of cable between parts, told in any order, and parts
// that lie between, after or before others.

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
		if !told || first && (more.Element != entry.Cable || run.Cable != "" && more.Cable != "") {
			return false
		}
		more.Cable = entry.OrElse(more.Cable, run.Cable)
		if run.Element == entry.Jumper {
			more.Element = entry.Jumper
		}
		run = more
	}
	if !run.LengthFt.Said() {
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
	return false
}

// inARow reads parts and runs in a row: "splitter output one, thirty five feet, wall plate, six foot
// jumper, receiver two", with or without "path" before it.
func (t *talker) inARow() bool {
	named := t.take(vocab.Path)
	if !named && t.i > 0 {
		return false
	}
	t.takeRuns()
	t.take(vocab.From)
	var m pathMaker
	runs, parts := 0, 0
	for t.i < len(t.toks) {
		if len(m.Elements) > 0 || m.has() {
			t.take(vocab.And)
			t.takeRuns()
			t.takeTo()
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
	if m.has() || parts < 2 || !named && runs == 0 {
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
	if !ok || p.Element == "" || p.Which != "" || p.plural && p.Number > 0 || !p.Element.InPath() || p.Element == entry.Fitting || p.Element == entry.Cable {
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
	if !ok {
		return false
	}
	t.take(vocab.Particle)
	feeds := t.is(vocab.Feeds) || t.is(vocab.Runs)
	if !t.take(vocab.Fed, vocab.Feeds) && (!t.take(vocab.Runs) || !t.takeTo()) {
		return false
	}
	b, ok := t.end()
	if !ok {
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
		if run, ok := t.run(); ok && run.LengthFt.Said() && len(list) == 1 {
			list = append(list, run)
			continue
		}
		i := t.i
		if t.take(vocab.In); down.Room == "" && t.is(vocab.Room, vocab.Numbered) && !t.isAt(t.i+1, vocab.Element) {
			var at pointParts
			t.room(&at)
			down.Room = at.Room
			continue
		}
		t.i = i
		break
	}
	t.path(entry.Path{Elements: append(list, down)})
	return true
}

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
	for t.is(vocab.Sits, vocab.Runs, vocab.Particle) || t.is(vocab.In) && t.isAt(t.i+1, vocab.Between, vocab.After, vocab.Before) || t.is(vocab.Degree, vocab.Put, vocab.Ran) && (t.toks[t.i].Row.Say == "hanging" || t.toks[t.i].Row.Say == "stuck") {
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

// housed reads which receiver is in which room, of one or several: "receiver one
// is in the den and receiver two is in the kitchen".
func (t *talker) housed() bool {
	var p entry.Path
	said := false // that it is there
	for {
		from := t.i
		e, is, ok := t.housing()
		if !ok {
			t.i = from
			break
		}
		said = said || is
		p.Elements = append(p.Elements, e)
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

// housing takes one receiver, or another part of the path, and its room.
func (t *talker) housing() (e entry.PathElement, is, ok bool) {
	ways := 0
	if t.take(vocab.Ways) {
		ways = t.number(t.last())
	}
	p, ok := t.point()
	if !ok || p.Element == "" || p.Which != "" || p.plural || p.Side != "" || !p.Element.InPath() || p.Element == entry.Fitting || p.Element == entry.Dish || p.Element == entry.LNB {
		return e, false, false
	}
	if at := p.said[partRoom]; at >= 0 {
		is = t.saysIs(at) || t.isAt(at-1, vocab.In) && t.saysIs(at-1)
		if p.said[partElement] > at && p.Number != 0 { // "the den is receiver two"
			return entry.ElementOf(p.Point), t.saysIs(p.said[partElement]), true
		}
		if p.said[partElement] > at { // "the den box is receiver two"
			if p.Number != 0 || p.Element != entry.Receiver || !t.is(vocab.Element) || !t.saysIs(t.i) {
				return e, false, false
			}
			q, also := t.point()
			if !also || q.Element != entry.Receiver || q.Number == 0 || q.Room != "" || q.Side != "" || q.Which != "" {
				return e, false, false
			}
			p.Number, is = q.Number, true
		}
		return entry.ElementOf(p.Point), is, true
	}
	if t.sits(); !t.isAt(t.i-1, vocab.Sits, vocab.Particle, vocab.Runs) || !t.take(vocab.In) {
		return e, false, false
	}
	if !t.is(vocab.Room, vocab.Numbered) {
		return e, false, false
	}
	t.room(&p)
	e = entry.ElementOf(p.Point)
	e.Ways = ways
	return e, true, true
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
