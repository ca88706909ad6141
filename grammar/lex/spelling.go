package lex

import (
	"strings"

	"downlead/grammar/vocab"
)

// Spelling: a typed word that is no word, and is one slip of the fingers from
// exactly one word of the table, is that word. Numbers are never mended: any
// figure would fit.

// leastLetters is how long a word must be for one slip not to make it another.
const leastLetters = 4

// Respell mends the words that are slips, and reports whether it did.
func (l *Lexicon) Respell(words []Word) ([]Word, bool) {
	out := words
	for i, w := range words {
		if w.Digits || w.Symbol || len(w.Text) < leastLetters || l.word(w.Text) || English(w.Text) || !letters(w.Text) {
			continue
		}
		if fixed := l.slip(w.Text); fixed != "" {
			if &out[0] == &words[0] {
				out = append([]Word(nil), words...)
			}
			out[i].Text, out[i].spelled = fixed, true
		}
	}
	return out, len(words) > 0 && &out[0] != &words[0]
}

func letters(s string) bool { return strings.Trim(s, "abcdefghijklmnopqrstuvwxyz") == "" }

// word reports that some row has the word.
func (l *Lexicon) word(w string) bool { return l.wordList()[w] != nil }

// wordList holds every word of the rows with a row that has it; made once.
func (l *Lexicon) wordList() map[string]*vocab.Row {
	l.wordsOnce.Do(func() {
		l.words = map[string]*vocab.Row{}
		for i := range l.Rows {
			for w := range strings.FieldsSeq(l.Rows[i].Say) {
				if have := l.words[w]; have == nil || strings.Contains(have.Say, " ") {
					l.words[w] = &l.Rows[i]
				}
			}
		}
	})
	return l.words
}

// slip returns the one word of the table that is one slip from w; "" where
// there is none, or where two of another meaning are.
func (l *Lexicon) slip(w string) string {
	found := ""
	for have, r := range l.wordList() {
		if len(have) < leastLetters || StartsNumber(r.Class) && !strings.Contains(r.Say, " ") || !oneSlip(w, have) || l.numberWord(have) {
			continue
		}
		if found == "" {
			found = have
			continue
		}
		a, b := l.wordList()[found], r
		if a.Class != b.Class || a.Means != b.Means {
			return ""
		}
		// Of one part and several, that which ends as it was typed.
		if plural := strings.HasSuffix(w, "s"); strings.HasSuffix(found, "s") != plural && strings.HasSuffix(have, "s") == plural {
			found = have
		} else if strings.HasSuffix(found, "s") == strings.HasSuffix(have, "s") && have < found {
			found = have
		}
	}
	return found
}

// numberWord reports that a word is one that numbers are made of.
func (l *Lexicon) numberWord(w string) bool {
	n := l.Trie.Get(w)
	return n != nil && n.Row != nil && StartsNumber(n.Row.Class)
}

// oneSlip reports that b is a with one letter more, less or other, or with two
// neighbours exchanged.
func oneSlip(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 || a == b {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) < len(b) {
		return a[i:] == b[i+1:]
	}
	if a[i+1:] == b[i+1:] {
		return true
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}
