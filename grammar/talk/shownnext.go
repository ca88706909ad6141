package talk

import (
	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// A further reading of a phrase that is told by less than a place, or before it.

// valueFirst takes an "and" before what was shown at another place, which comes
// behind it: "minus forty one in and nothing out".
func (t *talker) valueFirst(g *gauge) bool {
	if !t.is(vocab.And) || !g.placed || !g.any || g.repair || g.awaited != "" {
		return false
	}
	i := t.i + 1
	for t.isAt(i, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Verdict, vocab.NoSignal, vocab.Volts, vocab.NoVolts, vocab.Soft, vocab.Degree) {
		i++
	}
	if i == t.i+1 {
		return false
	}
	if t.isAt(i, vocab.At, vocab.On) {
		i++
	}
	if !t.startsPlace(i) {
		return false
	}
	start, before := t.i, t.place
	t.i, t.place = i, g.parts.Point
	p, ok := t.point()
	t.i, t.place = start, before
	if !ok || complements(g.parts.Point, p.Point) || p.Element == "" && p.Side == "" {
		return false
	}
	t.i++
	return true
}

// namedLater names the part of a side that was said first, by the reading after
// it: "minus 40 going in, minus 41 coming out of the ground block".
func (t *talker) namedLater() {
	if len(t.entries) < 2 {
		return
	}
	a, ok := t.entries[0].(entry.Reading)
	b, also := t.entries[1].(entry.Reading)
	if ok && also && a.Point.Element == "" && a.Point.Side != "" && a.Point.Which == "" && b.Point.Element != "" && b.Point.Side != "" && b.Point.Side != a.Point.Side && b.Point.Which == "" {
		t.backwards(0)
	}
}

// sameElement is the gauge of the next reading; a number alone is of the kind of
// part before it: "receiver one passes and two fails".
func (t *talker) sameElement(g *gauge) *gauge {
	next := &gauge{starts: map[string]int{}}
	if t.i == 0 || !t.is(vocab.Figure, vocab.Count, vocab.Digit, vocab.Index) {
		return next
	}
	n := t.number(&t.toks[t.i])
	p := pointParts{Point: entry.Point{Element: g.parts.Element, Number: n}, said: [4]int{-1, t.i, -1, -1}}
	if g.parts.Port > 0 {
		p.Point = entry.Point{Element: g.parts.Element, Number: g.parts.Number, Room: g.parts.Room, Side: g.parts.Side, Port: n}
	} else {
		p.Side = g.parts.Side
	}
	next.parts, next.placed = p, true
	t.i++
	return next
}

// numberAlone reports that the next reading is told by a number alone, and takes
// an "and" before it.
func (t *talker) numberAlone(g *gauge) bool {
	i := t.i
	if t.isAt(i, vocab.And) {
		i++
	}
	if i == t.i && !(i < len(t.toks) && t.toks[i].Brk) || !t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit, vocab.Index) || !t.isAt(i+1, vocab.Verdict, vocab.NoSignal, vocab.Level) || t.isAt(i+1, vocab.Level) && !t.isAt(i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && i == t.i {
		return false
	}
	k := &t.toks[i]
	n := t.number(k)
	if !g.placed || !g.any || g.repair || g.awaited != "" || g.parts.Which != "" || len(g.also) > 0 || n < 1 || n >= mostNumbered || k.Value != entry.Whole(int64(n)) {
		return false
	}
	if g.parts.Port == 0 && (g.parts.Element != entry.Receiver || g.parts.Number == 0) || n == g.parts.Port || g.parts.Port == 0 && n == g.parts.Number {
		return false
	}
	t.i = i
	return true
}

// bothShown takes a verdict that is said of the readings before it: "minus forty
// at the dish side, minus forty one at the receiver side, both good".
func (t *talker) bothShown() bool {
	n := len(t.entries)
	if !t.is(vocab.Some) || !t.isAt(t.i+1, vocab.Verdict) {
		return false
	}
	first := 0
	switch entry.Which(t.toks[t.i].Means()) {
	case entry.WhichBoth:
		first = n - 2
	case entry.WhichAll:
	default:
		return false
	}
	if first < 0 || n-first < 2 {
		return false
	}
	verdict := entry.Verdict(t.toks[t.i+1].Means())
	for _, e := range t.entries[first:] {
		if r, ok := e.(entry.Reading); !ok || r.Verdict != "" && r.Verdict != verdict || r.NoSignal {
			return false
		}
	}
	for i := first; i < n; i++ {
		r := t.entries[i].(entry.Reading)
		r.Verdict = verdict
		t.entries[i] = r
	}
	t.i += 2
	return true
}

// backwards names the part of sides that were said before it: "passes going in
// and fails coming out of the ground block".
func (t *talker) backwards(first int) {
	last := len(t.entries) - 1
	b, _ := t.entries[last].(entry.Reading)
	for i := first; i < last; i++ {
		a, ok := t.entries[i].(entry.Reading)
		if !ok || a.Point.Element != "" || a.Point.Side == "" || a.Point.Side == b.Point.Side && a.Point.Port == b.Point.Port {
			return
		}
		a.Point.Element, a.Point.Number, a.Point.Room = b.Point.Element, b.Point.Number, b.Point.Room
		a.Assumed = entry.AddNote(a.Assumed, "element")
		t.entries[i] = a
	}
}
