package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// corrected reads a phrase that puts the last one right: "no, minus forty
// three", "I mean the dish side".
func (t *talker) corrected() bool {
	if t.i == 0 && t.is(vocab.Not) {
		return t.notThis()
	}
	if t.i > 0 || !t.is(vocab.Repair, vocab.No, vocab.Correct) {
		return false
	}
	for t.take(vocab.Repair, vocab.No, vocab.Correct) || t.i > 0 && t.take(vocab.Was) {
		if strings.Contains(t.last().Row.Say, "should") && t.is(vocab.Verdict) && strings.HasSuffix(t.toks[t.i].Row.Say, "ing") {
			return false // "should be passing" is a hope
		}
	}
	if t.last().Class == vocab.No && t.startsPlace(t.i) && !t.toks[t.i].Brk {
		return false // "no barrels" says that there are none
	}
	if t.i == len(t.toks) && t.last().Class == vocab.Repair {
		return t.missing("what is right? Say it, such as: " + t.last().Row.Say + ", minus forty three; or: scratch that")
	}
	if start := t.i; t.span() { // "no wait, twelve to twelve twenty": only a break has two times
		if t.i == len(t.toks) {
			from, to := t.entries[len(t.entries)-2].(entry.Time), t.entries[len(t.entries)-1].(entry.Time)
			t.entries = append(t.entries[:len(t.entries)-2],
				entry.Correction{Verb: "change", Mark: from.Mark, At: from.At}, entry.Correction{Verb: "change", Mark: to.Mark, At: to.At})
			return true
		}
		t.i, t.entries = start, t.entries[:len(t.entries)-2]
	}
	c := entry.Correction{Verb: "change"}
	if at := t.clock(); at != "" {
		c.At = at
		t.entries = append(t.entries, c)
		return true
	}
	g := &gauge{starts: map[string]int{}}
	for t.i < len(t.toks) && t.next(g) {
	}
	if g.any || g.placed {
		c.Remark = t.notThat()
	}
	if g.repair || g.Again || g.awaited != "" || !g.any && !g.placed && g.Slot == 0 && g.Transponder == 0 && g.Polarity == "" || g.remark != "" || len(g.also) > 0 || g.parts.Which != "" || g.parts.Element != "" && !g.parts.Element.InPath() {
		return false
	}
	if g.placed {
		p := g.parts.Point
		c.Point = &p
	}
	c.Verdict, c.Level, c.Strength, c.MER, c.Volts, c.NoSignal = g.Verdict, g.Level, g.Strength, g.MER, g.Volts, g.NoSignal
	c.Slot, c.Transponder, c.Polarity, c.Unit, c.Said = g.Slot, g.Transponder, g.Polarity, g.Unit, g.Said
	t.entries = append(t.entries, c)
	return true
}

// notThis reads "not the wall plate, the ground block": the place that was said,
// and the right one.
func (t *talker) notThis() bool {
	t.i++
	wrong, ok := t.point()
	if !ok || wrong.Which != "" || t.i >= len(t.toks) || !t.toks[t.i].Brk {
		return false
	}
	said := t.words(0, t.i)
	p, ok := t.point()
	if !ok || p.Which != "" || t.i < len(t.toks) || p.Element != "" && !p.Element.InPath() {
		return false
	}
	t.entries = append(t.entries, entry.Correction{Verb: "change", Point: &p.Point, Remark: said})
	return true
}

// notThat takes what a correction says it was not: "receiver two, not one". It
// stays in the remark.
func (t *talker) notThat() string {
	from := t.i
	if !t.take(vocab.Not) {
		return ""
	}
	i := t.i
	if _, ok := t.point(); !ok {
		t.take(vocab.Level, vocab.Figure, vocab.Count, vocab.Digit, vocab.Index, vocab.Verdict)
	}
	if t.i == i || t.i < len(t.toks) {
		t.i = from
		return ""
	}
	return t.words(from, t.i)
}

// scratched reads that what was kept last is scratched, or one entry: "scratch that",
// "scratch the last two readings".
func (t *talker) scratched() bool {
	if !t.scratches() {
		return false
	}
	c := entry.Correction{Verb: "scratch", Count: 1}
	switch {
	case t.take(vocab.Last):
		if t.take(vocab.Count, vocab.Figure) {
			c.Count = t.number(t.last())
		}
		switch t.words(t.i, t.i+1) {
		case "readings", "reading", "entries", "entry", "ones", "one", "things":
			t.i++
		}
	case t.is(vocab.Entry) && t.isAt(t.i+1, vocab.EntryNumber):
		t.i += 2
		c.Count, c.Entry = 0, int64(t.number(t.last()))
	}
	for t.take(vocab.Repair) { // "scratch that, sorry"
	}
	t.entries = append(t.entries, c)
	return c.Count > 0 || c.Entry > 0
}

// scratches takes what scratches the last phrase, with what people say before
// it: "wait, scratch that", "no scratch that".
func (t *talker) scratches() bool {
	from := t.i
	for from == 0 && t.take(vocab.Repair, vocab.No) || t.is(vocab.Control) && t.toks[t.i].Means() == "hold" && t.take(vocab.Control) {
	}
	if t.take(vocab.Scratch) || t.is(vocab.Repair) && strings.HasPrefix(t.toks[t.i].Row.Say, "scratch") && t.take(vocab.Repair) {
		return true
	}
	for i := from; i == 0 && t.isAt(i, vocab.Repair); i++ { // "wait, scratch that": words of a self-repair, too
		if scratch := t.toks[t.i-1].Row.Say; t.i == len(t.toks) && strings.HasPrefix(scratch, "scratch") {
			return true
		}
	}
	t.i = from
	return false
}
