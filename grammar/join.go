package grammar

import "strings"

// joinNumbers replaces runs of number words by one token each. What stands
// before a number, or the unit after it, decides which kind it is.
func (l *lexicon) joinNumbers(toks []token) []token {
	out := toks[:0]
	prev := class(0)
	used, limit := false, false // inside "used …", and inside a threshold for a slot
	for i := 0; i < len(toks); {
		t, n := toks[i], 1
		switch t.class {
		case cUsed:
			used = true
		case cThreshold:
			limit = true
		case cVerdict, cScore:
			limit = false
		}
		lead := prev
		if limit && prev == cOrbit && t.gap {
			lead = cLimit
		}
		if used && isPart(prev) {
			lead = cUsed
		}
		switch kind, _ := leads(lead); {
		case (kind == cDigits || kind == cCodeDigits) && (startsNumber(t.class) || t.class == cDigits):
			t, n = l.joinSpelled(toks[i:], kind)
		case t.class == cMinus && t.symbol && l.isDash(toks[i+1:]):
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
func isPart(c class) bool {
	switch c {
	case cElement, cItem, cCable, cCableType, cLength:
		return true
	}
	return false
}

// staysUsed reports that a list of parts used goes on with class c.
func staysUsed(prev, c class) bool {
	switch c {
	case cUsed, cAnd, cCount, cLength, cCable, cCableType, cItem:
		return true
	case cElement:
		return prev == cUsed || prev == cAnd || prev == cCount || prev == cLength
	}
	return false
}

// joinOne reads the number at the head of toks, which follows class prev, and
// says how many tokens it took. A number that fits nothing stays a figure.
func (l *lexicon) joinOne(toks []token, prev class) (token, int) {
	kind, must := leads(prev)
	if must {
		if kind == cLevel && toks[0].class != cMinus {
			return l.bareLevel(toks, 0)
		}
		if t, n := l.match(l.kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	} else if t, n := l.withUnit(toks, prev); n > 0 {
		return t, n
	}
	if kind != 0 && !must && !(kind == cIndex && toks[0].gap) {
		if t, n := l.match(l.kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	}
	if t, n := l.match(l.kinds[cLevel], toks, 0); n > 0 {
		return t, n
	}
	if t, n := l.match(l.kinds[cFigure], toks, 0); n > 0 {
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
	return k != 0 && k != cLevel
}

// numberEnd returns where the run of number words at the head of toks ends.
func numberEnd(toks []token) int {
	i := 0
	for i < len(toks) && i < 12 && !(i > 0 && toks[i].gap) {
		c := toks[i].class
		and := c == cAnd && i > 0 && toks[i-1].class == cHundred
		if c < cZero || c > cNumeral || c == cMinus && i > 0 {
			if !and {
				break
			}
		}
		i++
	}
	return i
}

// withUnit reads a number whose unit follows.
func (l *lexicon) withUnit(toks []token, prev class) (token, int) {
	end := numberEnd(toks)
	if end == 0 || end >= len(toks) {
		return token{}, 0
	}
	kind := unitKind(toks[end].class)
	if kind == 0 {
		return token{}, 0
	}
	k := l.kinds[kind]
	if kind == cLevel && toks[0].class != cMinus {
		return l.bareLevel(toks, end)
	}
	if kind == cVolts && !isNumber(prev) { // "five volts" is clear where no number stands before it
		k = l.kinds[cTypedVolts]
	}
	t, n := l.match(k, toks, end)
	t.class = kind
	return t, n
}

// bareLevel reads a level that was said without its sign; only a negative one
// is possible.
func (l *lexicon) bareLevel(toks []token, exact int) (token, int) {
	t, n := l.match(l.kinds[cBareLevel], toks, exact)
	t.class, t.value = cLevel, t.value.Neg()
	if t.value.Micro() != 0 {
		t.note = "sign"
	}
	return t, n
}

func isNumber(c class) bool { return c >= cLevel && c <= cFigure }

// match reads a number of kind k at the head of toks. With exact > 0 its words
// must end there, where the unit is. It returns 0 where the number does not
// fit, or is out of the kind's range.
func (l *lexicon) match(k *numberKind, toks []token, exact int) (token, int) {
	i, neg := 0, false
	if toks[0].class == cMinus {
		if k.sign == unsigned {
			return token{}, 0
		}
		i, neg = 1, true
	} else if k.sign == required {
		return token{}, 0
	}
	for _, s := range k.shapes {
		if !s.fits(toks[i:], i > 0) || k.oneFirst && s.hundreds() && toks[i].value.Micro() != decimalScale {
			continue
		}
		v, dec := s.value(toks[i:])
		n := i + len(s)
		if !dec {
			var extra int
			v, extra = fraction(v, toks[n:], k.fraction)
			n += extra
		}
		if exact > 0 && n != exact || n < len(toks) && toks[n].class == cHundred && !toks[n].gap {
			continue
		}
		t := token{class: k.class, lo: toks[0].lo, hi: toks[n-1].hi, gap: toks[0].gap, value: DecimalOf(v)}
		if k.whole && v%decimalScale != 0 {
			return token{}, 0
		}
		if neg {
			t.value = t.value.Neg()
		}
		if t.value.Micro() < k.min*(decimalScale/100) || t.value.Micro() > k.max*(decimalScale/100) {
			return token{}, 0
		}
		for _, s := range toks[:n] {
			t.sound = t.sound || s.sound
		}
		if n < len(toks) && k.takesUnit(toks[n].class) {
			t.hi = toks[n].hi
			t.sound = t.sound || toks[n].sound
			n++
		}
		return t, n
	}
	return token{}, 0
}

func (k *numberKind) takesUnit(c class) bool {
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
	return s[0] == cDigit && (len(s) > 2 || len(s) == 2 && s[1] != cDigit && s[1] != cZero)
}

// fits reports that the tokens' classes are those of the shape, with no other
// word between them.
func (s shape) fits(toks []token, inside bool) bool {
	if len(toks) < len(s) {
		return false
	}
	for i, c := range s {
		if toks[i].class != c || toks[i].gap && (i > 0 || inside && c != cHundred) { // minus a hundred
			return false
		}
	}
	return true
}

// value returns the number in millionths, and whether it has a fraction.
func (s shape) value(toks []token) (micro int64, fraction bool) {
	if s[0] == cNumeral {
		return toks[0].value.Micro(), strings.Contains(toks[0].text, ".")
	}
	var n int64
	for i, c := range s {
		v := toks[i].value.Micro() / decimalScale
		switch {
		case c == cAnd:
		case c == cHundred:
			n = max(n, 1) * 100
		case i > 0 && (s[i-1] == cHundred || s[i-1] == cAnd):
			n += v
		case c == cTeen || c == cTens:
			n = n*100 + v
		default:
			n = n*10 + v
		}
	}
	return n * decimalScale, false
}

// fraction adds "point five" to v, up to places digits.
func fraction(v int64, toks []token, places int) (int64, int) {
	if places == 0 || len(toks) < 2 || toks[0].class != cPoint {
		return v, 0
	}
	unit, n := int64(decimalScale/10), 1
	for n < len(toks) && n <= places && !toks[n].gap && (toks[n].class == cDigit || toks[n].class == cZero) {
		v += toks[n].value.Micro() / decimalScale * unit
		unit /= 10
		n++
	}
	if n == 1 {
		return v, 0
	}
	return v, n
}

// joinSpelled reads an identifier: digits one by one, or two by two, or typed.
func (l *lexicon) joinSpelled(toks []token, kind class) (token, int) {
	t := token{class: kind, lo: toks[0].lo, hi: toks[0].hi}
	if toks[0].class == cDigits { // typed, with letters in it
		toks[0].class = kind
		return toks[0], 1
	}
	var b strings.Builder
	n := 0
run:
	for n < len(toks) && !(n > 0 && toks[n].gap) {
		switch toks[n].class {
		case cZero, cDigit, cTeen, cTens, cNumeral:
		default:
			break run
		}
		if _, units := l.withUnit(toks[n:], cDigits); n > 0 && units > 0 {
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
		t.class = cUnknown
		return t, 1
	}
	return t, n
}
