package grammar

import (
	"strings"
	"sync"
	"unicode"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// token is what the grammar sees: one class, with the words behind it.
type token struct {
	class   vocab.Class
	row     *vocab.Row
	value   entry.Decimal // of the number classes
	text    string        // of cDigits, cText and cRemark
	lo, hi  int           // bytes of the phrase
	gap     bool          // a word without meaning stood before it
	note    string        // what had to be assumed to read it: "sign", "slot"
	symbol  bool          // a minus that was typed as a sign
	spelled bool          // some of its words were mended from a slip of the fingers
	brk     bool          // a comma, a full stop or the like stands before it
	sound   bool          // some of its words were put in for what they sound like
}

// means returns the token's value in the machine form.
func (t *token) means() string {
	if t.row == nil {
		return ""
	}
	return t.row.Means
}

// trie finds the longest row at a word.
type trie struct {
	word string // of only, the one child that most nodes have
	only *trie
	next map[string]*trie // further children
	row  *vocab.Row
}

func (t *trie) add(r *vocab.Row) (clash *vocab.Row) {
	for w := range strings.FieldsSeq(r.Say) {
		n := t.get(w)
		if n == nil {
			n = &trie{}
			t.put(w, n)
		}
		t = n
	}
	if t.row != nil {
		return t.row
	}
	t.row = r
	return nil
}

// get is the node after a word, nil where there is none.
func (t *trie) get(w string) *trie {
	if t.only != nil && t.word == w {
		return t.only
	}
	return t.next[w]
}

func (t *trie) put(w string, n *trie) {
	switch {
	case t.only == nil:
		t.word, t.only = w, n
	case t.next == nil:
		t.next = map[string]*trie{w: n}
	default:
		t.next[w] = n
	}
}

// hollow words may stand inside a row without being part of it: "what is the
// margin", "scratch the last two".
func hollow(w string) bool {
	switch w {
	case "the", "a", "an", "uh", "um", "er", "is", "his", "her", "their", "its", "my", "our", "these", "those":
		return true
	}
	return false
}

// longest returns the row that takes the most words from i on, and their end.
func (t *trie) longest(words []word, i int) (*vocab.Row, int) {
	return t.longestFrom(words, i, i, false)
}

// longestFrom is longest, with the words from i to j behind it; number tells
// that they began a number.
func (t *trie) longestFrom(words []word, i, j int, number bool) (*vocab.Row, int) {
	var best *vocab.Row
	end := i // inside a number only "uh" and "um" may stand: "twenty is one" is two
	for ; j < len(words); j++ {
		if j > i && words[j].brk && best != nil && end == j && !number {
			break // "dish, mount" is two
		}
		n := t.get(words[j].text)
		if n == nil {
			if j > i && hollow(words[j].text) && (!number || words[j].text[0] == 'u') {
				continue
			}
			break
		}
		if j == i {
			number = n.row != nil && startsNumber(n.row.Class)
		}
		if j > i && !number && hollow(words[j].text) { // some rows have the word, others go on without it
			if r, e := t.longestFrom(words, i, j+1, false); r != nil && e > end {
				best, end = r, e
			}
		}
		t = n
		if t.row != nil && j+1 >= end {
			best, end = t.row, j+1
		}
	}
	return best, end
}

// lexicon is the vocabulary as the lexer uses it.
type lexicon struct {
	rows  []vocab.Row
	kinds *kindTable
	trie  trie
	dish  *vocab.Row // "dish" as the name of a check
	pass  *vocab.Row // "pass"
	input *vocab.Row // "input"
	onFor *vocab.Row // "on" as a synonym of "for", before a slot

	wordsOnce sync.Once
	words     map[string]*vocab.Row
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
		if id, n := identifier(phrase, words[i:]); n > 0 && wantsJob(toks) {
			toks, gap = append(toks, id), false
			i += n
			continue
		}
		w := &words[i]
		t := token{class: vocab.Unknown, lo: w.lo, hi: w.hi, gap: gap, symbol: w.symbol}
		if n := len(toks); n > 0 {
			t.brk = broken(phrase, toks[n-1].hi, w.lo)
		}
		r, end := l.trie.longest(words, i)
		switch {
		case r != nil:
			t.class, t.row, t.hi = r.Class, r, words[end-1].hi
			t.value = entry.Whole(int64(r.Num))
			for j := i; j < end; j++ {
				t.sound = t.sound || words[j].sound
				t.spelled = t.spelled || words[j].spelled
			}
		case w.digits:
			t.class, t.value, t.text = numeral(w.text)
			end = i + 1
		default:
			end = i + 1
		}
		i = end
		if t.class == vocab.Unknown && w.text == "was" && ofEntry(toks) { // "entry twelve was minus forty"
			continue
		}
		if t.class == vocab.Filler && !approves(toks, &t, i == len(words)) {
			gap = gap || parts(t.row.Say)
			continue
		}
		if t.class == vocab.Filler {
			t.class, t.row = vocab.Verdict, l.pass
		}
		gap = false
		toks = append(toks, t)
		if takesText(t.class, len(toks)) {
			if text := freeText(phrase, t.hi); text.hi > text.lo {
				toks = append(toks, text)
			}
			break
		}
	}
	return toks
}

