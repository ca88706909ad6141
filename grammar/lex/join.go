package lex

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// JoinNumbers replaces runs of number words by one token each. What stands
// before a number, or the unit after it, decides which kind it is.
func (l *Lexicon) JoinNumbers(toks []Token) []Token {
	out := toks[:0]
	prev := vocab.Class(0)
	used, limit := false, false // inside "used …", and inside a threshold for a slot
	for i := 0; i < len(toks); {
		t, n := toks[i], 1
		switch t.Class {
		case vocab.Used:
			used = true
		case vocab.Threshold:
			limit = true
		case vocab.Verdict, vocab.Score:
			limit = false
		}
		lead := prev
		if limit && prev == vocab.Orbit && (t.Gap || t.Brk) {
			lead = vocab.Limit
		}
		if used && IsPart(prev) {
			lead = vocab.Used
		}
		switch kind, _ := leads(lead); {
		case (kind == vocab.Digits || kind == vocab.CodeDigits) && (StartsNumber(t.Class) || t.Class == vocab.Digits):
			t, n = l.joinSpelled(toks[i:], kind)
		case t.Class == vocab.Minus && t.symbol && l.isDash(toks[i+1:]):
			i++
			continue
		case StartsNumber(t.Class):
			t, n = l.joinOne(toks[i:], lead)
		}
		i += n
		out = append(out, t)
		used = used && staysUsed(prev, t.Class)
		prev = t.Class
	}
	return out
}

