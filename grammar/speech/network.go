package speech

import (
	"slices"

	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Network is the grammar as states and steps: what may come after any
// beginning. It takes any number of statements, as Parse does.
type Network struct {
	Steps [][]arc // by state
	empty [][]int // steps that take no token
	near  [][]int // by state: itself, and all that empty steps lead to
}

type arc struct {
	Class vocab.Class
	To    int
}

// states is a set of states.
type states []int

const netStart = 0

// newNetwork builds the network of the whole language, or of one statement of
// it, as a speaker says one in a breath.
func newNetwork(rules map[string]*Expr, whole bool) *Network {
	n := &Network{}
	n.State() // netStart
	b := NetBuilder{N: n, Rules: rules}
	end := n.State()
	b.Build(alt(OfRule("Alone"), OfRule("Lead"), OfRule("Clause")), netStart, end)
	if !whole {
		n.close()
		return n
	}
	// After a statement: nothing, another one, or more figures of a reading.
	n.empty[end] = append(n.empty[end], netStart)
	n.Steps[end] = append(n.Steps[end], arc{vocab.And, netStart})
	figures := n.State()
	b.Build(OfRule("Reading"), netStart, figures)
	b.Build(OfRule("Shown"), figures, figures)
	n.empty[figures] = append(n.empty[figures], end)
	n.close()
	return n
}

// close works out what empty steps lead to.
func (n *Network) close() {
	n.near = make([][]int, len(n.Steps))
	for q := range n.Steps {
		n.near[q] = n.Reached(q)
	}
}

// State adds a state and returns its number.
func (n *Network) State() int {
	n.Steps = append(n.Steps, nil)
	n.empty = append(n.empty, nil)
	return len(n.Steps) - 1
}

// NetBuilder adds the ways through an expression to a network.
type NetBuilder struct {
	N     *Network
	Rules map[string]*Expr
}

// Build lays e between two states.
func (b NetBuilder) Build(e *Expr, from, to int) {
	switch e.Op {
	case OpClass:
		b.N.Steps[from] = append(b.N.Steps[from], arc{e.Class, to})
	case OpRule:
		b.Build(b.Rules[e.Name], from, to)
	case OpOpt:
		b.Build(e.Kids[0], from, to)
		b.N.empty[from] = append(b.N.empty[from], to)
	case OpStar, OpPlus:
		in, out := b.N.State(), b.N.State()
		b.N.empty[from] = append(b.N.empty[from], in)
		b.Build(e.Kids[0], in, out)
		b.N.empty[out] = append(b.N.empty[out], in, to)
		if e.Op == OpStar {
			b.N.empty[in] = append(b.N.empty[in], to)
		}
	case OpAlt:
		for _, k := range e.Kids {
			b.Build(k, from, to)
		}
	case OpSeq:
		for i, k := range e.Kids {
			next := to
			if i < len(e.Kids)-1 {
				next = b.N.State()
			}
			b.Build(k, from, next)
			from = next
		}
		if len(e.Kids) == 0 {
			b.N.empty[from] = append(b.N.empty[from], to)
		}
	}
}

// begin is where a phrase starts.
func (n *Network) begin() states { return n.near[netStart] }

// after returns where a token of class c leads; empty where it cannot follow.
func (n *Network) after(s states, c vocab.Class) states {
	var out states
	var seen []uint64
	for _, q := range s {
		for _, a := range n.Steps[q] {
			if a.Class != c {
				continue
			}
			if seen == nil {
				seen = make([]uint64, len(n.Steps)/64+1)
			}
			for _, r := range n.near[a.To] {
				if bit := uint64(1) << (r % 64); seen[r/64]&bit == 0 {
					seen[r/64] |= bit
					out = append(out, r)
				}
			}
		}
	}
	return out
}

// Reached returns a state and all that its empty steps lead to.
func (n *Network) Reached(q int) []int {
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

// Expected returns the classes that may come next, in the classes' order.
func (n *Network) Expected(s states) []vocab.Class {
	var has [vocab.ClassCount]bool
	for _, q := range s {
		for _, a := range n.Steps[q] {
			has[a.Class] = true
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

// Reach walks tokens as far as the grammar goes: how many fit, and where that
// ends.
func (n *Network) Reach(toks []lex.Token) (int, states) {
	s := n.begin()
	for i := range toks {
		next := n.after(s, toks[i].Class)
		if len(next) == 0 {
			return i, s
		}
		s = next
	}
	return len(toks), s
}

// Net is the network of the language, made when it is first asked for.
func (l *Language) Net() (*Network, error) {
	if err := l.Load(); err != nil {
		return nil, err
	}
	l.netOnce.Do(func() { l.network, l.Statement = newNetwork(l.Rules, true), newNetwork(l.Rules, false) })
	return l.network, nil
}
