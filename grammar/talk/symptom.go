package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// noticed reads a symptom, when it comes and where it shows, in any order.
func (t *talker) noticed() bool {
	var s entry.Symptom
	for t.i < len(t.toks) {
		switch {
		case t.is(vocab.Subject) && strings.HasSuffix(t.toks[t.i].Row.Say, " lost"): // "customer lost both TVs"
			if s.Symptom != "" || !t.lost() {
				return false
			}
			s.Symptom, s.Remark = "no_picture", entry.List(s.Remark, "lost")
		case t.take(vocab.Subject):
		case s.Symptom == "no_picture" && s.Point == nil && t.isAt(t.i-1, vocab.On) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].Means() == string(entry.Receiver) && (t.words(t.i, t.i+1) == "either" || t.words(t.i, t.i+1) == "any"): // "no picture on either TV"
			s.Point = &entry.Point{Element: entry.Receiver, Which: entry.WhichBoth}
			if t.words(t.i, t.i+1) == "any" {
				s.Point.Which = entry.WhichAll
			}
			t.i += 2
		case t.is(vocab.On) && t.isAt(t.i+1, vocab.Unknown) && t.isAt(t.i+2, vocab.Element) && s.Symptom == "no_picture" && s.Point == nil:
			t.i++
		case t.is(vocab.Often), t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "bad" && !t.toks[t.i].Brk && t.isAt(t.i-1, vocab.Symptom): // "breaks up bad every few minutes"
			if s.Symptom == "" {
				return false
			}
			s.Remark = entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
		case t.is(vocab.Stand) && t.toks[t.i].Row.Say == "we are" && t.isAt(t.i+1, vocab.Symptom):
			t.i++
		case t.is(vocab.Symptom) && s.Symptom == "":
			s.Symptom = t.toks[t.i].Means()
			t.i++
			if strings.Contains(t.last().Row.Say, "freezing") && (strings.Contains(t.skipped(t.i), "here") || t.is(vocab.Force, vocab.Output) && strings.HasPrefix(t.toks[t.i].Row.Say, "out")) { // "it's freezing up here" is of the weather
				return false
			}
		case t.is(vocab.NoSignal) && s.Symptom == "" && (t.isAt(t.i+1, vocab.When) || s.When != "" || t.handledTo(t.i+1) > 0): // "loses signal when it storms"
			s.Symptom, s.Remark = "dropouts", entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
		case t.brought(&s):
		case t.is(vocab.When) && s.When == "":
			s.When = t.toks[t.i].Means()
			t.i++
		case t.is(vocab.Degree, vocab.Force) && s.Symptom != "" && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].Row.Say == "bad": // "pixelates real bad"
			s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
			t.i += 2
		case t.is(vocab.Still), t.is(vocab.Degree, vocab.Force) && s.Symptom != "":
			s.Remark = entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
		case t.is(vocab.On) && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit) && s.Point == nil:
			s.Point = &entry.Point{Element: entry.Receiver, Number: t.number(&t.toks[t.i+1])}
			t.i += 2
		case t.is(vocab.On, vocab.At, vocab.In, vocab.Element, vocab.Room, vocab.Numbered, vocab.Some, vocab.Behind) && s.Point == nil:
			t.take(vocab.On, vocab.At)
			p, ok := t.point()
			if !ok || p.Element != "" && !p.Element.InPath() || p.plural && p.Which == "" {
				return false
			}
			s.Point = &p.Point
		default:
			return t.symptom(&s)
		}
	}
	return t.symptom(&s)
}

