package capture

import (
	"encoding/binary"
	"slices"
)

// network is a compiled speech grammar: arcs from state to state, each with a
// word or none.
type network struct {
	states, start, final int
	arcs                 []arc
	words                []string
	costs                []float64 // of the words, nats
}

// arc leads from a state to another; word is an index into network.words, or
// noWord.
type arc struct{ from, to, word int }

const noWord = -1

// A word costs something, silence little. In the library's own settings it is
// the other way round, 34 nats for a silence and 3 for a word, so that the
// noise around a phrase was heard as words of it: pink noise at 20 dB alone
// always was. Of the phrases for choosing, 187 of 193 came out right in quiet
// so, and 9 of 21 in babble at 15 dB; at this cost 192 and 14. At 10 nats it is
// 193 and 11, at 80 fewer again. What words of other jobs' places cost more moved
// little: up to 60 nats it changed nothing on those phrases, at 200 it brought
// one more in babble and lost half of those at places that the path lacked.
const (
	wordCost     = 45.0
	unlikelyCost = 40.0 // more, for a word of another job's places
)

// network compiles a speech grammar, merges it and sets its costs.
func (e *engine) network(jsgf string, unlikely []string) (network, error) {
	n, err := e.compile(jsgf)
	if err != nil {
		return network{}, err
	}
	n = n.merged()
	for _, w := range n.words {
		cost := wordCost
		if slices.Contains(unlikely, w) {
			cost += unlikelyCost
		}
		n.costs = append(n.costs, cost)
	}
	return n, nil
}

// merged returns a network of the same sentences with as few states as can be:
// the compiler copies a rule wherever it is used, and what follows alike is
// the same state again. Decoding takes time and memory by the arc; on the
// whole grammar merging saves four fifths of both. A network that loops is
// returned as it is.
//
// It is the textbook construction: sets of states that the same words lead to
// (Rabin and Scott 1959), then equal endings made one, from the end backwards
// (Revuz 1992, for networks without loops).
func (n network) merged() network {
	if n.loops() {
		return n
	}
	m := merger{n: n, out: make([][]arc, n.states), sets: map[string]int{}, endings: map[string]int{}}
	for _, a := range n.arcs {
		m.out[a.from] = append(m.out[a.from], a)
	}
	start := m.state(m.closed([]int{n.start}))
	m.result.start = start
	m.result.words = n.words
	// One state more is the end; every state where a sentence may end leads there.
	m.result.final = m.result.states
	m.result.states++
	for _, s := range m.ends {
		m.result.arcs = append(m.result.arcs, arc{s, m.result.final, noWord})
	}
	return m.result
}

type merger struct {
	n       network
	out     [][]arc
	sets    map[string]int // a set of old states: its new state
	endings map[string]int // what may follow: the new state it follows
	ends    []int
	result  network
}

// state returns the new state of a closed set of old ones.
func (m *merger) state(set []int) int {
	key := packed(set)
	if s, done := m.sets[key]; done {
		return s
	}
	next := map[int][]int{}
	end := 0
	for _, s := range set {
		if s == m.n.final {
			end = 1
		}
		for _, a := range m.out[s] {
			if a.word != noWord {
				next[a.word] = append(next[a.word], a.to)
			}
		}
	}
	words := make([]int, 0, len(next))
	for w := range next {
		words = append(words, w)
	}
	slices.Sort(words)
	ending := []int{end}
	for _, w := range words {
		ending = append(ending, w, m.state(m.closed(next[w])))
	}
	s := m.ending(ending)
	m.sets[key] = s
	return s
}

// ending returns the state that has these arcs, an old one where there is one.
func (m *merger) ending(ending []int) int {
	key := packed(ending)
	s, known := m.endings[key]
	if known {
		return s
	}
	s = m.result.states
	m.result.states++
	m.endings[key] = s
	if ending[0] == 1 {
		m.ends = append(m.ends, s)
	}
	for i := 1; i < len(ending); i += 2 {
		m.result.arcs = append(m.result.arcs, arc{s, ending[i+1], ending[i]})
	}
	return s
}

// closed is a set with what is reached from it without a word, in order.
func (m *merger) closed(set []int) []int {
	slices.Sort(set)
	set = slices.Compact(set)
	for i := 0; i < len(set); i++ {
		for _, a := range m.out[set[i]] {
			if a.word == noWord && !slices.Contains(set, a.to) {
				set = append(set, a.to)
			}
		}
	}
	slices.Sort(set)
	return set
}

// packed makes numbers a key of a map.
func packed(numbers []int) string {
	b := make([]byte, 0, 3*len(numbers))
	for _, v := range numbers {
		b = binary.AppendUvarint(b, uint64(v))
	}
	return string(b)
}

// loops reports that some state leads back to itself: there is then no order
// of the states in which arcs lead only forwards.
func (n network) loops() bool {
	in := make([]int, n.states)
	out := make([][]int, n.states)
	for _, a := range n.arcs {
		in[a.to]++
		out[a.from] = append(out[a.from], a.to)
	}
	var free []int
	for s, count := range in {
		if count == 0 {
			free = append(free, s)
		}
	}
	ordered := 0
	for ; len(free) > 0; ordered++ {
		s := free[len(free)-1]
		free = free[:len(free)-1]
		for _, to := range out[s] {
			if in[to]--; in[to] == 0 {
				free = append(free, to)
			}
		}
	}
	return ordered < n.states
}
