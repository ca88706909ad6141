package grammar

import (
	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Completeness says of the words of a phrase whether they are a statement, and
// whether one statement could go on after them. Words that are none and go on
// are the beginning of one: "replaced", "ground block dish side", "minus". A
// place by itself is no statement yet, and a path is not before it comes to a
// receiver, or to as many as its splitters feed. Where a question is open,
// answering, an answer to it is complete. Nobody is taken to stop after a little
// word that may follow a number, such as "for" or "on": the end of the number
// would be heard for one.
func (p *Parser) Completeness(words string, answering bool) (complete, mayGoOn bool) {
	if answering {
		if a, err := p.ParseAnswer(words); err == nil {
			_, more := p.Completeness(words, false)
			return true, more || a.No || a.Value.Said()
		}
	}
	if _, err := p.language.Net(); err != nil || len(words) > maxPhrase {
		return false, false
	}
	split := lex.Split(words)
	mayGoOn = len(p.follow(p.language.Statement, words, split)) > 0
	if raw := p.lexicon.RawTokens(words, split); len(raw) > 0 && leadsOn(raw[len(raw)-1].Class) {
		return false, mayGoOn && !afterNumbers(raw[len(raw)-1].Class)
	}
	entries, err := p.exactly(words)
	if err != nil || len(entries) != 1 {
		return err == nil && len(entries) > 0, mayGoOn
	}
	switch e := entries[0].(type) {
	case entry.Path:
		toks := p.lexicon.LexWords(words, split)
		return toks[0].Class != vocab.Path || ends(e), mayGoOn
	case entry.Place:
		return false, mayGoOn
	}
	return true, mayGoOn
}

// leadsOn reports that a word says that more comes; at the end of a phrase the
// parser passes it over.
func leadsOn(c vocab.Class) bool {
	switch c {
	case vocab.And, vocab.At, vocab.In, vocab.On, vocab.To, vocab.From, vocab.For, vocab.Between, vocab.After:
		return true
	}
	return false
}

// afterNumbers reports that a little word may follow the figures of a reading.
func afterNumbers(c vocab.Class) bool {
	switch c {
	case vocab.And, vocab.At, vocab.In, vocab.On, vocab.For:
		return true
	}
	return false
}

// ends reports that a path has come to all its receivers.
func ends(path entry.Path) bool {
	outputs, receivers := 1, 0
	for _, e := range path.Elements {
		switch {
		case e.Element == entry.Receiver:
			receivers++
		case e.Ways > 1:
			outputs += e.Ways - 1
		}
	}
	return receivers >= outputs
}