// brought takes what brings a symptom on beyond the circumstances that have a
// name, word for word: "when I wiggle the cable". What comes back then was gone.
func (t *talker) brought(s *entry.Symptom) bool {
	from, at := t.i, t.i
	if s.Symptom == "" && t.is(vocab.Looked) && t.toks[at].Row.Say == "comes back" && t.handledTo(at+1) > 0 {
		s.Symptom, at = "intermittent", at+1
	}
	for n := 3; n > 0 && s.Symptom == ""; n-- { // "dropped out when I touched the fitting"
		if came := cameOf(strings.ToLower(t.words(at, at+n))); came != "" && t.handledTo(at+n) > 0 {
			s.Symptom, at = came, at+n
		}
	}
	end := t.handledTo(at)
	if end == 0 || s.Symptom == "" && !t.parted(end) {
		return false
	}
	said := t.words(from, end)
	if end == len(t.toks) || t.toks[end].Brk { // with the small words at its end
		hi := len(t.phrase)
		if end < len(t.toks) {
			hi = t.toks[end].Lo
		}
		rest, _, _ := strings.Cut(t.phrase[t.toks[end-1].Hi:hi], ",")
		said = trimEnd(lex.Clean(t.phrase[t.toks[from].Lo:t.toks[end-1].Hi] + rest))
	}
	s.Remark = entry.List(s.Remark, said)
	t.i = end
	return true
}

// parted reports that a symptom follows at token i that is not of the part named
// before it: "when I wiggle the cable it drops out".
func (t *talker) parted(i int) bool {
	if t.isAt(i, vocab.Subject) {
		return true
	}
	if !t.isAt(i, vocab.Symptom) {
		return false
	}
	first, _, _ := strings.Cut(t.toks[i].Row.Say, " ")
	for _, w := range append(strings.Fields(t.skipped(i)), first) {
		switch w {
		case "it", "it's", "signal", "picture", "screen", "channels":
			return true
		}
	}
	return t.toks[i].Brk
}

// handledTo is where the words end that say when something was handled, or
// started, from token i; 0 where they do not begin there, or say more.
func (t *talker) handledTo(i int) int {
	if i >= len(t.toks) {
		return 0
	}
	if _, leads := vocab.TellsFirst(vocab.Whenever, t.words(i, i+2)); !leads {
		return 0
	}
	end, handled := i+1, false
	for ; end < len(t.toks) && !t.toks[end].Brk && !t.isAt(end, vocab.And, vocab.Symptom) && !(t.isAt(end, vocab.Subject) && t.isAt(end+1, vocab.Symptom)); end++ {
		handles := false
		for w := range strings.FieldsSeq(strings.ToLower(t.words(end, end+1))) {
			_, tells := vocab.Tells(vocab.Handled, w)
			handles = handles || tells
		}
		switch c := t.toks[end].Class; {
		case handles:
			handled = true
		case lex.IsMeasure(c), c == vocab.Action, c == vocab.Put, c == vocab.Took, c == vocab.Ran, c == vocab.Not, c == vocab.No, c == vocab.Time, c == vocab.Past, c == vocab.Repair, c == vocab.Correct, c == vocab.Scratch, c == vocab.Control, c == vocab.Question:
			return 0
		}
	}
	said := strings.ToLower(t.words(i, end))
	if _, rest, _ := strings.Cut(said, " "); !handled || end-i > mostHandlingWords || strays(rest) {
		return 0
	}
	return end
}

// mostHandlingWords is how many tokens say how a part was handled at most.
const mostHandlingWords = 12

// provoked reads what a part did when it was handled, once: "wiggled the
// fitting and it dropped out".
func (t *talker) provoked() bool {
	start := t.i
	verb := strings.TrimPrefix(strings.ToLower(t.words(t.i, t.i+1)), "i ")
	if when, tells := vocab.Tells(vocab.Handled, verb); !tells || when != "past" {
		return false
	}
	coax, part := false, false
	for t.i++; !t.atEnd(); t.i++ {
		switch k := &t.toks[t.i]; {
		case t.is(vocab.Cable), t.is(vocab.Element) && (k.Means() == string(entry.Jumper) || k.Means() == string(entry.Fitting)):
			coax, part = true, true
		case t.is(vocab.Element, vocab.Thing):
			part = true
		case t.is(vocab.At, vocab.On, vocab.In, vocab.Behind, vocab.Side, vocab.Room, vocab.Numbered, vocab.Index, vocab.Facet, vocab.CableType):
		default:
			return false
		}
	}
	if !part || verb == "moved" && !coax || t.i >= len(t.toks) {
		return false
	}
	lo := t.toks[t.i-1].Hi
	t.take(vocab.And)
	if t.i >= len(t.toks) {
		return false
	}
	for t.i++; !t.atEnd(); t.i++ {
	}
	came := cameOf(strings.TrimLeft(strings.ToLower(trimEnd(lex.Clean(t.phrase[lo:t.toks[t.i-1].Hi]))), " ,;"))
	if came == "" {
		return false
	}
	t.entries = append(t.entries, entry.Symptom{Symptom: came, Remark: t.words(start, t.i)})
	return true
}

