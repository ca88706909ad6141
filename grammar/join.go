package grammar

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// joinNumbers replaces runs of number words by one token each. What stands
// before a number, or the unit after it, decides which kind it is.
func (l *lexicon) joinNumbers(toks []token) []token {
	out := toks[:0]
	prev := vocab.Class(0)
	used, limit := false, false // inside "used …", and inside a threshold for a slot
	for i := 0; i < len(toks); {
		t, n := toks[i], 1
		switch t.class {
		case vocab.Used:
			used = true
		case vocab.Threshold:
			limit = true
		case vocab.Verdict, vocab.Score:
			limit = false
		}
		lead := prev
		if limit && prev == vocab.Orbit && (t.gap || t.brk) {
			lead = vocab.Limit
		}
		if used && isPart(prev) {
			lead = vocab.Used
		}
		switch kind, _ := leads(lead); {
		case (kind == vocab.Digits || kind == vocab.CodeDigits) && (startsNumber(t.class) || t.class == vocab.Digits):
			t, n = l.joinSpelled(toks[i:], kind)
		case t.class == vocab.Minus && t.symbol && l.isDash(toks[i+1:]):
			i++
			continue
		case startsNumber(t.class):
			t, n = l.joinOne(toks[i:], lead)
		}
		i += n
		out = append(out, t)
		used = used && staysUsed(prev, t.class)
		prev = t.class
	}
	return out
}

// isPart reports that a class is a part, or a length, in a list of those used.
func isPart(c vocab.Class) bool {
	switch c {
	case vocab.Element, vocab.Item, vocab.Cable, vocab.CableType, vocab.Length:
		return true
	}
	return false
}

// staysUsed reports that a list of parts used goes on with class c.
func staysUsed(prev, c vocab.Class) bool {
	switch c {
	case vocab.Used, vocab.And, vocab.Count, vocab.Length, vocab.Cable, vocab.CableType, vocab.Item:
		return true
	case vocab.Element:
		return prev == vocab.Used || prev == vocab.And || prev == vocab.Count || prev == vocab.Length
	}
	return false
}

