package grammar

import (
	"strings"

	"downlead/grammar/lex"
	"downlead/grammar/talk"
)

// Part is some words of a phrase and what they are taken for.
type Part struct {
	Words string `json:"words"`
	As    string `json:"as"` // a class and a meaning, "not known", or "changes nothing"
}

// Explain shows what each word of a phrase is taken for, in order.
func (p *Parser) Explain(phrase string) []Part {
	if len(phrase) > maxPhrase {
		return nil
	}
	words := lex.Split(phrase)
	if mended, did := p.talk().Respell(words); did {
		words = mended
	}
	var out []Part
	at := 0
	gap := func(to int) {
		if said := strings.Trim(lex.Clean(phrase[at:to]), " ,.;:!?"); said != "" {
			out = append(out, Part{said, "changes nothing"})
		}
	}
	for _, k := range talk.Tokens(p.talk(), phrase, words) {
		if k.Lo < at {
			continue
		}
		gap(k.Lo)
		as := "not known"
		if k.Row != nil || k.Value.Said() || k.Text != "" {
			as = strings.TrimSpace(strings.ToLower(k.Class.String()) + " " + strings.ReplaceAll(k.Means(), "_", " "))
			if k.Row == nil && k.Value.Said() {
				as += " " + k.Value.String()
			}
			if k.Spelled {
				as += ", a slip of the fingers"
			}
		}
		out = append(out, Part{phrase[k.Lo:k.Hi], as})
		at = k.Hi
	}
	gap(len(phrase))
	return out
}
