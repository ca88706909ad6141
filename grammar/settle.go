package grammar

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// settle decides what depends on the neighbours: which little words carry
// meaning, which numbers belong to which unit, what is a remark, and whether
// "dish" is a place or a check.
func (l *lexicon) settle(phrase string, toks []token) []token {
	toks = l.littleWords(toks)
	toks = l.joinNumbers(toks)
	for i := range toks {
		if toks[i].class == vocab.Element && toks[i].row.Means == "dish" && isDishCheck(toks, i) {
			toks[i].class, toks[i].row = vocab.DishCheck, l.dish
		}
	}
	return remarks(phrase, toks)
}

func (l *lexicon) littleWords(toks []token) []token {
	out := toks[:0]
	gap := false
	for i := range toks {
		t := toks[i]
		next := cEOF
		if i+1 < len(toks) {
			next = toks[i+1].class
		}
		switch t.class {
		case vocab.At, vocab.On, vocab.For:
			place := startsPoint(next)
			slot := next == vocab.Slot || next == vocab.Transponder || next == vocab.Polarity
			switch {
			case slot && t.class == vocab.On:
				t.class, t.row = vocab.For, l.onFor
			case slot && t.class == vocab.For, place && t.class != vocab.For:
			case next == cEOF: // more may come
			case t.class == vocab.For, !startsFigure(next): // nothing is dropped that may mean something
				t.class = vocab.Unknown
			default:
				gap = true
				continue
			}
		case vocab.Ordinal: // "the second receiver" is receiver two
			if next == vocab.Element {
				toks[i+1].gap = t.gap || gap
				toks[i], toks[i+1] = toks[i+1], token{class: vocab.Digit, lo: t.lo, hi: t.hi, value: entry.Whole(int64(t.row.Num)), sound: t.sound}
				out = append(out, toks[i])
				gap = false
				continue
			}
		case vocab.In:
			if n := len(out); next != vocab.Room && next != vocab.Numbered && n > 0 && (out[n-1].class == vocab.Element || isMeasure(next)) {
				t.class, t.row = vocab.Side, l.input // "ground block in, pass"
			}
		}
		t.gap = t.gap || gap
		gap = false
		out = append(out, t)
	}
	return out
}

// startsFigure reports that a figure or a verdict starts with class c: "at
// minus forty one".
func startsFigure(c vocab.Class) bool { return startsNumber(c) || isMeasure(c) || c == vocab.Minus }

const cEOF = vocab.Class(lexer.EOF)

func startsPoint(c vocab.Class) bool {
	switch c {
	case vocab.Element, vocab.Room, vocab.Numbered, vocab.Side, vocab.Output, vocab.Behind, vocab.Cable, vocab.Slot:
		return true
	}
	return false
}

// isDishCheck: "dish done" and "dish fail bent arm" are of the inspection.
// "dish pass" by itself is, too, but there the words before and after decide:
// see doReading.
func isDishCheck(toks []token, i int) bool {
	if i > 0 {
		switch toks[i-1].class {
		case vocab.Check, vocab.InputTest, vocab.At, vocab.On:
			return false
		}
	}
	if i+1 < len(toks) && (toks[i+1].class == vocab.Done || toks[i+1].class == vocab.NA) {
		return true
	}
	return i+2 < len(toks) && toks[i+1].class == vocab.Verdict && (toks[i+2].class == vocab.Remark || toks[i+2].class == vocab.Unknown)
}

func isMeasure(c vocab.Class) bool {
	switch c {
	case vocab.Verdict, vocab.Level, vocab.NoSignal, vocab.Strength, vocab.Share, vocab.MER, vocab.Volts, vocab.Voltage, vocab.NoVolts, vocab.Slot, vocab.Transponder, vocab.Polarity, vocab.For:
		return true
	}
	return false
}

// remarks turns unknown words after the verdict of a check into its remark.
func remarks(phrase string, toks []token) []token {
	for i := 2; i < len(toks); i++ {
		if (toks[i].class == vocab.Unknown || toks[i].class == vocab.Not) && isResult(toks[i-1].class) && checkBefore(toks[:i-1]) {
			said := phrase[toks[i].lo:remarkEnd(phrase, toks[i].lo)]
			if turns(said) || testsInput(toks[:i]) && several(said) {
				return toks
			}
			toks = remarkAt(phrase, toks, i)
		}
	}
	return toks
}

// testsInput reports that the check is of a receiver's input, and several that
// words speak of more than one.
func testsInput(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool { return t.class == vocab.InputTest })
}

func several(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(said)) {
		switch w {
		case "all", "both", "every", "each", "others", "receivers", "boxes":
			return true
		}
	}
	return false
}

// wordyRemark turns the words around token n, which does not fit, into the
// remark of the check before them, known words or not: "mount fail two bolts
// missing". Nil where they are no remark: figures never become one.
func wordyRemark(phrase string, toks []token, n int) []token {
	for i := n; i >= 2; i-- {
		if !isResult(toks[i-1].class) || !checkBefore(toks[:i-1]) {
			continue
		}
		hi := remarkEnd(phrase, toks[i].lo)
		if said := phrase[toks[i].lo:hi]; n >= len(toks) || toks[n].lo >= hi || turns(said) || testsInput(toks[:i]) && several(said) {
			return nil
		}
		for _, t := range toks[i:] {
			if t.lo < hi && !mayRemark(t.class) {
				return nil
			}
		}
		return remarkAt(phrase, slices.Clone(toks), i)
	}
	return nil
}

// mayRemark reports that a known word may stand in a remark: figures and
// words that lead statements may not.
func mayRemark(c vocab.Class) bool {
	switch c {
	case vocab.Unknown, vocab.Not, vocab.Element, vocab.Cable, vocab.Item, vocab.Room, vocab.Numbered, vocab.Side, vocab.Output, vocab.Index, vocab.Figure, vocab.Count, vocab.Length, vocab.No, vocab.In, vocab.On, vocab.At,
		vocab.And, vocab.For, vocab.To, vocab.From, vocab.Between, vocab.After, vocab.Behind, vocab.Question, vocab.Weather, vocab.Remark, vocab.Minus, vocab.Hundred, vocab.Point:
		return true
	}
	return false
}

// remarkAt makes the words from token i on a remark: up to the next comma, or
// to the end.
func remarkAt(phrase string, toks []token, i int) []token {
	lo := toks[i].lo
	hi := remarkEnd(phrase, lo)
	rest := toks[i:]
	for len(rest) > 0 && rest[0].lo < hi {
		rest = rest[1:]
	}
	toks[i] = token{class: vocab.Remark, text: strings.TrimRight(clean(phrase[lo:hi]), ". "), lo: lo, hi: hi}
	return append(toks[:i+1], rest...)
}

func remarkEnd(phrase string, lo int) int {
	if j := strings.IndexAny(phrase[lo:], ",;"); j >= 0 {
		return lo + j
	}
	return len(phrase)
}

func isResult(c vocab.Class) bool { return c == vocab.Verdict || c == vocab.Done || c == vocab.NA }

// checkBefore reports that a check's name, perhaps with a place, ends toks.
func checkBefore(toks []token) bool {
	for i := len(toks) - 1; i >= 0; i-- {
		switch toks[i].class {
		case vocab.Check, vocab.DishCheck, vocab.InputTest:
			return true
		case vocab.Element, vocab.Index, vocab.Room, vocab.Numbered, vocab.In:
			continue
		}
		return false
	}
	return false
}
