package lex

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Word is one word of a phrase: folded text, and where it stood.
type Word struct {
	Text    string // lower case, ASCII digits and letters of any script; "minus" for the sign
	Lo, Hi  int    // bytes of the phrase
	Digits  bool   // a numeral, perhaps with a decimal point
	Symbol  bool   // a sign, not the word
	spelled bool   // mended from a slip of the fingers
	brk     bool   // a comma, a full stop or the like stands before it
	Sound   bool   // put in place of a word that sounds like it
}

// Broken reports that a comma, a full stop or the like stands before the word.
func (w Word) Broken() bool { return w.brk }

// Split cuts a phrase into words. Capital letters, full stops, commas,
// hyphens, marks and control characters do not matter, except that a point
// between digits is a decimal point, and a dash before a number is its sign.
func Split(phrase string) []Word {
	words := make([]Word, 0, len(phrase)/4+4)
	fold := strings.ToLower(phrase)
	if len(fold) != len(phrase) {
		fold = foldBytes(phrase)
	}
	for i := 0; i < len(phrase); {
		c := phrase[i]
		switch {
		case c >= '0' && c <= '9':
			j := numeralEnd(phrase, i)
			words = append(words, Word{Text: phrase[i:j], Lo: i, Hi: j, Digits: true})
			i = j
		case c < utf8.RuneSelf:
			if j := letterEnd(fold, i); j > i {
				text := fold[i:j]
				if strings.IndexByte(text, '\'') >= 0 || !isASCII(text) {
					text = dropMarks(text)
				}
				words = append(words, Word{Text: text, Lo: i, Hi: j})
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
				words = append(words, Word{Text: dropMarks(fold[i:j]), Lo: i, Hi: j})
				i = j
				continue
			}
			if r == '−' || r == '–' || r == '—' || r == '‐' || r == '‑' || r == '－' {
				if w, ok := dashWord(phrase, i, n); ok {
					words = append(words, w)
				}
			} else if r == '°' {
				words = append(words, Word{Text: "degrees", Lo: i, Hi: i + n})
			}
			i += n
		}
	}
	for i := 1; i < len(words); i++ {
		words[i].brk = words[i].Lo > words[i-1].Hi+1 && broken(phrase, words[i-1].Hi, words[i].Lo)
	}
	return setTo(expand(phrase, words))
}

// setTo drops "set … to" around a limit: "set the floor to minus fifty two".
func setTo(words []Word) []Word {
	i := 0
	for i < len(words) && (LeadIn(words[i].Text) || hollow(words[i].Text)) {
		i++
	}
	if i >= len(words) || words[i].Text != "set" {
		return words
	}
	for j := i + 1; j < len(words) && j < i+4; j++ {
		switch words[j].Text {
		case "threshold", "floor", "temperature":
			out := append([]Word(nil), words[i+1:]...)
			for k := range out {
				if w := out[k].Text; w == "to" || w == "at" {
					return append(out[:k], out[k+1:]...)
				}
			}
			return words
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

func symbolWord(s string, i, n int) (Word, bool) {
	switch s[i] {
	case '-':
		return dashWord(s, i, n)
	case '%':
		return Word{Text: "percent", Lo: i, Hi: i + 1}, true
	case '&', '+':
		return Word{Text: "and", Lo: i, Hi: i + 1}, true
	case '@':
		return Word{Text: "at", Lo: i, Hi: i + 1}, true
	case '\'':
		if i > 0 && s[i-1] >= '0' && s[i-1] <= '9' && (i+1 == len(s) || s[i+1] == ' ' || s[i+1] == ',') {
			return Word{Text: "feet", Lo: i, Hi: i + 1}, true
		}
	}
	return Word{}, false
}

// dashWord says whether a dash is a minus sign: a number follows it, and no
// letter or digit stands right before it.
func dashWord(s string, i, n int) (Word, bool) {
	j := i + n
	for j < len(s) && s[j] == ' ' {
		j++
	}
	if j == len(s) || s[j] < '0' || s[j] > '9' {
		return Word{}, false
	}
	if r, _ := utf8.DecodeLastRuneInString(s[:i]); i > 0 && (unicode.IsLetter(r) || unicode.IsNumber(r)) {
		return Word{}, false
	}
	return Word{Text: "minus", Lo: i, Hi: i + n, Symbol: true}, true
}

// LeadIn are words before a sentence that say nothing.
func LeadIn(w string) bool {
	switch w {
	case "uh", "um", "er", "ah", "hmm", "okay", "ok", "so", "well", "hey", "and", "alright", "now", "say":
		return true
	}
	return false
}

// SaysAt reports that words begin with those of a text.
func SaysAt(words []Word, says string) bool {
	for i, w := range strings.Fields(says) {
		if i >= len(words) || words[i].Text != w {
			return false
		}
	}
	return true
}
