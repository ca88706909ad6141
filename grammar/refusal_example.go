package grammar

import (
	"strings"

	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// sign is a word of a phrase and what it means.
type sign struct {
	class vocab.Class
	means string
}

// exampleSigns is an example of the guide with its signs.
type exampleSigns struct {
	phrase string
	signs  map[sign]bool
}

func (p *Parser) signs(phrase string) map[sign]bool {
	out := map[sign]bool{}
	for _, k := range p.talk().RawTokens(phrase, lex.Split(phrase)) {
		if k.Row != nil && !lex.StartsNumber(k.Class) {
			out[sign{k.Class, k.Means()}] = true
		}
	}
	return out
}

func (p *Parser) drawExamples() []exampleSigns {
	var out []exampleSigns
	for _, topic := range Guide() {
		for _, example := range topic.Examples {
			out = append(out, exampleSigns{example, p.signs(example)})
		}
	}
	return out
}

// like is the example of the guide that is nearest to a phrase by its words
// and what they mean, "" where none shares a word that says something.
func (p *Parser) like(phrase string) string {
	said := p.signs(phrase)
	kinds := map[vocab.Class]bool{}
	for k := range said {
		kinds[k.class] = true
	}
	best, most := "", 0
	if len(said) == 0 {
		return ""
	}
	for _, example := range p.examples() {
		score := 0
		for k := range example.signs {
			switch {
			case !said[k] && !kinds[k.class]:
				score--
			case !said[k] && k.class == vocab.Action:
				score += 5 // what is done makes the form
			case !said[k]:
				score++
			case k.means != "":
				score += 4
			default:
				score += 2
			}
		}
		if score > most && !strings.EqualFold(example.phrase, phrase) {
			best, most = example.phrase, score
		}
	}
	return best
}
