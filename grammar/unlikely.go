package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// always are the elements that every path has, or that work on it needs.
var always = []entry.Element{entry.Dish, entry.LNB, entry.Receiver, entry.Jumper, entry.Fitting, entry.Barrel}

// Unlikely lists the spoken words that stand for other elements and rooms than
// a path's alone, in order, for a recogniser to hear these only where nothing
// else fits. They stay in the grammar: a path may not be known yet in full.
func (p *Parser) Unlikely(elements []entry.Element, rooms []string) []string {
	other := func(r *vocab.Row) bool {
		switch r.Class {
		case vocab.Element:
			return !slices.Contains(elements, entry.Element(r.Means)) && !slices.Contains(always, entry.Element(r.Means))
		case vocab.Room:
			return !slices.Contains(rooms, r.Means)
		}
		return false
	}
	rows := p.language.Lexicon.Rows
	likely := map[string]bool{}
	for i := range rows {
		if rows[i].Spoken && !other(&rows[i]) {
			for w := range strings.FieldsSeq(rows[i].Say) {
				likely[w] = true
			}
		}
	}
	var words []string
	for i := range rows {
		if !rows[i].Spoken || !other(&rows[i]) {
			continue
		}
		for w := range strings.FieldsSeq(rows[i].Say) {
			if !likely[w] {
				words = append(words, w)
			}
		}
	}
	slices.Sort(words)
	return slices.Compact(words)
}
