package lex

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Settle decides what depends on the neighbours: which little words carry
// meaning, which numbers belong to which unit, what is a remark, and whether
// "dish" is a place or a check.
func (l *Lexicon) Settle(phrase string, toks []Token) []Token {
	toks = l.LittleWords(toks)
	toks = l.JoinNumbers(toks)
	for i := range toks {
		if toks[i].Class == vocab.Element && toks[i].Row.Means == "dish" && isDishCheck(toks, i) {
			toks[i].Class, toks[i].Row = vocab.DishCheck, l.dish
		}
	}
	return remarks(phrase, toks)
}

// LittleWords gives the little words their class by what stands beside them, and drops the rest.
func (l *Lexicon) LittleWords(toks []Token) []Token {
	out := toks[:0]
	gap := false
	for i := range toks {
		t := toks[i]
		next := EOF
		if i+1 < len(toks) {
			next = toks[i+1].Class
		}
		if t.Brk && StartsNumber(t.Class) && next == vocab.At { // "at the ground block, one at the wall plate" is no ground block one
			t.Gap = true
		}
		switch t.Class {
		case vocab.At, vocab.On, vocab.For:
			place := startsPoint(next)
			slot := next == vocab.Slot || next == vocab.Transponder || next == vocab.Polarity
			switch {
			case slot && t.Class == vocab.On:
				t.Class, t.Row = vocab.For, l.onFor
			case slot && t.Class == vocab.For, place && t.Class != vocab.For:
			case next == EOF: // more may come
			case t.Class == vocab.For, !startsFigure(next): // nothing is dropped that may mean something
				t.Class = vocab.Unknown
			default:
				gap = true
				continue
			}
		case vocab.Ordinal: // "the second receiver" is receiver two
			if next == vocab.Element {
				toks[i+1].Gap = t.Gap || gap
				toks[i], toks[i+1] = toks[i+1], Token{Class: vocab.Digit, Lo: t.Lo, Hi: t.Hi, Value: entry.Whole(int64(t.Row.Num)), sound: t.sound}
				out = append(out, toks[i])
				gap = false
				continue
			}
		case vocab.In:
			if n := len(out); next != vocab.Room && next != vocab.Numbered && n > 0 && (out[n-1].Class == vocab.Element || IsMeasure(next)) {
				t.Class, t.Row = vocab.Side, l.input // "ground block in, pass"
			}
		}
		t.Gap = t.Gap || gap
		gap = false
		out = append(out, t)
	}
	return out
}

// startsFigure reports that a figure or a verdict starts with class c: "at
// minus forty one".
func startsFigure(c vocab.Class) bool { return StartsNumber(c) || IsMeasure(c) || c == vocab.Minus }

// EOF is the class of the end of a phrase.
const EOF = vocab.Class(lexer.EOF)

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
func isDishCheck(toks []Token, i int) bool {
	if i > 0 {
		switch toks[i-1].Class {
		case vocab.Check, vocab.InputTest, vocab.At, vocab.On:
			return false
		}
	}
	if i+1 < len(toks) && (toks[i+1].Class == vocab.Done || toks[i+1].Class == vocab.NA) {
		return true
	}
	return i+2 < len(toks) && toks[i+1].Class == vocab.Verdict && (toks[i+2].Class == vocab.Remark || toks[i+2].Class == vocab.Unknown)
}

// IsMeasure reports that a class is a figure of the meter with its name.
func IsMeasure(c vocab.Class) bool {
	switch c {
	case vocab.Verdict, vocab.Level, vocab.NoSignal, vocab.Strength, vocab.Share, vocab.MER, vocab.Volts, vocab.Voltage, vocab.NoVolts, vocab.Slot, vocab.Transponder, vocab.Polarity, vocab.For:
		return true
	}
	return false
}

// remarks turns unknown words after the verdict of a check into its remark.
func remarks(phrase string, toks []Token) []Token {
	for i := 2; i < len(toks); i++ {
		if (toks[i].Class == vocab.Unknown || toks[i].Class == vocab.Not) && isResult(toks[i-1].Class) && checkBefore(toks[:i-1]) {
			said := phrase[toks[i].Lo:remarkEnd(phrase, toks[i].Lo)]
			if Turns(said) || testsInput(toks[:i]) && several(said) {
				return toks
			}
			toks = remarkAt(phrase, toks, i)
		}
	}
	return toks
}

// testsInput reports that the check is of a receiver's input, and several that
// words speak of more than one.
func testsInput(toks []Token) bool {
	return slices.ContainsFunc(toks, func(t Token) bool { return t.Class == vocab.InputTest })
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

// WordyRemark turns the words around token n, which does not fit, into the
// remark of the check before them, known words or not: "mount fail two bolts
// missing". Nil where they are no remark: figures never become one.
func WordyRemark(phrase string, toks []Token, n int) []Token {
	for i := n; i >= 2; i-- {
		if !isResult(toks[i-1].Class) || !checkBefore(toks[:i-1]) {
			continue
		}
		hi := remarkEnd(phrase, toks[i].Lo)
		if said := phrase[toks[i].Lo:hi]; n >= len(toks) || toks[n].Lo >= hi || Turns(said) || testsInput(toks[:i]) && several(said) {
			return nil
		}
		for _, t := range toks[i:] {
			if t.Lo < hi && !mayRemark(t.Class) {
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
func remarkAt(phrase string, toks []Token, i int) []Token {
	lo := toks[i].Lo
	hi := remarkEnd(phrase, lo)
	rest := toks[i:]
	for len(rest) > 0 && rest[0].Lo < hi {
		rest = rest[1:]
	}
	toks[i] = Token{Class: vocab.Remark, Text: strings.TrimRight(Clean(phrase[lo:hi]), ". "), Lo: lo, Hi: hi}
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
func checkBefore(toks []Token) bool {
	for i := len(toks) - 1; i >= 0; i-- {
		switch toks[i].Class {
		case vocab.Check, vocab.DishCheck, vocab.InputTest:
			return true
		case vocab.Element, vocab.Index, vocab.Room, vocab.Numbered, vocab.In:
			continue
		}
		return false
	}
	return false
}

// Turns reports that words take back, or make depend, what stands before them.
func Turns(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(strings.NewReplacer(",", " ", "'", "", "’", "").Replace(said))) {
		switch w {
		case "if", "unless", "should", "could", "would", "might", "may", "maybe", "perhaps", "probably", "think", "guess", "suppose", "supposed", "was", "were", "wasnt", "werent",
			"yesterday", "tomorrow", "will", "wont", "said", "says", "say", "told", "claims", "claim", "reckon", "reckons", "apparently", "supposedly", "allegedly", "until", "when", "last", "ago", "before", "anymore", "later", "soon", "almost", "nearly", "but", "though", "except":
			return true
		}
	}
	return false
}
