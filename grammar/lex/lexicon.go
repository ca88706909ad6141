package lex

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// hollow words may stand inside a row without being part of it: "what is the
// margin", "scratch the last two".
func hollow(w string) bool {
	switch w {
	case "the", "a", "an", "uh", "um", "er", "is", "his", "her", "their", "its", "my", "our", "these", "those":
		return true
	}
	return false
}

// Lexicon is the vocabulary as the lexer uses it.
type Lexicon struct {
	Rows  []vocab.Row
	Kinds *kindTable
	Trie  trie
	dish  *vocab.Row // "dish" as the name of a check
	pass  *vocab.Row // "pass"
	input *vocab.Row // "input"
	onFor *vocab.Row // "on" as a synonym of "for", before a slot

	wordsOnce sync.Once
	words     map[string]*vocab.Row
}

// Lex turns a phrase into tokens of the grammar's classes.
func (l *Lexicon) Lex(phrase string) []Token {
	return l.LexWords(phrase, Split(phrase))
}

// LexWords is Lex of a phrase that was split.
func (l *Lexicon) LexWords(phrase string, words []Word) []Token {
	return l.Settle(phrase, l.RawTokens(phrase, words))
}

// RawTokens finds the rows of a phrase, and drops the words without meaning.
func (l *Lexicon) RawTokens(phrase string, words []Word) []Token {
	toks := make([]Token, 0, len(words)+1)
	gap := false
	for i := 0; i < len(words); {
		if id, n := identifier(phrase, words[i:]); n > 0 && wantsJob(toks) {
			toks, gap = append(toks, id), false
			i += n
			continue
		}
		w := &words[i]
		t := Token{Class: vocab.Unknown, Lo: w.Lo, Hi: w.Hi, Gap: gap, symbol: w.Symbol}
		if n := len(toks); n > 0 {
			t.Brk = broken(phrase, toks[n-1].Hi, w.Lo)
		}
		r, end := l.Trie.Longest(words, i)
		switch {
		case r != nil:
			t.Class, t.Row, t.Hi = r.Class, r, words[end-1].Hi
			t.Value = entry.Whole(int64(r.Num))
			for j := i; j < end; j++ {
				t.sound = t.sound || words[j].Sound
				t.Spelled = t.Spelled || words[j].spelled
			}
		case w.Digits:
			t.Class, t.Value, t.Text = numeral(w.Text)
			end = i + 1
		default:
			end = i + 1
		}
		i = end
		if t.Class == vocab.Unknown && w.Text == "was" && ofEntry(toks) { // "entry twelve was minus forty"
			continue
		}
		if t.Class == vocab.Filler && !approves(toks, &t, i == len(words)) {
			gap = gap || parts(t.Row.Say)
			continue
		}
		if t.Class == vocab.Filler {
			t.Class, t.Row = vocab.Verdict, l.pass
		}
		gap = false
		toks = append(toks, t)
		if TakesText(t.Class, len(toks)) {
			if text := freeText(phrase, t.Hi); text.Hi > text.Lo {
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
func approves(toks []Token, t *Token, end bool) bool {
	return len(toks) > 0 && (t.Row.Say == "ok" || t.Row.Say == "okay") && (end || !t.Brk)
}

// broken reports that a comma, a full stop or the like stands between two bytes
// of a phrase.
func broken(phrase string, lo, hi int) bool {
	return hi > lo && strings.ContainsAny(phrase[lo:hi], ",;:.!—")
}

// ofEntry reports that tokens end with the number of an entry.
func ofEntry(toks []Token) bool {
	i := len(toks) - 1
	for i >= 0 && StartsNumber(toks[i].Class) {
		i--
	}
	return i >= 0 && i < len(toks)-1 && toks[i].Class == vocab.Entry
}

// wantsJob reports that the number of a job is what comes next.
func wantsJob(toks []Token) bool {
	i := len(toks) - 1
	for i > 0 && (toks[i].Class == vocab.Was || toks[i].Class == vocab.Repair) {
		i--
	}
	return i >= 0 && (toks[i].Class == vocab.JobStart || toks[i].Class == vocab.JobWord || toks[i].Class == vocab.WrongJob)
}

// identifier reads a job number that has letters in it, as typed: "A-4412",
// "A 4412"; a letter at its end where it is the phrase's last.
func identifier(phrase string, words []Word) (Token, int) {
	lo := words[0].Lo
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
		return Token{}, 0
	}
	n := 0
	for n < len(words) && words[n].Lo < hi {
		n++
	}
	return Token{Class: vocab.Digits, Text: strings.ToUpper(strings.ReplaceAll(Clean(phrase[lo:hi]), " ", "")), Lo: lo, Hi: hi}, n
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// TakesText reports that all that follows a word of class c is free words.
// n is the word's place among the tokens, from 1.
func TakesText(c vocab.Class, n int) bool {
	switch c {
	case vocab.Note, vocab.JobComplaint, vocab.JobClose, vocab.JobReopen:
		return true
	case vocab.Site, vocab.Location, vocab.Reported:
		return n == 1
	}
	return false
}

// freeText returns the words of a phrase from byte lo on, as they were typed.
func freeText(phrase string, lo int) Token {
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
	return Token{Class: vocab.Text, Text: Clean(phrase[lo:hi]), Lo: lo, Hi: hi}
}

// Clean drops control and format characters from free words and makes every
// run of white space one space.
func Clean(s string) string {
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

// New returns the lexicon of the speech grammar. It fails where two rows of the
// same words mean different things.
func New(rows []vocab.Row) (*Lexicon, error) {
	l := &Lexicon{Rows: rows, Kinds: newKindTable()}
	for i := range l.Rows {
		r := &l.Rows[i]
		switch {
		case r.Class == vocab.Verdict && r.Say == "pass":
			l.pass = r
		case r.Class == vocab.Side && r.Say == "input":
			l.input = r
		}
		switch {
		case r.Class == vocab.DishCheck:
			l.dish = r
		case r.Class == vocab.For && r.Say == "on":
			l.onFor = r
		case r.Class == vocab.Trouble: // only ever heard: "complaint" takes all words after it
		default:
			if clash := l.Trie.Add(r); clash != nil && (clash.Class != r.Class || clash.Means != r.Means) {
				return nil, fmt.Errorf("%q is both %s and %s", r.Say, clash.Class, r.Class)
			}
		}
	}
	return l, nil
}

// NewTalk is the lexicon of package talk: the table, and the words of
// vocab.OwnRows before it. Remarks and troubles that are rows there are read
// word by word here.
func NewTalk(rows []vocab.Row) *Lexicon {
	l := &Lexicon{Kinds: newKindTable()}
	for _, c := range []vocab.Class{vocab.Level, vocab.BareLevel} {
		l.Kinds[c].Fraction = 2 // "minus forty four point two five"
	}
	l.Rows = append(l.Rows, vocab.OwnRows()...)
	for _, r := range rows {
		if r.Class != vocab.Remark && r.Class != vocab.Trouble && r.Class != vocab.Filler && r.Class != vocab.Not && r.Class != vocab.DishCheck {
			l.Rows = append(l.Rows, r)
		}
	}
	for i := range l.Rows {
		l.Trie.Add(&l.Rows[i]) // the first row of the same words stays
	}
	return l
}
