package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
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

// OwnRivals are Rivals for all that Parse takes, people's own words with it: what
// differs in a number, verdict, side, polarity, part or action, in a word left out, or
// in a "no" or "not", and means something else.
func (p *Parser) OwnRivals(phrase string) []string {
	said := strings.Fields(strings.ToLower(phrase))
	own := p.Means(strings.Join(said, " "))
	var out []string
	try := func(before, instead, after []string) {
		rival := strings.Join(slices.Concat(before, instead, after), " ")
		if meaning := p.Means(rival); meaning != "" && meaning != own && !slices.Contains(out, rival) {
			out = append(out, rival)
		}
	}
	families := append(p.rivalFamilies(), p.spokenRows(vocab.Element), p.spokenRows(vocab.Action))
	known := slices.Clone(families)
	for i, c := range []vocab.Class{vocab.Verdict, vocab.Side, vocab.Polarity, vocab.Element, vocab.Action} {
		known[1+i] = p.rowsOf(c)
	}
	for i := range said {
		for k, family := range families {
			if n := startsWith(said[i:], known[k]); n > 0 {
				for _, other := range family {
					try(said[:i], strings.Fields(other), said[i+n:])
				}
			}
		}
		try(said[:i], nil, said[i+1:])
		try(said[:i], []string{"no"}, said[i:])
		try(said[:i], []string{"not"}, said[i:])
	}
	return out
}

// Means is Says for all that Parse takes, people's own words with it.
func (p *Parser) Means(phrase string) (key string) {
	if len(phrase) > maxPhrase {
		return ""
	}
	var entries []entry.Entry
	var err error
	defer recoverPanic(phrase, &entries, &err)
	words := lex.Split(phrase)
	toks := p.lexicon.LexWords(phrase, words)
	if p.asksSomebody(phrase, words) && !p.asksTool(toks) {
		return ""
	}
	if entries, _ = p.read(phrase, words, toks); entries == nil {
		if mended, did := p.talk().Respell(words); did {
			entries, _ = p.read(phrase, mended, p.lexicon.LexWords(phrase, mended))
		}
	}
	if stopsShort(words, entries) {
		return ""
	}
	return keyOf(p.spoke(phrase, entries))
}

// rivalFamilies are the spoken rows that stand in each other's place: all
// number words together (sixty is heard for sixteen), and the rows of each
// class that says which.
func (p *Parser) rivalFamilies() [][]string {
	numbers := slices.Concat(p.spokenRows(vocab.Digit), p.spokenRows(vocab.Zero), p.spokenRows(vocab.Teen), p.spokenRows(vocab.Tens))
	return [][]string{numbers, p.spokenRows(vocab.Verdict), p.spokenRows(vocab.Side), p.spokenRows(vocab.Polarity)}
}

// rowsOf are the words of a class, spokenRows those of the speech grammar.
func (p *Parser) rowsOf(c vocab.Class) []string {
	return p.rowsThat(func(r *vocab.Row) bool { return r.Class == c })
}

func (p *Parser) spokenRows(c vocab.Class) []string {
	return p.rowsThat(func(r *vocab.Row) bool { return r.Class == c && r.Spoken })
}

func (p *Parser) rowsThat(want func(*vocab.Row) bool) []string {
	var out []string
	for i := range p.lexicon.Rows {
		if r := &p.lexicon.Rows[i]; want(r) {
			out = append(out, r.Say)
		}
	}
	return out
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