// parts reports that a little word parts a number from what stands before it:
// "a jumper with a new one" is no jumper number one.
func parts(say string) bool {
	switch say {
	case "the", "an", "uh", "um", "er", "number":
		return false
	}
	return true
}

// approves reports that "okay" is a verdict, and not a word to begin with: it
// ends the phrase, or stands in the middle of a statement.
func approves(toks []token, t *token, end bool) bool {
	return len(toks) > 0 && (t.row.Say == "ok" || t.row.Say == "okay") && (end || !t.brk)
}

// broken reports that a comma, a full stop or the like stands between two bytes
// of a phrase.
func broken(phrase string, lo, hi int) bool {
	return hi > lo && strings.ContainsAny(phrase[lo:hi], ",;:.!—")
}

// ofEntry reports that tokens end with the number of an entry.
func ofEntry(toks []token) bool {
	i := len(toks) - 1
	for i >= 0 && startsNumber(toks[i].class) {
		i--
	}
	return i >= 0 && i < len(toks)-1 && toks[i].class == vocab.Entry
}

// wantsJob reports that the number of a job is what comes next.
func wantsJob(toks []token) bool {
	i := len(toks) - 1
	for i > 0 && (toks[i].class == vocab.Was || toks[i].class == vocab.Repair) {
		i--
	}
	return i >= 0 && (toks[i].class == vocab.JobStart || toks[i].class == vocab.JobWord || toks[i].class == vocab.WrongJob)
}

// identifier reads a job number that has letters in it, as typed: "A-4412",
// "A 4412"; a letter at its end where it is the phrase's last.
func identifier(phrase string, words []word) (token, int) {
	lo := words[0].lo
	field := func(from int) int {
		if n := strings.IndexAny(phrase[from:], " \t\n,;."); n >= 0 {
			return from + n
		}
		return len(phrase)
	}
	hi := field(lo)
	for next := hi + 1; next < len(phrase); next = hi + 1 {
		end := field(next)
		front := hi-lo == 1 && isLetter(phrase[lo]) && phrase[next] >= '0' && phrase[next] <= '9'
		back := phrase[hi-1] >= '0' && phrase[hi-1] <= '9' && end == next+1 && isLetter(phrase[next]) && end == len(strings.TrimRight(phrase, " \t\n.;"))
		if phrase[hi] != ' ' || !front && !back {
			break
		}
		hi = end
	}
	letters, digits := false, false
	for _, c := range []byte(phrase[lo:hi]) {
		letters = letters || isLetter(c)
		digits = digits || c >= '0' && c <= '9'
	}
	if !letters || !digits || hi-lo > 20 || !isASCII(phrase[lo:hi]) {
		return token{}, 0
	}
	n := 0
	for n < len(words) && words[n].lo < hi {
		n++
	}
	return token{class: vocab.Digits, text: strings.ToUpper(strings.ReplaceAll(clean(phrase[lo:hi]), " ", "")), lo: lo, hi: hi}, n
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// takesText reports that all that follows a word of class c is free words.
// n is the word's place among the tokens, from 1.
func takesText(c vocab.Class, n int) bool {
	switch c {
	case vocab.Note, vocab.JobComplaint, vocab.JobClose, vocab.JobReopen:
		return true
	case vocab.Site, vocab.Location, vocab.Reported:
		return n == 1
	}
	return false
}

// freeText returns the words of a phrase from byte lo on, as they were typed.
func freeText(phrase string, lo int) token {
	rest := strings.TrimLeft(phrase[lo:], " \t\r\n,:;.-")
	if at := len(phrase) - len(rest); at > lo && len(rest) > 0 && rest[0] >= '0' && rest[0] <= '9' {
		// The sign and the point of a number are no punctuation before it.
		rest = phrase[lo+len(strings.TrimRight(phrase[lo:at], "-.")):]
	}
	hi := len(strings.TrimRight(phrase, " \t\r\n"))
	lo = len(phrase) - len(rest)
	if lo > hi {
		lo = hi
	}
	return token{class: vocab.Text, text: clean(phrase[lo:hi]), lo: lo, hi: hi}
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
