package grammar

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"
)

// word is one word of a phrase: folded text, and where it stood.
type word struct {
	text   string // lower case, ASCII digits and letters of any script; "minus" for the sign
	lo, hi int    // bytes of the phrase
	digits bool   // a numeral, perhaps with a decimal point
	symbol bool   // a sign, not the word
	sound  bool   // put in place of a word that sounds like it
}

// token is what the grammar sees: one class, with the words behind it.
type token struct {
	class  class
	row    *row
	value  Decimal // of the number classes
	text   string  // of cDigits, cText and cRemark
	lo, hi int     // bytes of the phrase
	gap    bool    // a word without meaning stood before it
	note   string  // what had to be assumed to read it: "sign", "slot"
	symbol bool    // a minus that was typed as a sign
	sound  bool    // some of its words were put in for what they sound like
}

// means returns the token's value in the machine form.
func (t *token) means() string {
	if t.row == nil {
		return ""
	}
	return t.row.means
}

// splitWords cuts a phrase into words. Capital letters, full stops, commas,
// hyphens, marks and control characters do not matter, except that a point
// between digits is a decimal point, and a dash before a number is its sign.
func splitWords(phrase string) []word {
	words := make([]word, 0, len(phrase)/4+4)
	fold := strings.ToLower(phrase)
	if len(fold) != len(phrase) {
		fold = foldBytes(phrase)
	}
	for i := 0; i < len(phrase); {
		c := phrase[i]
		switch {
		case c >= '0' && c <= '9':
			j := numeralEnd(phrase, i)
			words = append(words, word{text: phrase[i:j], lo: i, hi: j, digits: true})
			i = j
		case c < utf8.RuneSelf:
			if j := letterEnd(fold, i); j > i {
				text := fold[i:j]
				if strings.IndexByte(text, '\'') >= 0 || !isASCII(text) {
					text = dropMarks(text)
				}
				words = append(words, word{text: text, lo: i, hi: j})
				i = j
				continue
			}
			if w, ok := symbolWord(phrase, i, 1); ok {
				words = append(words, w)
			}
			i++
		default:
			r, n := utf8.DecodeRuneInString(phrase[i:])
			if j := letterEnd(fold, i); j > i {
				words = append(words, word{text: dropMarks(fold[i:j]), lo: i, hi: j})
				i = j
				continue
			}
			if r == '−' || r == '–' || r == '—' || r == '‐' || r == '‑' || r == '－' {
				if w, ok := dashWord(phrase, i, n); ok {
					words = append(words, w)
				}
			} else if r == '°' {
				words = append(words, word{text: "degrees", lo: i, hi: i + n})
			}
			i += n
		}
	}
	return words
}

// foldBytes folds what can be folded without moving any byte.
func foldBytes(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c >= 'A' && c <= 'Z' {
			b[i] = c + 'a' - 'A'
		}
	}
	return string(b)
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

func numeralEnd(s string, i int) int {
	j := i
	for j < len(s) && s[j] >= '0' && s[j] <= '9' {
		j++
	}
	if j+1 < len(s) && s[j] == '.' && s[j+1] >= '0' && s[j+1] <= '9' {
		for j++; j < len(s) && s[j] >= '0' && s[j] <= '9'; {
			j++
		}
	}
	return j
}

// letterEnd returns the end of the run of letters at i: letters of any
// script, the marks on them, and apostrophes between two of them.
func letterEnd(s string, i int) int {
	j := i
	for j < len(s) {
		c := s[j]
		if c < utf8.RuneSelf {
			if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '\'' && j > i && j+1 < len(s) && s[j+1] >= 'a' && s[j+1] <= 'z' {
				j++
				continue
			}
			break
		}
		r, n := utf8.DecodeRuneInString(s[j:])
		if unicode.IsLetter(r) || unicode.IsNumber(r) || j > i && (unicode.IsMark(r) || unicode.Is(unicode.Cf, r) || r == '’') {
			j += n
			continue
		}
		break
	}
	if j == i {
		return i
	}
	return j
}

// dropMarks removes apostrophes, combining marks and format characters.
func dropMarks(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\'' || r == '’' || unicode.IsMark(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, s)
}

func symbolWord(s string, i, n int) (word, bool) {
	switch s[i] {
	case '-':
		return dashWord(s, i, n)
	case '%':
		return word{text: "percent", lo: i, hi: i + 1}, true
	case '&', '+':
		return word{text: "and", lo: i, hi: i + 1}, true
	case '@':
		return word{text: "at", lo: i, hi: i + 1}, true
	case '\'':
		if i > 0 && s[i-1] >= '0' && s[i-1] <= '9' && (i+1 == len(s) || s[i+1] == ' ' || s[i+1] == ',') {
			return word{text: "feet", lo: i, hi: i + 1}, true
		}
	}
	return word{}, false
}

// dashWord says whether a dash is a minus sign: a number follows it, and no
// letter or digit stands right before it.
func dashWord(s string, i, n int) (word, bool) {
	j := i + n
	for j < len(s) && s[j] == ' ' {
		j++
	}
	if j == len(s) || s[j] < '0' || s[j] > '9' {
		return word{}, false
	}
	if r, _ := utf8.DecodeLastRuneInString(s[:i]); i > 0 && (unicode.IsLetter(r) || unicode.IsNumber(r)) {
		return word{}, false
	}
	return word{text: "minus", lo: i, hi: i + n, symbol: true}, true
}