// cameOf is the symptom that words of the past say came of something.
func cameOf(said string) string {
	for {
		first, rest, _ := strings.Cut(said, " ")
		if _, tells := vocab.Tells(vocab.Comer, first); !tells {
			break
		}
		said = rest
	}
	came, _ := vocab.Tells(vocab.Came, said)
	return came
}

// lost takes "customer lost" before what has no picture now: a receiver, or the
// picture of one.
func (t *talker) lost() bool {
	t.i++
	if strings.Contains(t.skipped(t.i), "signal") {
		return false
	}
	if t.is(vocab.Subject) && strings.Contains(t.toks[t.i].Row.Say, "picture") {
		t.i++
		return t.i >= len(t.toks) || t.is(vocab.On, vocab.In, vocab.At, vocab.When, vocab.Often)
	}
	i := t.i
	p, ok := t.point()
	t.i = i
	return ok && p.Element == entry.Receiver && p.Side == ""
}

func (t *talker) symptom(s *entry.Symptom) bool {
	if s.Symptom == "" {
		return false
	}
	t.entries = append(t.entries, *s)
	return true
}

// Symptoms reads what is noticed out of the free words of a complaint. When and
// where are of the symptoms of their clause: said before one, of those after it
// too, "when it rains it freezes and drops out", said after it, of those before
// it that have none.
func Symptoms(l *lex.Lexicon, complaint string) []entry.Symptom {
	t := &talker{l: l, phrase: complaint}
	t.toks = t.tokens(lex.Split(complaint))
	var out []entry.Symptom
	var at *entry.Point // said before
	when, clause, waits := "", 0, false
	for t.i = 0; t.i < len(t.toks); {
		k := &t.toks[t.i]
		if k.Brk || t.is(vocab.And) {
			clause = len(out)
		}
		switch {
		case t.is(vocab.Symptom):
			if t.i == 0 || !t.isAt(t.i-1, vocab.Not, vocab.No) {
				out, waits = append(out, entry.Symptom{Symptom: k.Means(), When: when, Point: at}), false
			}
			t.i++
		case t.is(vocab.When) && len(out) == clause && t.symptomAhead():
			when = k.Means()
			t.i++
		case t.is(vocab.When):
			for i := range out {
				if out[i].Point == out[len(out)-1].Point { // another receiver's has its own
					out[i].When = entry.OrElse(out[i].When, k.Means())
				}
			}
			t.i++
		case t.is(vocab.Element, vocab.Room, vocab.Numbered):
			start := t.i
			pt, ok := t.point()
			t.i = max(t.i, start+1)
			own := &pt.Point
			if !ok || pt.Element != entry.Receiver || pt.Which != "" {
				own = nil
			}
			if len(out) > clause {
				for i := range out[clause:] {
					out[clause+i].Point = own
				}
				break
			}
			if waits { // of two before it, it is not known whose it is
				own = nil
			}
			at, waits = own, true
		default:
			t.i++
		}
	}
	return out
}

// symptomAhead reports that a symptom comes before the clause ends.
func (t *talker) symptomAhead() bool {
	for i := t.i + 1; i < len(t.toks) && !t.toks[i].Brk && t.toks[i].Class != vocab.And; i++ {
		if t.toks[i].Class == vocab.Symptom {
			return true
		}
	}
	return false
}
