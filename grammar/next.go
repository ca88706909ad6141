package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/vocab"
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
		classes := p.follow(net, beginning, words[:len(words)-tail])
		begun := make([]string, tail)
		for i, w := range words[len(words)-tail:] {
			begun[i] = w.text
		}
		for _, say := range p.starting(classes, strings.Join(begun, " "), open == 1) {
			rest := strings.Join(strings.Fields(say)[max(tail-open, 0):], " ")
			if rest != "" && !slices.Contains(out, rest) {
				out = append(out, rest)
			}
		}
	}
	return out
}

// follow returns the classes of rows that may follow words: those that go on
// with a number that they end with, and those after it.
func (p *Parser) follow(net *network, phrase string, head []word) []vocab.Class {
	raw := p.lexicon.rawTokens(phrase, head)
	run := len(raw)
	for run > 0 && raw[run-1].class >= vocab.Zero && raw[run-1].class <= vocab.Numeral {
		run--
	}
	var out []vocab.Class
	if number := slices.Clone(raw[run:]); len(number) > 0 {
		before := p.lexicon.settle(phrase, slices.Clone(raw[:run]))
		if n, at := net.reach(before); n == len(before) {
			out = p.numberNext(net.expected(at), number)
		}
	}
	toks := p.lexicon.settle(phrase, raw)
	if n := len(toks); n > 0 && toks[n-1].class == vocab.On { // "on" of a slot, as well as of a place
		if k, at := net.reach(toks); k < n || len(net.expected(at)) == 0 {
			toks[n-1].class = vocab.For
		}
	}
	if n, at := net.reach(toks); n == len(toks) {
		expected := net.expected(at)
		out = append(out, expected...)
		out = append(out, p.numberNext(expected, nil)...)
	}
	return out
}

// numberNext returns the classes of number words that may follow the words of
// a number that is one of the expected kinds.
func (p *Parser) numberNext(expected []vocab.Class, number []token) []vocab.Class {
	var out []vocab.Class
	for _, want := range expected {
		k := p.lexicon.kinds[want]
		if k == nil {
			continue
		}
		rest := number
		if len(rest) > 0 && rest[0].class == vocab.Minus && k.sign != unsigned {
			rest = rest[1:]
		} else if k.sign != unsigned && len(rest) == 0 {
			out = append(out, vocab.Minus)
		}
		if k.sign == required && len(rest) == len(number) {
			continue
		}
		if k.set&spelled != 0 {
			out = append(out, vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens)
		}
		for _, s := range k.shapes {
			if len(s) > len(rest) && s[:len(rest)].fits(rest, false) && s[len(rest)] != vocab.Numeral {
				out = append(out, s[len(rest)])
			}
			if len(s) == len(rest) && s.fits(rest, false) && k.fraction > 0 {
				out = append(out, vocab.Point)
			}
			if len(s) == len(rest) && s.fits(rest, false) && k.unit != 0 {
				out = append(out, k.unit)
			}
		}
	}
	return out
}

// starting returns the rows of the classes that begin with begun; where open
// is true its last word may be unfinished.
func (p *Parser) starting(classes []vocab.Class, begun string, open bool) []string {
	if begun != "" && !open {
		begun += " "
	}
	var out []string
	for _, r := range p.lexicon.rows {
		if slices.Contains(classes, r.Class) && strings.HasPrefix(r.Say, begun) {
			out = append(out, r.Say)
		}
	}
	return out
}
