package diagnose

import (
	"cmp"
	"fmt"
	"slices"

	"downlead/grammar"
)

// complete adds what the usual order has and nobody said, and gives every
// element its number, its output and its room.
func (t *tree) complete() {
	most := 1
	for _, r := range t.receivers() {
		most = max(most, min(r.number, mostReceivers))
	}
	for k := 1; k <= most; k++ {
		if k > 1 || len(t.receivers()) == 0 || most > 1 {
			t.newReceiver(k, "", 0)
		}
	}
	t.settle()
	t.split()
	for _, n := range slices.Clone(t.nodes) {
		if n != t.dish && !n.linked {
			t.fill(n)
		}
	}
	t.setPorts()
	t.shareRooms()
	t.setNumbers()
}

// settle moves parts whose place nobody said into the run beside them: a
// splitter named for the second receiver lies on the way to the first as well.
func (t *tree) settle() {
	for _, n := range slices.Clone(t.nodes) {
		if n == t.dish || !n.placed || perReceiver(n.element) || n.element == grammar.Cable {
			continue
		}
		leaf := t.beside(n)
		if leaf == nil {
			continue
		}
		way := branch(leaf)
		up := way[usualPlace(n, way)]
		next := towards(up, leaf)
		if next == nil || !t.hang(n, up, next.port, next.linked) {
			continue
		}
		next.parent = n
		if !forks(n.element) {
			next.port = 0
		}
	}
}

// beside returns a receiver, or an end, that hangs on n's parent but not on n.
func (t *tree) beside(n *node) *node {
	if forks(n.parent.element) {
		return nil
	}
	for _, r := range t.receivers() {
		if above(n.parent, r) && !above(n, r) {
			return r
		}
	}
	return nil
}

// split puts an assumed splitter wherever several cables leave an element
// that has one output.
func (t *tree) split() {
	for _, n := range slices.Clone(t.nodes) {
		kids := t.children(n)
		if len(kids) < 2 || forks(n.element) || distinctPorts(kids) {
			continue
		}
		fork := t.add(&node{element: grammar.Splitter, assumed: true})
		t.between(fork, n, kids, slices.ContainsFunc(kids, func(k *node) bool { return k.linked }))
		fork.port = 0
	}
}

func distinctPorts(kids []*node) bool {
	seen := map[int]bool{0: true}
	for _, k := range kids {
		if seen[k.port] {
			return false
		}
		seen[k.port] = true
	}
	return true
}

// fill puts the usual elements between a node and its parent where nobody
// said what is there.
func (t *tree) fill(n *node) {
	up := n.parent
	hasCable := up.element == grammar.Cable
	before := up
	for before.element == grammar.Cable && before.parent != nil {
		before = before.parent
	}
	after := n.element
	if after == grammar.Cable { // cable hangs on what it leads from
		after = grammar.Barrel
		if next := t.children(n); len(next) > 0 {
			after = next[0].element
		}
	}
	put := func(e grammar.Element) {
		m := t.add(&node{element: e, assumed: true, linked: true})
		m.parent, m.port = up, n.port
		n.parent, n.port = m, 0
		up = m
	}
	lead := func(last grammar.Element, to grammar.Element) {
		switch {
		case hasCable || last == grammar.Dish || last == grammar.Jumper || to == grammar.LNB:
		case rank(to) == rank(grammar.Receiver) && last == grammar.WallPlate:
			put(grammar.Jumper)
		case to == grammar.Jumper && last == grammar.WallPlate:
		default:
			put(grammar.Cable)
		}
		hasCable = false
	}
	last := before.element
	for _, e := range t.lacking(before, n, after) {
		lead(last, e)
		put(e)
		last = e
	}
	if n.element != grammar.Cable {
		lead(last, n.element)
	}
	n.linked = true
}

