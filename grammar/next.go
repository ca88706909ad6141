package grammar

import (
	"slices"
	"strings"
)

// Next returns what may come next after the beginning of a phrase, as words to
// put at its end: whole rows of the vocabulary, in the table's order. Where
// the beginning ends within a row, the rest of that row comes as the row's
// last words, so that a shell can complete word by word. It is empty where
// nothing can follow.
func (p *Parser) Next(beginning string) []string {
	net, err := p.language.net()
	if err != nil || len(beginning) > maxPhrase {
		return nil
	}
	words := splitWords(beginning)
	open := 0 // a word that is not finished
	if n := len(words); n > 0 && words[n-1].hi == len(beginning) {
		open = 1
	}
	var out []string
	for tail := open; tail <= min(len(words), 4); tail++ {
		head := words[:len(words)-tail]
		toks := p.lexicon.settle(beginning, p.lexicon.rawTokens(beginning, head))
		n, at := net.reach(toks)
		if n < len(toks) {
			continue
		}
		expected := net.expected(at)
		begun := make([]string, tail)
		for i, w := range words[len(words)-tail:] {
			begun[i] = w.text
		}
		for _, say := range p.starting(expected, strings.Join(begun, " "), open == 1) {
			rest := strings.Join(strings.Fields(say)[max(tail-open, 0):], " ")
			if rest != "" && !slices.Contains(out, rest) {
				out = append(out, rest)
			}
		}
	}
	return out
}

// starting returns the rows of the classes that begin with begun; where open
// is true its last word may be unfinished.
func (p *Parser) starting(classes []class, begun string, open bool) []string {
	if begun != "" && !open {
		begun += " "
	}
	var out []string
	for _, r := range p.lexicon.rows {
		c := r.class
		if k := p.numberStart(c, classes); !k && !slices.Contains(classes, c) {
			continue
		}
		if strings.HasPrefix(r.say, begun) {
			out = append(out, r.say)
		}
	}
	return out
}

// numberStart reports that a number word may begin one of the classes.
func (p *Parser) numberStart(c class, classes []class) bool {
	if !startsNumber(c) {
		return false
	}
	for _, want := range classes {
		k := p.lexicon.kinds[want]
		if k == nil {
			continue
		}
		if k.sign != unsigned && c == cMinus {
			return true
		}
		if k.sign != required && slices.ContainsFunc(k.shapes, func(s shape) bool { return s[0] == c }) {
			return true
		}
	}
	return false
}