// IsPart reports that a class is a part, or a length, in a list of those used.
func IsPart(c vocab.Class) bool {
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
func (l *Lexicon) joinOne(toks []Token, prev vocab.Class) (Token, int) {
	kind, must := leads(prev)
	if must {
		if kind == vocab.Level && toks[0].Class != vocab.Minus {
			return l.bareLevel(toks, 0)
		}
		if t, n := l.Match(l.Kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	} else if t, n := l.withUnit(toks, prev); n > 0 {
		return t, n
	}
	if kind != 0 && !must && !(kind == vocab.Index && toks[0].Gap) {
		if t, n := l.Match(l.Kinds[kind], toks, 0); n > 0 {
			return t, n
		}
	}
	if t, n := l.Match(l.Kinds[vocab.Level], toks, 0); n > 0 {
		return t, n
	}
	if t, n := l.Match(l.Kinds[vocab.Figure], toks, 0); n > 0 {
		return t, n
	}
	return toks[0], 1
}

// isDash reports that toks start with a number that cannot have a minus sign,
// so that the sign before it was punctuation: "dish - lnb - 60 feet".
func (l *Lexicon) isDash(toks []Token) bool {
	end := NumberEnd(toks)
	if end == 0 || end >= len(toks) {
		return false
	}
	k := UnitKind(toks[end].Class)
	return k != 0 && k != vocab.Level
}

// NumberEnd returns where the run of number words at the head of toks ends.
func NumberEnd(toks []Token) int {
	i := 0
	for i < len(toks) && i < 12 && !(i > 0 && toks[i].Gap) {
		c := toks[i].Class
		and := c == vocab.And && i > 0 && toks[i-1].Class == vocab.Hundred
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
func (l *Lexicon) withUnit(toks []Token, prev vocab.Class) (Token, int) {
	end := NumberEnd(toks)
	if end == 0 || end >= len(toks) {
		return Token{}, 0
	}
	kind := UnitKind(toks[end].Class)
	if kind == 0 {
		return Token{}, 0
	}
	k := l.Kinds[kind]
	if kind == vocab.Level && toks[0].Class != vocab.Minus {
		return l.bareLevel(toks, end)
	}
	if kind == vocab.Volts && !isNumber(prev) { // "five volts" is clear where no number stands before it
		k = l.Kinds[vocab.TypedVolts]
	}
	t, n := l.Match(k, toks, end)
	t.Class = kind
	return t, n
}

// bareLevel reads a level that was said without its sign; only a negative one
// is possible.
func (l *Lexicon) bareLevel(toks []Token, exact int) (Token, int) {
	t, n := l.Match(l.Kinds[vocab.BareLevel], toks, exact)
	t.Class, t.Value = vocab.Level, t.Value.Neg()
	if t.Value.Micro() != 0 {
		t.Note = "sign"
	}
	return t, n
}

func isNumber(c vocab.Class) bool { return c >= vocab.Level && c <= vocab.Figure }

// Match reads a number of kind k at the head of toks. With exact > 0 its words
// must end there, where the unit is. It returns 0 where the number does not
// fit, or is out of the kind's range.
func (l *Lexicon) Match(k *NumberKind, toks []Token, exact int) (Token, int) {
	i, neg := 0, false
	if toks[0].Class == vocab.Minus {
		if k.Sign == Unsigned {
			return Token{}, 0
		}
		i, neg = 1, true
	} else if k.Sign == Required {
		return Token{}, 0
	}
	for _, s := range k.Shapes {
		if !s.Fits(toks[i:], i > 0) || k.OneFirst && s.Hundreds() && toks[i].Value.Micro() != entry.DecimalScale {
			continue
		}
		v, dec := s.value(toks[i:])
		n := i + len(s)
		if !dec {
			var extra int
			v, extra = fraction(v, toks[n:], k.Fraction)
			n += extra
		}
		if exact > 0 && n != exact || n < len(toks) && toks[n].Class == vocab.Hundred && !toks[n].Gap {
			continue
		}
		t := Token{Class: k.Class, Lo: toks[0].Lo, Hi: toks[n-1].Hi, Gap: toks[0].Gap, Brk: toks[0].Brk, Value: entry.DecimalOf(v)}
		if k.whole && v%entry.DecimalScale != 0 {
			return Token{}, 0
		}
		if neg {
			t.Value = t.Value.Neg()
		}
		if t.Value.Micro() < k.Min*(entry.DecimalScale/100) || t.Value.Micro() > k.Max*(entry.DecimalScale/100) {
			return Token{}, 0
		}
		for _, s := range toks[:n] {
			t.sound, t.Spelled = t.sound || s.sound, t.Spelled || s.Spelled
		}
		if n < len(toks) && k.takesUnit(toks[n].Class) {
			t.Hi = toks[n].Hi
			t.sound, t.Spelled = t.sound || toks[n].sound, t.Spelled || toks[n].Spelled
			n++
		}
		return t, n
	}
	return Token{}, 0
}

func (k *NumberKind) takesUnit(c vocab.Class) bool {
	if c == k.Unit {
		return true
	}
	for _, u := range k.Swallow {
		if u == c {
			return true
		}
	}
	return false
}

// Hundreds reports that the first digit of a shape is one of hundreds.
func (s Shape) Hundreds() bool {
	return s[0] == vocab.Digit && (len(s) > 2 || len(s) == 2 && s[1] != vocab.Digit && s[1] != vocab.Zero)
}

// Fits reports that the tokens' classes are those of the shape, with no other
// word between them.
func (s Shape) Fits(toks []Token, inside bool) bool {
	if len(toks) < len(s) {
		return false
	}
	for i, c := range s {
		if toks[i].Class != c || toks[i].Gap && (i > 0 || inside && c != vocab.Hundred) { // minus a hundred
			return false
		}
	}
	return true
}

// value returns the number in millionths, and whether it has a fraction.
func (s Shape) value(toks []Token) (micro int64, fraction bool) {
	if s[0] == vocab.Numeral {
		return toks[0].Value.Micro(), strings.Contains(toks[0].Text, ".")
	}
	var n int64
	for i, c := range s {
		v := toks[i].Value.Micro() / entry.DecimalScale
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
func fraction(v int64, toks []Token, places int) (int64, int) {
	if places == 0 || len(toks) < 2 || toks[0].Class != vocab.Point {
		return v, 0
	}
	unit, n := int64(entry.DecimalScale/10), 1
	for n < len(toks) && n <= places && !toks[n].Gap && (toks[n].Class == vocab.Digit || toks[n].Class == vocab.Zero) {
		v += toks[n].Value.Micro() / entry.DecimalScale * unit
		unit /= 10
		n++
	}
	if n == 1 {
		return v, 0
	}
	return v, n
}

// joinSpelled reads an identifier: digits one by one, or two by two, or typed.
func (l *Lexicon) joinSpelled(toks []Token, kind vocab.Class) (Token, int) {
	t := Token{Class: kind, Lo: toks[0].Lo, Hi: toks[0].Hi}
	if toks[0].Class == vocab.Digits { // typed, with letters in it
		toks[0].Class = kind
		return toks[0], 1
	}
	var b strings.Builder
	n := 0
run:
	for n < len(toks) && !(n > 0 && toks[n].Gap) {
		switch toks[n].Class {
		case vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens, vocab.Numeral:
		default:
			break run
		}
		if _, units := l.withUnit(toks[n:], vocab.Digits); n > 0 && units > 0 {
			break run // "work code seven, two units"
		}
		if toks[n].Text != "" {
			b.WriteString(toks[n].Text)
		} else {
			b.WriteString(toks[n].Value.String())
		}
		t.Hi = toks[n].Hi
		t.sound = t.sound || toks[n].sound
		n++
	}
	t.Text = b.String()
	return t.orUnknown(n)
}

func (t Token) orUnknown(n int) (Token, int) {
	if n == 0 {
		t.Class = vocab.Unknown
		return t, 1
	}
	return t, n
}

// Digits reads number words at the end of tokens i as an identifier.
func (l *Lexicon) Digits(phrase string, toks []Token, i int) (string, bool) {
	lo := i
	for lo > 0 && (toks[lo-1].Class == vocab.Figure || StartsNumber(toks[lo-1].Class) || toks[lo-1].Class == vocab.Count) {
		lo--
	}
	raw := l.RawTokens(phrase[:toks[i-1].Hi], Split(phrase[:toks[i-1].Hi]))
	for len(raw) > 0 && raw[0].Lo < toks[lo].Lo {
		raw = raw[1:]
	}
	if len(raw) == 0 {
		return "", false
	}
	k, n := l.joinSpelled(raw, vocab.Digits)
	return k.Text, n == len(raw) && k.Text != ""
}
