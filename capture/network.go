package capture

import (
	"encoding/binary"
	"maps"
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
// the same state again. Decoding takes time by the state and memory by the
// arc; on the whole grammar merging saves four fifths of both.
//
// It is the textbook construction: sets of states that the same words lead to
// (Rabin and Scott 1959), then states made one until those left differ in what
// may follow (Moore 1956).
func (n network) merged() network {
	d := n.determined()
	class, classes := d.classes()
	m := network{states: classes + 1, start: class[0], final: classes, words: n.words}
	done := make([]bool, classes)
	for s, c := range class {
		if done[c] {
			continue
		}
		done[c] = true
		for _, a := range d.out[s] {
			m.arcs = append(m.arcs, arc{c, class[a.to], a.word})
		}
		if d.ends[s] { // a sentence may end here
			m.arcs = append(m.arcs, arc{c, m.final, noWord})
		}
	}
	return m
}

// determined is a network in which a word leads from a state to one other;
// it starts at 0.
type determined struct {
	out  [][]arc // of every state, in order of the words
	ends []bool  // whether a sentence may end there
}

func (n network) determined() determined {
	out := make([][]arc, n.states)
	for _, a := range n.arcs {
		out[a.from] = append(out[a.from], a)
	}
	var d determined
	states := map[string]int{} // a set of old states: its new state
	var sets [][]int
	state := func(set []int) int {
		key := packed(set)
		s, known := states[key]
		if !known {
			s = len(sets)
			states[key] = s
			sets = append(sets, set)
		}
		return s
	}
	state(closed(out, []int{n.start}))
	for s := 0; s < len(sets); s++ {
		next := map[int][]int{}
		for _, old := range sets[s] {
			for _, a := range out[old] {
				if a.word != noWord {
					next[a.word] = append(next[a.word], a.to)
				}
			}
		}
		d.ends = append(d.ends, slices.Contains(sets[s], n.final))
		d.out = append(d.out, nil)
		for _, w := range slices.Sorted(maps.Keys(next)) {
			d.out[s] = append(d.out[s], arc{s, state(closed(out, next[w])), w})
		}
	}
	return d
}

// classes tells the states apart by what may follow them, and counts them.
func (d determined) classes() (class []int, count int) {
	class = make([]int, len(d.out))
	for before := -1; count != before; {
		before = count
		known := map[string]int{}
		next := make([]int, len(class))
		var key []byte
		for s, arcs := range d.out {
			key = binary.AppendUvarint(key[:0], uint64(class[s]))
			if d.ends[s] {
				key = append(key, 1)
			}
			for _, a := range arcs {
				key = binary.AppendUvarint(key, uint64(a.word))
				key = binary.AppendUvarint(key, uint64(class[a.to]))
			}
			c, seen := known[string(key)]
			if !seen {
				c = len(known)
				known[string(key)] = c
			}
			next[s] = c
		}
		class, count = next, len(known)
	}
	return class, count
}

// closed is a set with what is reached from it without a word, in order.
func closed(out [][]arc, set []int) []int {
	slices.Sort(set)
	set = slices.Compact(set)
	for i := 0; i < len(set); i++ {
		for _, a := range out[set[i]] {
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
