package grammar

type language struct {
	ebnf    string
	lexicon *lexicon
}

type soundIndex struct{ lexicon *lexicon }

func (p *Parser) mend(phrase string, words []word) ([]Entry, error) { return nil, nil }

func (p *Parser) explain(phrase string, toks []token) error {
	for _, t := range toks {
		if t.class == cUnknown {
			return &Error{Message: "not known: " + phrase[t.lo:t.hi], At: t.lo, Word: phrase[t.lo:t.hi]}
		}
	}
	return &Error{Message: "not understood"}
}