// joinOne reads the number at the head of toks, which follows class prev, and
// says how many tokens it took. A number that fits nothing stays a figure.
func (l *lexicon) joinOne(toks []token, prev vocab.Class) (token, int) {
	kind, must := leads(prev)
	if must {
		if kind == vocab.Level && toks[0].class != vocab.Minus {
			return l.bareLevel(toks, 0)
		}
		if t, n := l.match(l.kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	} else if t, n := l.withUnit(toks, prev); n > 0 {
		return t, n
	}
	if kind != 0 && !must && !(kind == vocab.Index && toks[0].gap) {
		if t, n := l.match(l.kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	}
	if t, n := l.match(l.kinds[vocab.Level], toks, 0); n > 0 {
		return t, n
	}
	if t, n := l.match(l.kinds[vocab.Figure], toks, 0); n > 0 {
		return t, n
	}
	return toks[0], 1
}

// isDash reports that toks start with a number that cannot have a minus sign,
// so that the sign before it was punctuation: "dish - lnb - 60 feet".
func (l *lexicon) isDash(toks []token) bool {
	end := numberEnd(toks)
	if end == 0 || end >= len(toks) {
		return false
	}
	k := unitKind(toks[end].class)
	return k != 0 && k != vocab.Level
}

// numberEnd returns where the run of number words at the head of toks ends.
func numberEnd(toks []token) int {
	i := 0
	for i < len(toks) && i < 12 && !(i > 0 && toks[i].gap) {
		c := toks[i].class
		and := c == vocab.And && i > 0 && toks[i-1].class == vocab.Hundred
		if c < vocab.Zero || c > vocab.Numeral || c == vocab.Minus && i > 0 {
			if !and {
				break
			}
		}
		i++
	}
	return i
}

// withUnit reads a number whose unit follows.
func (l *lexicon) withUnit(toks []token, prev vocab.Class) (token, int) {
	end := numberEnd(toks)
	if end == 0 || end >= len(toks) {
		return token{}, 0
	}
	kind := unitKind(toks[end].class)
	if kind == 0 {
		return token{}, 0
	}
	k := l.kinds[kind]
	if kind == vocab.Level && toks[0].class != vocab.Minus {
		return l.bareLevel(toks, end)
	}
	if kind == vocab.Volts && !isNumber(prev) { // "five volts" is clear where no number stands before it
		k = l.kinds[vocab.TypedVolts]
	}
	t, n := l.match(k, toks, end)
	t.class = kind
	return t, n
}

// bareLevel reads a level that was said without its sign; only a negative one
// is possible.
func (l *lexicon) bareLevel(toks []token, exact int) (token, int) {
	t, n := l.match(l.kinds[vocab.BareLevel], toks, exact)
	t.class, t.value = vocab.Level, t.value.Neg()
	if t.value.Micro() != 0 {
		t.note = "sign"
	}
	return t, n
}

func isNumber(c vocab.Class) bool { return c >= vocab.Level && c <= vocab.Figure }

// match reads a number of kind k at the head of toks. With exact > 0 its words
// must end there, where the unit is. It returns 0 where the number does not
// fit, or is out of the kind's range.
func (l *lexicon) match(k *numberKind, toks []token, exact int) (token, int) {
	i, neg := 0, false
	if toks[0].class == vocab.Minus {
		if k.sign == unsigned {
			return token{}, 0
		}
		i, neg = 1, true
	} else if k.sign == required {
		return token{}, 0
	}
	for _, s := range k.shapes {
		if !s.fits(toks[i:], i > 0) || k.oneFirst && s.hundreds() && toks[i].value.Micro() != entry.DecimalScale {
			continue
		}
		v, dec := s.value(toks[i:])
		n := i + len(s)
		if !dec {
			var extra int
			v, extra = fraction(v, toks[n:], k.fraction)
			n += extra
		}
		if exact > 0 && n != exact || n < len(toks) && toks[n].class == vocab.Hundred && !toks[n].gap {
			continue
		}
		t := token{class: k.class, lo: toks[0].lo, hi: toks[n-1].hi, gap: toks[0].gap, brk: toks[0].brk, value: entry.DecimalOf(v)}
		if k.whole && v%entry.DecimalScale != 0 {
			return token{}, 0
		}
		if neg {
			t.value = t.value.Neg()
		}
		if t.value.Micro() < k.min*(entry.DecimalScale/100) || t.value.Micro() > k.max*(entry.DecimalScale/100) {
			return token{}, 0
		}
		for _, s := range toks[:n] {
			t.sound, t.spelled = t.sound || s.sound, t.spelled || s.spelled
		}
		if n < len(toks) && k.takesUnit(toks[n].class) {
			t.hi = toks[n].hi
			t.sound, t.spelled = t.sound || toks[n].sound, t.spelled || toks[n].spelled
			n++
		}
		return t, n
	}
	return token{}, 0
}

func (k *numberKind) takesUnit(c vocab.Class) bool {
	if c == k.unit {
		return true
	}
	for _, u := range k.swallow {
		if u == c {
			return true
		}
	}
	return false
}

// hundreds reports that the first digit of a shape is one of hundreds.
func (s shape) hundreds() bool {
	return s[0] == vocab.Digit && (len(s) > 2 || len(s) == 2 && s[1] != vocab.Digit && s[1] != vocab.Zero)
}

// fits reports that the tokens' classes are those of the shape, with no other
// word between them.
func (s shape) fits(toks []token, inside bool) bool {
	if len(toks) < len(s) {
		return false
	}
	for i, c := range s {
		if toks[i].class != c || toks[i].gap && (i > 0 || inside && c != vocab.Hundred) { // minus a hundred
			return false
		}
	}
	return true
}

// value returns the number in millionths, and whether it has a fraction.
func (s shape) value(toks []token) (micro int64, fraction bool) {
	if s[0] == vocab.Numeral {
		return toks[0].value.Micro(), strings.Contains(toks[0].text, ".")
	}
	var n int64
	for i, c := range s {
		v := toks[i].value.Micro() / entry.DecimalScale
		switch {
		case c == vocab.And:
		case c == vocab.Hundred:
			n = max(n, 1) * 100
		case i > 0 && (s[i-1] == vocab.Hundred || s[i-1] == vocab.And):
			n += v
		case c == vocab.Teen || c == vocab.Tens:
			n = n*100 + v
		default:
			n = n*10 + v
		}
	}
	return n * entry.DecimalScale, false
}

// fraction adds "point five" to v, up to places digits.
func fraction(v int64, toks []token, places int) (int64, int) {
	if places == 0 || len(toks) < 2 || toks[0].class != vocab.Point {
		return v, 0
	}
	unit, n := int64(entry.DecimalScale/10), 1
	for n < len(toks) && n <= places && !toks[n].gap && (toks[n].class == vocab.Digit || toks[n].class == vocab.Zero) {
		v += toks[n].value.Micro() / entry.DecimalScale * unit
		unit /= 10
		n++
	}
	if n == 1 {
		return v, 0
	}
	return v, n
}

// joinSpelled reads an identifier: digits one by one, or two by two, or typed.
func (l *lexicon) joinSpelled(toks []token, kind vocab.Class) (token, int) {
	t := token{class: kind, lo: toks[0].lo, hi: toks[0].hi}
	if toks[0].class == vocab.Digits { // typed, with letters in it
		toks[0].class = kind
		return toks[0], 1
	}
	var b strings.Builder
	n := 0
run:
	for n < len(toks) && !(n > 0 && toks[n].gap) {
		switch toks[n].class {
		case vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens, vocab.Numeral:
		default:
			break run
		}
		if _, units := l.withUnit(toks[n:], vocab.Digits); n > 0 && units > 0 {
			break run // "work code seven, two units"
		}
		if toks[n].text != "" {
			b.WriteString(toks[n].text)
		} else {
			b.WriteString(toks[n].value.String())
		}
		t.hi = toks[n].hi
		t.sound = t.sound || toks[n].sound
		n++
	}
	t.text = b.String()
	return t.orUnknown(n)
}

func (t token) orUnknown(n int) (token, int) {
	if n == 0 {
		t.class = vocab.Unknown
		return t, 1
	}
	return t, n
}
