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
		if k.Row != nil && (!lex.StartsNumber(k.Class) || k.Class == vocab.Minus) {
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
		// Each class counts once: a long example has no more to say for it.
		points := map[vocab.Class]int{}
		for k := range example.signs {
			point := -1
			if incidental(k.class) {
				point = 0
			}
			switch {
			case !said[k] && !kinds[k.class]:
			case !said[k] && k.class == vocab.Action:
				point = 5 // what is done makes the form
			case !said[k]:
				point = 1
			case k.means != "":
				point = 4
			default:
				point = 2
			}
			if have, ok := points[k.class]; !ok || point > have {
				points[k.class] = point
			}
		}
		score := 0
		for _, point := range points {
			score += point
		}
		if score > most && !strings.EqualFold(example.phrase, phrase) {
			best, most = example.phrase, score
		}
	}
	return best
}

// incidental reports a class that says nothing of what a phrase is about.
func incidental(c vocab.Class) bool {
	switch c {
	case vocab.Room, vocab.Numbered, vocab.Side, vocab.Output, vocab.At, vocab.On, vocab.In, vocab.Behind, vocab.And, vocab.Verdict, vocab.Minus, vocab.Filler:
		return true
	}
	return false
}
