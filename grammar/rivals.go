package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/vocab"
)

// Rivals returns the phrases that differ from a spoken phrase in one number
// word, verdict, side or polarity and mean something else: what it may have
// been misheard for. The recogniser holds its best hypothesis against them.
func (p *Parser) Rivals(phrase string) []string {
	said := strings.Fields(strings.ToLower(phrase))
	own := p.Meaning(strings.Join(said, " "))
	var out []string
	for i := range said {
		for _, family := range p.rivalFamilies() {
			n := startsWith(said[i:], family)
			if n == 0 {
				continue
			}
			for _, other := range family {
				words := slices.Concat(said[:i], strings.Fields(other), said[i+n:])
				rival := strings.Join(words, " ")
				if meaning := p.Meaning(rival); meaning != own && meaning != rival && !slices.Contains(out, rival) {
					out = append(out, rival)
				}
			}
		}
	}
	return out
}

// rivalFamilies are the spoken rows that stand in each other's place: all
// number words together (sixty is heard for sixteen), and the rows of each
// class that says which.
func (p *Parser) rivalFamilies() [][]string {
	families := make([][]string, 4)
	for i := range p.lexicon.rows {
		r := &p.lexicon.rows[i]
		if !r.Spoken {
			continue
		}
		switch r.Class {
		case vocab.Digit, vocab.Zero, vocab.Teen, vocab.Tens:
			families[0] = append(families[0], r.Say)
		case vocab.Verdict:
			families[1] = append(families[1], r.Say)
		case vocab.Side:
			families[2] = append(families[2], r.Say)
		case vocab.Polarity:
			families[3] = append(families[3], r.Say)
		}
	}
	return families
}

// startsWith returns how many words of the longest member of a family the
// words start with; 0 when with none.
func startsWith(words []string, family []string) int {
	longest := 0
	for _, member := range family {
		m := strings.Fields(member)
		if len(m) > longest && len(words) >= len(m) && slices.Equal(words[:len(m)], m) {
			longest = len(m)
		}
	}
	return longest
}