// lacking returns the usual elements between two nodes that the way to the
// second does not have yet.
func (t *tree) lacking(before, n *node, after grammar.Element) []grammar.Element {
	var out []grammar.Element
	for _, e := range []grammar.Element{grammar.LNB, grammar.GroundBlock, grammar.WallPlate} {
		if rank(e) <= rank(before.element) || rank(e) >= rank(after) || t.has(n.parent, e) {
			continue
		}
		if slices.ContainsFunc(t.nodes, func(m *node) bool { return m.element == e && m != n && above(n, m) }) {
			continue // it comes further on
		}
		out = append(out, e)
	}
	return out
}

// setPorts numbers the outputs that nobody numbered, in the order of the
// receivers on them.
func (t *tree) setPorts() {
	for _, n := range t.nodes {
		kids := t.ordered(n)
		if !forks(n.element) && len(kids) < 2 {
			continue
		}
		taken := map[int]bool{}
		for _, k := range kids {
			if taken[k.port] {
				k.port = 0
			}
			taken[k.port] = true
		}
		next := 1
		for _, k := range kids {
			if k.port > 0 {
				continue
			}
			for taken[next] {
				next++
			}
			k.port, taken[next] = next, true
		}
		if forks(n.element) && n.ways == 0 {
			n.ways = max(2, len(kids))
		}
	}
}

// ordered returns the children of n by output, then by the first receiver on them.
func (t *tree) ordered(n *node) []*node {
	kids := t.children(n)
	first := func(k *node) int {
		for _, r := range t.receivers() {
			if above(k, r) {
				return order(r)
			}
		}
		return 1 << 30
	}
	slices.SortStableFunc(kids, func(a, b *node) int {
		if a.port > 0 && b.port > 0 {
			return cmp.Compare(a.port, b.port)
		}
		return cmp.Compare(first(a), first(b))
	})
	return kids
}

// shareRooms gives the wall plate and the jumper of a receiver its room, and
// the receiver theirs.
func (t *tree) shareRooms() {
	for _, r := range t.receivers() {
		for m := r.parent; m != nil && r.room == "" && len(t.children(m)) == 1 && !forks(m.element); m = m.parent {
			if perReceiver(m.element) {
				r.room = m.room
			}
		}
		for m := r.parent; m != nil && len(t.children(m)) == 1 && !forks(m.element); m = m.parent {
			if perReceiver(m.element) && m.room == "" {
				m.room = r.room
			}
		}
	}
}

// setNumbers numbers the elements of each kind: as said, else in order from
// the dish, skipping the numbers that were said.
func (t *tree) setNumbers() {
	taken := map[string]bool{}
	id := func(n *node) string { return fmt.Sprintf("%s %d", n.element, n.number) }
	for _, n := range t.walk() {
		if taken[id(n)] {
			n.number = 0
		}
		if n.number > 0 {
			taken[id(n)] = true
		}
	}
	next := map[grammar.Element]int{}
	for _, n := range t.walk() {
		for n.number == 0 {
			next[n.element]++
			if !taken[fmt.Sprintf("%s %d", n.element, next[n.element])] {
				n.number = next[n.element]
			}
		}
	}
}

// walk returns the nodes so that a parent comes before its children.
func (t *tree) walk() []*node {
	var out []*node
	var visit func(n *node)
	visit = func(n *node) {
		out = append(out, n)
		for _, k := range t.ordered(n) {
			visit(k)
		}
	}
	visit(t.dish)
	return out
}

// path returns the tree as a Path, and where each node went in it.
func (t *tree) path() (Path, map[*node]int) {
	var p Path
	at := map[*node]int{nil: -1}
	for i, n := range t.walk() {
		at[n] = i
		e := PathElement{
			ID: fmt.Sprintf("%s %d", n.element, n.number), Element: n.element,
			Port: n.port, Room: n.room, LengthFt: n.length, Cable: n.cable, Ways: n.ways,
			Assumed: n.assumed, Removed: n.until > 0,
		}
		if n.parent != nil {
			e.Parent = p.Elements[at[n.parent]].ID
		}
		p.Elements = append(p.Elements, e)
		p.Parent = append(p.Parent, at[n.parent])
	}
	return p, at
}
