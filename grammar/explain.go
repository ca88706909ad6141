package grammar

import "strings"

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
	words := splitWords(phrase)
	if mended, did := p.respell(words); did {
		words = mended
	}
	t := &talker{l: p.talk(), phrase: phrase}
	var out []Part
	at := 0
	gap := func(to int) {
		if said := strings.Trim(clean(phrase[at:to]), " ,.;:!?"); said != "" {
			out = append(out, Part{said, "changes nothing"})
		}
	}
	for _, k := range t.tokens(words) {
		if k.lo < at {
			continue
		}
		gap(k.lo)
		as := "not known"
		if k.row != nil || k.value.Said() || k.text != "" {
			as = strings.TrimSpace(strings.ToLower(k.class.String()) + " " + strings.ReplaceAll(k.means(), "_", " "))
			if k.row == nil && k.value.Said() {
				as += " " + k.value.String()
			}
			if k.spelled {
				as += ", a slip of the fingers"
			}
		}
		out = append(out, Part{phrase[k.lo:k.hi], as})
		at = k.hi
	}
	gap(len(phrase))
	return out
}