// trie finds the longest row at a word.
type trie struct {
	next map[string]*trie
	row  *row
}

func (t *trie) add(r *row) (clash *row) {
	for w := range strings.FieldsSeq(r.say) {
		n := t.next[w]
		if n == nil {
			n = &trie{}
			if t.next == nil {
				t.next = map[string]*trie{}
			}
			t.next[w] = n
		}
		t = n
	}
	if t.row != nil {
		return t.row
	}
	t.row = r
	return nil
}

// hollow words may stand inside a row without being part of it: "what is the
// margin", "scratch the last two".
func hollow(w string) bool {
	switch w {
	case "the", "a", "an", "uh", "um", "er", "is":
		return true
	}
	return false
}

// longest returns the row that takes the most words from i on, and their end.
func (t *trie) longest(words []word, i int) (*row, int) {
	var best *row
	end := i
	number := false // inside a number only "uh" and "um" may stand: "twenty is one" is two
	for j := i; j < len(words); j++ {
		n := t.next[words[j].text]
		if n == nil {
			if j > i && hollow(words[j].text) && (!number || words[j].text[0] == 'u') {
				continue
			}
			break
		}
		if j == i {
			number = n.row != nil && startsNumber(n.row.class)
		}
		t = n
		if t.row != nil {
			best, end = t.row, j+1
		}
	}
	return best, end
}

// lexicon is the vocabulary as the lexer uses it.
type lexicon struct {
	rows  []row
	kinds *kindTable
	trie  trie
	dish  *row // "dish" as the name of a check
	onFor *row // "on" as a synonym of "for", before a slot
}

// lex turns a phrase into tokens of the grammar's classes.
func (l *lexicon) lex(phrase string) []token {
	return l.lexWords(phrase, splitWords(phrase))
}

func (l *lexicon) lexWords(phrase string, words []word) []token {
	return l.settle(phrase, l.rawTokens(phrase, words))
}

// rawTokens finds the rows of a phrase, and drops the words without meaning.
func (l *lexicon) rawTokens(phrase string, words []word) []token {
	toks := make([]token, 0, len(words)+1)
	gap := false
	for i := 0; i < len(words); {
		w := &words[i]
		t := token{class: cUnknown, lo: w.lo, hi: w.hi, gap: gap, symbol: w.symbol}
		r, end := l.trie.longest(words, i)
		switch {
		case r != nil:
			t.class, t.row, t.hi = r.class, r, words[end-1].hi
			t.value = whole(int64(r.num))
			for j := i; j < end; j++ {
				t.sound = t.sound || words[j].sound
			}
		case w.digits:
			t.class, t.value, t.text = numeral(w.text)
			end = i + 1
		default:
			end = i + 1
		}
		i = end
		if t.class == cFiller {
			gap = gap || !hollow(t.row.say) || t.row.say == "a" || t.row.say == "is"
			continue
		}
		gap = false
		toks = append(toks, t)
		if t.class == cJobStart {
			if id, n := identifier(phrase, words[i:]); n > 0 {
				toks = append(toks, id)
				i += n
			}
		}
		if takesText(t.class, len(toks)) {
			if text := freeText(phrase, t.hi); text.hi > text.lo {
				toks = append(toks, text)
			}
			break
		}
	}
	return toks
}

// identifier reads a job number that has letters in it, as typed: "A-4412".
func identifier(phrase string, words []word) (token, int) {
	n := 0
	for n < len(words) && words[n].text == "number" {
		n++
	}
	if n == len(words) {
		return token{}, 0
	}
	lo := words[n].lo
	hi := lo
	letters, digits := false, false
	for hi < len(phrase) && strings.IndexByte(" \t\n,;.", phrase[hi]) < 0 {
		c := phrase[hi] | 0x20
		letters = letters || c >= 'a' && c <= 'z'
		digits = digits || phrase[hi] >= '0' && phrase[hi] <= '9'
		hi++
	}
	if !letters || !digits || hi-lo > 20 || !isASCII(phrase[lo:hi]) {
		return token{}, 0
	}
	for n < len(words) && words[n].lo < hi {
		n++
	}
	return token{class: cDigits, text: strings.ToUpper(clean(phrase[lo:hi])), lo: lo, hi: hi}, n
}

// takesText reports that all that follows a word of class c is free words.
// n is the word's place among the tokens, from 1.
func takesText(c class, n int) bool {
	switch c {
	case cNote, cJobComplaint, cJobClose, cJobReopen:
		return true
	case cSite, cLocation, cReported:
		return n == 1
	}
	return false
}

// freeText returns the words of a phrase from byte lo on, as they were typed.
func freeText(phrase string, lo int) token {
	rest := strings.TrimLeft(phrase[lo:], " \t\r\n,:;.-")
	hi := len(strings.TrimRight(phrase, " \t\r\n"))
	lo = len(phrase) - len(rest)
	if lo > hi {
		lo = hi
	}
	return token{class: cText, text: clean(phrase[lo:hi]), lo: lo, hi: hi}
}

// clean drops control and format characters from free words and makes every
// run of white space one space.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

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
			if next != cRoom && next != cNumbered {
				gap = true
				continue
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
		if toks[i].class == cUnknown && isResult(toks[i-1].class) && checkBefore(toks[:i-1]) {
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
	case cUnknown, cElement, cCable, cItem, cRoom, cNumbered, cSide, cOutput, cIndex, cFigure, cCount, cLength, cNo, cIn, cOn, cAt,
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
