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
		case t.is(vocab.NoSignal) && s.Symptom == "" && (t.isAt(t.i+1, vocab.When) || s.When != ""): // "loses signal when it storms"
			s.Symptom, s.Remark = "dropouts", entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
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
