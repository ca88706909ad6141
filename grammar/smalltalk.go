package grammar

import (
	"strings"

	"downlead/grammar/vocab"
)

// SmallTalk reports a word that people say to each other all day and that says something
// to the tool only where it belongs to something: "yes" and "no", and "good", which is
// a verdict of the place that was named. "pass" and "fail" are said to the tool alone.
func (p *Parser) SmallTalk(phrase string) bool {
	toks := p.lexicon.Lex(phrase)
	if len(toks) != 1 {
		return false
	}
	switch toks[0].Class {
	case vocab.Yes, vocab.No:
		return true
	case vocab.Verdict:
		word := strings.ToLower(strings.TrimSpace(phrase))
		return !strings.HasPrefix(word, "pass") && !strings.HasPrefix(word, "fail")
	}
	return false
}
