package grammar

import (
	"downlead/grammar/speech"
)

// JSGF prints the speech grammar of a focus; see speech.Language.JSGF.
func (p *Parser) JSGF(f speech.Focus) string { return p.language.JSGF(f) }

// Pronunciations returns dictionary lines for the spoken words that a
// recogniser's dictionary lacks; see speech.Pronunciations.
func (p *Parser) Pronunciations(base func(word string) bool) string {
	return speech.Pronunciations(p.lexicon.Rows, base)
}
