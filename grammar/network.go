package grammar

import (
	"slices"

	"downlead/grammar/vocab"
)

// network is the grammar as states and steps: what may come after any
// beginning. It takes any number of statements, as Parse does.
type network struct {
	steps [][]arc // by state
	empty [][]int // steps that take no token
	near  [][]int // by state: itself, and all that empty steps lead to
}

type arc struct {
	class vocab.Class
	to    int
}

// states is a set of states.
type states []int

const netStart = 0

// newNetwork builds the network of the whole language, or of one statement of
// it, as a speaker says one in a breath.
func newNetwork(rules map[string]*expr, whole bool) *network {
	n := &network{}
	n.state() // netStart
	b := netBuilder{n: n, rules: rules}
	end := n.state()
	b.build(alt(ofRule("Alone"), ofRule("Lead"), ofRule("Clause")), netStart, end)
	if !whole {
		n.close()
		return n
	}
	// After a statement: nothing, another one, or more figures of a reading.
	n.empty[end] = append(n.empty[end], netStart)
	n.steps[end] = append(n.steps[end], arc{vocab.And, netStart})
	figures := n.state()
	b.build(ofRule("Reading"), netStart, figures)
	b.build(ofRule("Shown"), figures, figures)
	n.empty[figures] = append(n.empty[figures], end)
	n.close()
	return n
}

// close works out what empty steps lead to.
func (n *network) close() {
	n.near = make([][]int, len(n.steps))
	for q := range n.steps {
		n.near[q] = n.reached(q)
	}
}

func (n *network) state() int {
	n.steps = append(n.steps, nil)
	n.empty = append(n.empty, nil)
	return len(n.steps) - 1
}

type netBuilder struct {
	n     *network
	rules map[string]*expr
}

// build lays e between two states.
func (b netBuilder) build(e *expr, from, to int) {
	switch e.op {
	case opClass:
		b.n.steps[from] = append(b.n.steps[from], arc{e.class, to})
	case opRule:
		b.build(b.rules[e.name], from, to)
	case opOpt:
		b.build(e.kids[0], from, to)
		b.n.empty[from] = append(b.n.empty[from], to)
	case opStar, opPlus:
		in, out := b.n.state(), b.n.state()
		b.n.empty[from] = append(b.n.empty[from], in)
		b.build(e.kids[0], in, out)
		b.n.empty[out] = append(b.n.empty[out], in, to)
		if e.op == opStar {
			b.n.empty[in] = append(b.n.empty[in], to)
		}
	case opAlt:
		for _, k := range e.kids {
			b.build(k, from, to)
		}
	case opSeq:
		for i, k := range e.kids {
			next := to
			if i < len(e.kids)-1 {
				next = b.n.state()
			}
			b.build(k, from, next)
			from = next
		}
		if len(e.kids) == 0 {
			b.n.empty[from] = append(b.n.empty[from], to)
		}
	}
}

// begin is where a phrase starts.
func (n *network) begin() states { return n.near[netStart] }

// after returns where a token of class c leads; empty where it cannot follow.
func (n *network) after(s states, c vocab.Class) states {
	var out states
	var seen []uint64
	for _, q := range s {
		for _, a := range n.steps[q] {
			if a.class != c {
				continue
			}
			if seen == nil {
				seen = make([]uint64, len(n.steps)/64+1)
			}
			for _, r := range n.near[a.to] {
				if bit := uint64(1) << (r % 64); seen[r/64]&bit == 0 {
					seen[r/64] |= bit
					out = append(out, r)
				}
			}
		}
	}
	return out
}

// reached returns a state and all that its empty steps lead to.
func (n *network) reached(q int) []int {
	out := []int{q}
	for i := 0; i < len(out); i++ {
		for _, r := range n.empty[out[i]] {
			if !slices.Contains(out, r) {
				out = append(out, r)
			}
		}
	}
	return out
}

// expected returns the classes that may come next, in the classes' order.
func (n *network) expected(s states) []vocab.Class {
	var has [vocab.ClassCount]bool
	for _, q := range s {
		for _, a := range n.steps[q] {
			has[a.class] = true
		}
	}
	var out []vocab.Class
	for c := range has {
		if has[c] {
			out = append(out, vocab.Class(c))
		}
	}
	return out
}

// reach walks tokens as far as the grammar goes: how many fit, and where that
// ends.
func (n *network) reach(toks []token) (int, states) {
	s := n.begin()
	for i := range toks {
		next := n.after(s, toks[i].class)
		if len(next) == 0 {
			return i, s
		}
		s = next
	}
	return len(toks), s
}
