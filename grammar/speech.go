package grammar

import (
	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// JSGF prints the speech grammar of a focus; see speech.Language.JSGF.
func (p *Parser) JSGF(f speech.Focus) string { return p.language.JSGF(f) }

// Pronunciations returns dictionary lines for the spoken words that a
// recogniser's dictionary lacks; see speech.Pronunciations.
func (p *Parser) Pronunciations(base func(word string) bool) string {
	return speech.Pronunciations(p.lexicon.Rows, base)
}

// Voiced reports that the speech grammar has a phrase: it is heard by the
// first listener. Every other one that Parse takes is typed, or heard by the
// second listener, and often asked about.
func (p *Parser) Voiced(phrase string) bool {
	words := lex.Split(phrase)
	toks := p.lexicon.LexWords(phrase, words)
	if _, err := p.exactly(phrase); err != nil {
		return false
	}
	for _, k := range toks {
		if k.Row != nil && !k.Row.Spoken || k.Class == vocab.Text {
			return false
		}
	}
	return true
}
