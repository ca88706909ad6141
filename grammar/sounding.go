package grammar

import (
	"cmp"
	"slices"
	"strings"

	"downlead/grammar/lex"
)

// Bounds of Sounding: places tried together, and sentences returned.
const (
	maxSoundingPairs = 16
	maxSounding      = 8
)

// Sounding returns sentences that Parse takes and a phrase may have been, which it
// does not take: a row of the vocabulary stands for a word or two that sound nearly like it, in
// one place or two; the nearest first, one of each meaning. Which was said is for
// the sound to tell.
func (p *Parser) Sounding(phrase string) []string {
	words := lex.Split(phrase)
	if len(words) > maxMendWords || len(phrase) > maxPhrase {
		return nil
	}
	m := &mender{p: p, phrase: phrase, index: p.sounds.load(), heard: map[string][]alikeRow{}}
	var places []choice
	for lo := range words {
		for hi := lo + 1; hi <= min(lo+2, len(words)); hi++ {
			places = append(places, m.sounding(words, lo, hi)...)
		}
	}
	nearest := func(a, b choice) int { return cmp.Compare(a.cost, b.cost) }
	slices.SortStableFunc(places, nearest)
	type candidate struct {
		text, means string
		cost        float64
	}
	var found []candidate
	try := func(cost float64, said []lex.Word) {
		var texts []string
		for _, w := range said {
			texts = append(texts, w.Text)
		}
		text := strings.Join(texts, " ")
		if means := p.Means(text); means != "" && !slices.ContainsFunc(found, func(c candidate) bool { return c.means == means }) {
			found = append(found, candidate{text, means, cost})
		}
	}
	for _, c := range places[:min(len(places), 2*maxSoundingPairs)] {
		try(c.cost, replace(words, c))
	}
	places = places[:min(len(places), maxSoundingPairs)]
	for i, a := range places {
		for _, b := range places[:i] {
			first, second := a, b
			if first.lo < second.lo {
				first, second = second, first // the later one first: it moves nothing before it
			}
			if second.hi <= first.lo {
				try(a.cost+b.cost, replace(replace(words, first), second))
			}
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(a.cost, b.cost) })
	var out []string
	for _, c := range found[:min(len(found), maxSounding)] {
		out = append(out, c.text)
	}
	return out
}
