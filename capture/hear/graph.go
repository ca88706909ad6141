package hear

import (
	"slices"
	"sort"
	"strings"
)

// Graph is a grammar of words: from every state a word leads to one other.
// State 0 is the beginning.
type Graph struct{ states []state }

// Arc is one word that leads from a state to another.
type Arc struct {
	From, To int
	Word     string
}

// state holds the words that may come next, in order of their spelling.
type state struct {
	next []spelled
	end  bool
}

// spelled is a word as the model may write it.
type spelled struct {
	text, word string
	to         int
}

// soundsLike are words that sound alike and that the model, which does not know
// the grammar, writes instead.
func soundsLike() map[string][]string {
	return map[string][]string{
		"pass": {"past", "passed"}, "one": {"won"}, "two": {"to", "too"}, "four": {"for", "fore"},
		"eight": {"ate"}, "oh": {"o"}, "okay": {"ok"},
	}
}

// NewGraph makes a graph of arcs; no two with one word may leave a state. A
// sentence may end in the states of ends.
func NewGraph(arcs []Arc, ends []int) *Graph {
	g := &Graph{states: make([]state, 1)}
	grow := func(n int) {
		if n >= len(g.states) {
			g.states = append(g.states, make([]state, n+1-len(g.states))...)
		}
	}
	alike := soundsLike()
	for _, a := range arcs {
		grow(max(a.From, a.To))
		s := &g.states[a.From]
		for _, text := range append([]string{a.Word}, alike[a.Word]...) {
			s.next = append(s.next, spelled{letters(text), a.Word, a.To})
		}
	}
	for _, e := range ends {
		grow(e)
		g.states[e].end = true
	}
	for i := range g.states {
		next := g.states[i].next
		slices.SortFunc(next, func(a, b spelled) int { return strings.Compare(a.text, b.text) })
	}
	return g
}

// Sentences is the graph of some sentences.
func Sentences(list []string) *Graph {
	var arcs []Arc
	var ends []int
	type step struct {
		from int
		word string
	}
	known := map[step]int{}
	for _, sentence := range list {
		at := 0
		for word := range strings.FieldsSeq(strings.ToLower(sentence)) {
			to, ok := known[step{at, word}]
			if !ok {
				to = len(known) + 1
				known[step{at, word}] = to
				arcs = append(arcs, Arc{at, to, word})
			}
			at = to
		}
		ends = append(ends, at)
	}
	return NewGraph(arcs, ends)
}

// letters are the letters and digits of a word.
func letters(word string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, strings.ToLower(word))
}

// starting are the words from a state that begin with some letters.
func (g *Graph) starting(at int, begun string) []spelled {
	next := g.states[at].next
	i := sort.Search(len(next), func(i int) bool { return next[i].text >= begun })
	j := i
	for j < len(next) && strings.HasPrefix(next[j].text, begun) {
		j++
	}
	return next[i:j]
}
