package capture

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// sentences lists every sentence of a network of up to so many words.
func sentences(n network, most int) []string {
	out := make([][]arc, n.states)
	for _, a := range n.arcs {
		out[a.from] = append(out[a.from], a)
	}
	var list []string
	var walk func(state, left int, said string)
	walk = func(state, left int, said string) {
		if state == n.final {
			list = append(list, said)
		}
		for _, a := range out[state] {
			if a.word == noWord {
				walk(a.to, left, said)
			} else if left > 0 {
				walk(a.to, left-1, said+" "+n.words[a.word])
			}
		}
	}
	walk(n.start, most, "")
	slices.Sort(list)
	return slices.Compact(list)
}

func TestMergedNetworkHasTheSameSentences(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for trial := range 400 {
		n := network{states: 8, final: 7, words: []string{"a", "b", "c"}}
		for range 14 {
			from := r.IntN(7)
			n.arcs = append(n.arcs, arc{from, from + 1 + r.IntN(7-from), r.IntN(4) - 1})
		}
		if trial%2 == 1 { // with a loop
			from := 1 + r.IntN(6)
			n.arcs = append(n.arcs, arc{from, r.IntN(from + 1), r.IntN(3)})
		}
		m := n.merged()
		if got, want := sentences(m, 7), sentences(n, 7); !slices.Equal(got, want) {
			t.Fatalf("trial %d: merged has %q, want %q", trial, got, want)
		}
	}
}

// The least network for these words is the textbook one: all endings shared
// (Hopcroft, Motwani and Ullman, section 4.4, have the method).
func TestMergedNetworkIsTheLeast(t *testing.T) {
	n := network{states: 10, final: 9, words: []string{"tap", "top", "s"}, arcs: []arc{
		{0, 1, 0}, {1, 2, noWord}, {2, 3, 2}, {3, 9, noWord}, // tap s
		{0, 4, 1}, {4, 5, 2}, {5, 9, noWord}, // top s
		{0, 6, 0}, {6, 9, noWord}, // tap
		{0, 7, 1}, {7, 8, noWord}, {8, 9, noWord}, // top
	}}
	m := n.merged()
	if m.states != 4 { // the start, after either word, after "s", and the end
		t.Errorf("%d states, want 4: %v", m.states, m.arcs)
	}
}

// "a" any number of times is one state and the end, however often it is
// written (the language a*; worked out by hand).
func TestMergedLoopIsOneState(t *testing.T) {
	n := network{states: 4, final: 3, words: []string{"a"}, arcs: []arc{
		{0, 1, 0}, {1, 2, 0}, {2, 0, 0}, {0, 3, noWord}, {1, 3, noWord}, {2, 3, noWord},
	}}
	if m := n.merged(); m.states != 2 || len(m.arcs) != 2 {
		t.Errorf("%d states, want 2: %v", m.states, m.arcs)
	}
}
