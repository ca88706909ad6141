package grammar

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// settle decides what depends on the neighbours: which little words carry
// meaning, which numbers belong to which unit, what is a remark, and whether
// "dish" is a place or a check.
func (l *lexicon) settle(phrase string, toks []token) []token {
	toks = l.littleWords(toks)
	toks = l.joinNumbers(toks)
	for i := range toks {
		if toks[i].class == cElement && toks[i].row.means == "dish" && isDishCheck(toks, i) {
			toks[i].class, toks[i].row = cDishCheck, l.dish
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
		case cAt, cOn, cFor:
			place := startsPoint(next)
			slot := next == cSlot || next == cTransponder || next == cPolarity
			switch {
			case slot && t.class == cOn:
				t.class, t.row = cFor, l.onFor
			case slot && t.class == cFor, place && t.class != cFor:
			case t.class == cFor && next != cEOF: // a homophone of four is never dropped
				t.class = cUnknown
			default:
				gap = true
				continue
			}
		case cOrdinal: // "the second receiver" is receiver two
			if next == cElement {
				toks[i+1].gap = t.gap || gap
				toks[i], toks[i+1] = toks[i+1], token{class: cDigit, lo: t.lo, hi: t.hi, value: whole(int64(t.row.num)), sound: t.sound}
				out = append(out, toks[i])
				gap = false
				continue
			}
		case cIn:
			if n := len(out); next != cRoom && next != cNumbered && n > 0 && (out[n-1].class == cElement || isMeasure(next)) {
				t.class, t.row = cSide, l.input // "ground block in, pass"
			}
		}
		t.gap = t.gap || gap
		gap = false
		out = append(out, t)
	}
	return out
}

const cEOF = class(lexer.EOF)

func startsPoint(c class) bool {
	switch c {
	case cElement, cRoom, cNumbered, cSide, cOutput, cBehind, cCable, cSlot:
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
		case cCheck, cInputTest, cAt, cOn:
			return false
		}
	}
	if i+1 < len(toks) && (toks[i+1].class == cDone || toks[i+1].class == cNA) {
		return true
	}
	return i+2 < len(toks) && toks[i+1].class == cVerdict && (toks[i+2].class == cRemark || toks[i+2].class == cUnknown)
}

func isMeasure(c class) bool {
	switch c {
	case cVerdict, cLevel, cNoSignal, cStrength, cShare, cMER, cVolts, cVoltage, cNoVolts, cSlot, cTransponder, cPolarity, cFor:
		return true
	}
	return false
}

// remarks turns unknown words after the verdict of a check into its remark.
func remarks(phrase string, toks []token) []token {
	for i := 2; i < len(toks); i++ {
		if (toks[i].class == cUnknown || toks[i].class == cNot) && isResult(toks[i-1].class) && checkBefore(toks[:i-1]) {
			toks = remarkAt(phrase, toks, i)
		}
	}
	return toks
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
		if n >= len(toks) || toks[n].lo >= hi {
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
func mayRemark(c class) bool {
	switch c {
	case cUnknown, cNot, cElement, cCable, cItem, cRoom, cNumbered, cSide, cOutput, cIndex, cFigure, cCount, cLength, cNo, cIn, cOn, cAt,
		cAnd, cFor, cTo, cFrom, cBetween, cAfter, cBehind, cQuestion, cWeather, cRemark, cMinus, cHundred, cPoint:
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
	toks[i] = token{class: cRemark, text: strings.TrimRight(clean(phrase[lo:hi]), ". "), lo: lo, hi: hi}
	return append(toks[:i+1], rest...)
}

func remarkEnd(phrase string, lo int) int {
	if j := strings.IndexAny(phrase[lo:], ",;"); j >= 0 {
		return lo + j
	}
	return len(phrase)
}

func isResult(c class) bool { return c == cVerdict || c == cDone || c == cNA }

// checkBefore reports that a check's name, perhaps with a place, ends toks.
func checkBefore(toks []token) bool {
	for i := len(toks) - 1; i >= 0; i-- {
		switch toks[i].class {
		case cCheck, cDishCheck, cInputTest:
			return true
		case cElement, cIndex, cRoom, cNumbered, cIn:
			continue
		}
		return false
	}
	return false
}
