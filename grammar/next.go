package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// Next returns what may come next after the beginning of a phrase, as words to
// put at its end: whole rows of the vocabulary, in the table's order. Where
// the beginning ends within a row, the rest of that row comes as the row's
// last words, so that a shell can complete word by word. It is empty where
// nothing can follow.
func (p *Parser) Next(beginning string) []string {
	net, err := p.language.Net()
	if err != nil || len(beginning) > maxPhrase {
		return nil
	}
	words := lex.Split(beginning)
	open := 0 // a word that is not finished
	if n := len(words); n > 0 && words[n-1].Hi == len(beginning) {
		open = 1
	}
	var out []string
	for tail := open; tail <= min(len(words), 4); tail++ {
		classes := p.follow(net, beginning, words[:len(words)-tail])
		begun := make([]string, tail)
		for i, w := range words[len(words)-tail:] {
			begun[i] = w.Text
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
func (p *Parser) follow(net *speech.Network, phrase string, head []lex.Word) []vocab.Class {
	raw := p.lexicon.RawTokens(phrase, head)
	run := len(raw)
	for run > 0 && raw[run-1].Class >= vocab.Zero && raw[run-1].Class <= vocab.Numeral {
		run--
	}
	var out []vocab.Class
	if number := slices.Clone(raw[run:]); len(number) > 0 {
		before := p.lexicon.Settle(phrase, slices.Clone(raw[:run]))
		if n, at := net.Reach(before); n == len(before) {
			out = p.numberNext(net.Expected(at), number)
		}
	}
	toks := p.lexicon.Settle(phrase, raw)
	if n := len(toks); n > 0 && toks[n-1].Class == vocab.On { // "on" of a slot, as well as of a place
		if k, at := net.Reach(toks); k < n || len(net.Expected(at)) == 0 {
			toks[n-1].Class = vocab.For
		}
	}
	if n, at := net.Reach(toks); n == len(toks) {
		expected := net.Expected(at)
		out = append(out, expected...)
		out = append(out, p.numberNext(expected, nil)...)
	}
	return out
}

// numberNext returns the classes of number words that may follow the words of
// a number that is one of the expected kinds.
func (p *Parser) numberNext(expected []vocab.Class, number []lex.Token) []vocab.Class {
	var out []vocab.Class
	for _, want := range expected {
		k := p.lexicon.Kinds[want]
		if k == nil {
			continue
		}
		rest := number
		if len(rest) > 0 && rest[0].Class == vocab.Minus && k.Sign != lex.Unsigned {
			rest = rest[1:]
		} else if k.Sign != lex.Unsigned && len(rest) == 0 {
			out = append(out, vocab.Minus)
		}
		if k.Sign == lex.Required && len(rest) == len(number) {
			continue
		}
		if k.Set&lex.Spelled != 0 {
			out = append(out, vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens)
		}
		for _, s := range k.Shapes {
			if len(s) > len(rest) && s[:len(rest)].Fits(rest, false) && s[len(rest)] != vocab.Numeral {
				out = append(out, s[len(rest)])
			}
			if len(s) == len(rest) && s.Fits(rest, false) && k.Fraction > 0 {
				out = append(out, vocab.Point)
			}
			if len(s) == len(rest) && s.Fits(rest, false) && k.Unit != 0 {
				out = append(out, k.Unit)
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
	for _, r := range p.lexicon.Rows {
		if slices.Contains(classes, r.Class) && strings.HasPrefix(r.Say, begun) {
			out = append(out, r.Say)
		}
	}
	return out
}
