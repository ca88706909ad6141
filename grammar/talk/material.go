package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// used reads parts used: after "used", or each with its number or length.
func (t *talker) used() bool {
	if t.is(vocab.Used) && strings.HasSuffix(t.toks[t.i].Row.Say, "needed") && !t.isAt(t.i+1, vocab.Count, vocab.Figure, vocab.Digit, vocab.Length, vocab.About) {
		return false // "needed a new one" may be a plan
	}
	verb := t.take(vocab.Used) || t.is(vocab.Condition) && usesUp(&t.toks[t.i]) && t.isAt(t.i+1, vocab.Count, vocab.Figure, vocab.Digit, vocab.Length) && t.take(vocab.Condition)
	verb = verb || t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Length) && t.usedAtEnd()
	n := len(t.entries)
	for {
		m, ok := t.material(verb)
		if !ok {
			break
		}
		t.entries = append(t.entries, m)
		i := t.i
		joined := t.take(vocab.And)
		if t.i < len(t.toks) && (joined || t.toks[t.i].Brk || t.is(vocab.Count, vocab.Digit, vocab.Figure)) {
			save := t.i
			if _, more := t.material(verb); more && (t.endsPart() || t.is(vocab.Used)) {
				t.i = save
				continue
			}
		}
		t.i = i
		break
	}
	if len(t.entries) > n {
		t.take(vocab.Used) // "a hundred feet of cable used"
		if t.is(vocab.Tail) && sums(t.toks[t.i].Row.Say) {
			t.i++
		}
	}
	return len(t.entries) > n
}

// usedAtEnd reports a list of parts that ends with "used": "one splitter and a
// wall plate used".
func (t *talker) usedAtEnd() bool {
	for i := t.i; i < len(t.toks); i++ {
		switch {
		case t.isAt(i, vocab.Used):
			return true
		case !t.isAt(i, vocab.Count, vocab.Figure, vocab.Digit, vocab.Length, vocab.New, vocab.Ways, vocab.And, vocab.Element, vocab.Item, vocab.Bolt, vocab.Cable, vocab.CableType):
			return false
		}
	}
	return false
}

// sums reports words behind a list of parts that say that it is whole, or what
// it was for.
func sums(say string) bool {
	return strings.Contains(say, "total") || strings.Contains(say, "together") || say == "in all" || strings.HasPrefix(say, "for that")
}

// material reads one part used.
func (t *talker) material(verb bool) (entry.Material, bool) {
	var m entry.Material
	start := t.i
	fail := func() (entry.Material, bool) {
		t.i = start
		return m, false
	}
	for t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Length, vocab.New, vocab.Some, vocab.Ways) || t.is(vocab.More) && t.toks[t.i].Row.Say == "more" && m.Quantity > 0 || t.is(vocab.About) && t.isAt(t.i+1, vocab.Length, vocab.Count, vocab.Figure) {
		k := &t.toks[t.i]
		switch k.Class {
		case vocab.About, vocab.More:
			m.Remark = entry.List(m.Remark, k.Row.Say)
		case vocab.Length:
			m.LengthFt = k.Value
		case vocab.Ways:
			m.Remark = entry.List(m.Remark, t.words(t.i, t.i+1))
		case vocab.New:
		case vocab.Some:
			if k.Means() != string(entry.WhichBoth) {
				return fail()
			}
			m.Quantity = 2
		default:
			if k.Value.Sign() <= 0 {
				return fail()
			}
			from := t.i
			if m.Quantity != 0 {
				return fail()
			}
			m.Quantity = t.number(k)
			if t.isAt(t.i+1, vocab.Repair) && t.isAt(t.i+2, vocab.Count, vocab.Figure, vocab.Digit) {
				t.i += 2
				m.Quantity, m.Remark = t.number(&t.toks[t.i]), t.words(from, t.i+1)
			}
			if t.isAt(t.i+1, vocab.Times) && t.toks[t.i+1].Row.Say == "x" { // "2x fittings"
				t.i++
			}
		}
		t.i++
	}
	switch {
	case t.is(vocab.Cable, vocab.CableType):
		m.Item = string(entry.Cable)
		for t.is(vocab.Cable, vocab.CableType) {
			if t.is(vocab.CableType) {
				m.Cable = t.toks[t.i].Means()
			}
			t.i++
		}
		if !m.LengthFt.Said() {
			return fail()
		}
	case t.is(vocab.Ends) && m.Quantity > 0 && (t.toks[t.i].Row.Say == "ends" || t.toks[t.i].Row.Say == "cable ends" || t.toks[t.i].Row.Say == "coax ends"): // "4 ends"
		m.Item = string(entry.Fitting)
		t.i++
	case t.is(vocab.Element, vocab.Item, vocab.Bolt):
		k := &t.toks[t.i]
		m.Item = entry.OrElse(k.Means(), "lag_bolt")
		if strings.HasSuffix(k.Row.Say, "clamp") && m.Item == string(entry.GroundWire) {
			m.Item = "ground_clamp"
		}
		if t.is(vocab.Element) && !verb && (m.Quantity == 0 && !m.LengthFt.Said() || m.Item == string(entry.Receiver) || m.Item == string(entry.Dish)) || t.is(vocab.Item, vocab.Bolt) && !verb && m.Quantity == 0 {
			return fail()
		}
		if m.Quantity == 0 && (m.LengthFt.Said() || !k.Row.Plural) {
			m.Quantity = 1
		}
		t.i++
	default:
		return fail()
	}
	if t.is(vocab.Index) {
		return fail()
	}
	return m, true
}
