package grammar

import (
	"slices"
	"strings"
)

// always are the elements that every path has, or that work on it needs.
var always = []Element{Dish, LNB, Receiver, Jumper, Fitting, Barrel}

// Unlikely lists the spoken words that stand for other elements and rooms than
// a path's alone, in order, for a recogniser to hear these only where nothing
// else fits. They stay in the grammar: a path may not be known yet in full.
func (p *Parser) Unlikely(elements []Element, rooms []string) []string {
	other := func(r *row) bool {
		switch r.class {
		case cElement:
			return !slices.Contains(elements, Element(r.means)) && !slices.Contains(always, Element(r.means))
		case cRoom:
			return !slices.Contains(rooms, r.means)
		}
		return false
	}
	rows := p.language.lexicon.rows
	likely := map[string]bool{}
	for i := range rows {
		if rows[i].spoken && !other(&rows[i]) {
			for w := range strings.FieldsSeq(rows[i].say) {
				likely[w] = true
			}
		}
	}
	var words []string
	for i := range rows {
		if !rows[i].spoken || !other(&rows[i]) {
			continue
		}
		for w := range strings.FieldsSeq(rows[i].say) {
			if !likely[w] {
				words = append(words, w)
			}
		}
	}
	slices.Sort(words)
	return slices.Compact(words)
}
