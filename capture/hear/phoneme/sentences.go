package phoneme

import "math"

// Word is the ways to say a word.
type Word struct {
	Text string
	Ways [][]Class
}

// node is a phoneme in the tree of sentences; before are those that may come
// before it, none for the first of a sentence.
type node struct {
	class  Class
	before []int
}

// tree holds sentences by their beginnings.
type tree struct {
	nodes []node
	after map[string][]int // the last nodes of a beginning
}

// ends adds a sentence and gives its last nodes.
func (t *tree) ends(sentence []Word) []int {
	var last []int
	text := ""
	for _, w := range sentence {
		text += " " + w.Text
		next, known := t.after[text]
		if !known {
			for _, way := range w.Ways {
				before := last
				for _, p := range way {
					t.nodes = append(t.nodes, node{p, before})
					before = []int{len(t.nodes) - 1}
				}
				next = append(next, before...)
			}
			t.after[text] = next
		}
		last = next
	}
	return last
}

// Sentences is the log-probability of the likeliest alignment of each sentence's
// phonemes, nats; -Inf for one that is longer than the sound, or has no words.
func (p Posteriors) Sentences(list [][]Word) []float64 {
	t := tree{after: map[string][]int{}}
	ends := make([][]int, len(list))
	for i, sentence := range list {
		ends[i] = t.ends(sentence)
	}
	none := float32(math.Inf(-1))
	// In a node, and in the blank that may follow it.
	in, blank := make([]float32, len(t.nodes)), make([]float32, len(t.nodes))
	for i := range in {
		in[i], blank[i] = none, none
	}
	begin := float32(0) // only blanks so far
	for at := range p.frames {
		frame := &p.frames[at]
		// From the last node to the first: what a node comes from is still of the frame before.
		for i := len(t.nodes) - 1; i >= 0; i-- {
			n := &t.nodes[i]
			best := in[i]
			blank[i] = max(blank[i], best) + frame[0]
			if len(n.before) == 0 {
				best = max(best, begin)
			}
			for _, j := range n.before {
				best = max(best, blank[j])
				if t.nodes[j].class != n.class {
					best = max(best, in[j])
				}
			}
			in[i] = best + frame[n.class]
		}
		begin += frame[0]
	}
	out := make([]float64, len(list))
	for i := range out {
		out[i] = math.Inf(-1)
		for _, j := range ends[i] {
			out[i] = max(out[i], float64(max(in[j], blank[j])))
		}
	}
	return out
}
