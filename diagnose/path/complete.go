package path

import (
	"cmp"
	"fmt"
	"slices"

	"downlead/grammar/entry"
)

// Complete adds what the usual order has and nobody said, and gives every
// element its number, its output and its room.
func (t *Tree) Complete() {
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
	for _, n := range slices.Clone(t.Nodes) {
		if n != t.dish && !n.linked {
			t.fill(n)
		}
	}
	for _, n := range slices.Clone(t.Nodes) {
		t.span(n)
	}
	t.setPorts()
	t.shareRooms()
	t.setNumbers()
}

// settle moves parts whose place nobody said into the run beside them: a
// splitter named for the second receiver lies on the way to the first as well.
func (t *Tree) settle() {
	for _, n := range slices.Clone(t.Nodes) {
		if n == t.dish || !n.placed || perReceiver(n.Element) || n.Element == entry.Cable {
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
		next.Parent = n
		if !Forks(n.Element) {
			next.port = 0
		}
	}
}

// beside returns a receiver, or an end, that hangs on n's parent but not on n.
func (t *Tree) beside(n *Node) *Node {
	if Forks(n.Parent.Element) {
		return nil
	}
	for _, r := range t.receivers() {
		if AboveNode(n.Parent, r) && !AboveNode(n, r) {
			return r
		}
	}
	return nil
}

// split puts an assumed splitter wherever several cables leave an element
// that has one output.
func (t *Tree) split() {
	for _, n := range slices.Clone(t.Nodes) {
		kids := t.children(n)
		if len(kids) < 2 || Forks(n.Element) || distinctPorts(kids) {
			continue
		}
		fork := t.Add(&Node{Element: entry.Splitter, assumed: true})
		t.between(fork, n, kids, slices.ContainsFunc(kids, func(k *Node) bool { return k.linked }))
		fork.port = 0
	}
}

func distinctPorts(kids []*Node) bool {
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
func (t *Tree) fill(n *Node) {
	up := n.Parent
	hasCable := up.Element == entry.Cable
	before := up
	for before.Element == entry.Cable && before.Parent != nil {
		before = before.Parent
	}
	after := n.Element
	if after == entry.Cable { // cable hangs on what it leads from
		after = entry.Barrel
		if next := t.children(n); len(next) > 0 {
			after = next[0].Element
		}
	}
	put := func(e entry.Element) { t.assume(n, e) }
	lead := func(last entry.Element, to entry.Element) {
		switch {
		case hasCable || last == entry.Dish || last == entry.Jumper || to == entry.LNB:
		case to.Rank() == entry.Receiver.Rank() && last == entry.WallPlate:
			put(entry.Jumper)
		case to == entry.Jumper && last == entry.WallPlate:
		default:
			put(entry.Cable)
		}
		hasCable = false
	}
	last := before.Element
	for _, e := range t.lacking(before, n, after) {
		lead(last, e)
		put(e)
		last = e
	}
	if n.Element != entry.Cable {
		lead(last, n.Element)
	}
	n.linked = true
}

// span puts the run of coax between a part and its parent that nobody named. A
// receiver always hangs on one, an LNB always leads into one. Between other
// parts there is one where the phrase named no coax at all: who gives lengths
// means that the others stand together.
func (t *Tree) span(n *Node) {
	up := n.Parent
	if up == nil || n.Until > 0 || up.Until > 0 || !ends(up.Element) || !ends(n.Element) {
		return
	}
	if !n.apart && n.Element != entry.Receiver && up.Element != entry.LNB {
		return
	}
	if up.Element == entry.WallPlate && n.Element == entry.Receiver {
		t.assume(n, entry.Jumper)
		return
	}
	t.assume(n, entry.Cable)
}

// assume puts an element that nobody named between a part and its parent.
func (t *Tree) assume(n *Node, e entry.Element) {
	m := t.Add(&Node{Element: e, assumed: true, linked: true, Parent: n.Parent, port: n.port})
	n.Parent, n.port = m, 0
}

// ends reports whether coax ends at an element: barrels and other small parts
// may sit right on the next one.
func ends(e entry.Element) bool {
	switch e {
	case entry.LNB, entry.GroundBlock, entry.Splitter, entry.Multiswitch, entry.WallPlate, entry.Receiver:
		return true
	}
	return false
}

// lacking returns the usual elements between two nodes that the way to the
// second does not have yet.
func (t *Tree) lacking(before, n *Node, after entry.Element) []entry.Element {
	var out []entry.Element
	for _, e := range []entry.Element{entry.LNB, entry.GroundBlock, entry.WallPlate} {
		if e.Rank() <= before.Element.Rank() || e.Rank() >= after.Rank() || t.has(n.Parent, e) {
			continue
		}
		if slices.ContainsFunc(t.Nodes, func(m *Node) bool { return m.Element == e && m != n && AboveNode(n, m) }) {
			continue // it comes further on
		}
		out = append(out, e)
	}
	return out
}

// setPorts numbers the outputs that nobody numbered, in the order of the
// receivers on them.
func (t *Tree) setPorts() {
	for _, n := range t.Nodes {
		kids := t.ordered(n)
		if !Forks(n.Element) && len(kids) < 2 {
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
		if Forks(n.Element) && n.ways == 0 {
			n.ways = max(2, len(kids))
			for _, k := range kids {
				n.ways = max(n.ways, k.port)
			}
		}
	}
}

// ordered returns the children of n by output, then by the first receiver on them.
func (t *Tree) ordered(n *Node) []*Node {
	kids := t.children(n)
	first := func(k *Node) int {
		for _, r := range t.receivers() {
			if AboveNode(k, r) {
				return order(r)
			}
		}
		return 1 << 30
	}
	slices.SortStableFunc(kids, func(a, b *Node) int {
		if a.port > 0 && b.port > 0 {
			return cmp.Compare(a.port, b.port)
		}
		return cmp.Compare(first(a), first(b))
	})
	return kids
}

// shareRooms gives the wall plate and the jumper of a receiver its room, and
// the receiver theirs.
func (t *Tree) shareRooms() {
	for _, r := range t.receivers() {
		for m := r.Parent; m != nil && r.room == "" && len(t.children(m)) == 1 && !Forks(m.Element); m = m.Parent {
			if perReceiver(m.Element) {
				r.room = m.room
			}
		}
		for m := r.Parent; m != nil && len(t.children(m)) == 1 && !Forks(m.Element); m = m.Parent {
			if perReceiver(m.Element) && m.room == "" {
				m.room = r.room
			}
		}
	}
}

// setNumbers numbers the elements of each kind: as said, else in order from
// the dish, skipping the numbers that were said.
func (t *Tree) setNumbers() {
	taken := map[string]bool{}
	id := func(n *Node) string { return fmt.Sprintf("%s %d", n.Element, n.number) }
	for _, n := range t.walk() {
		if taken[id(n)] {
			n.number = 0
		}
		if n.number > 0 {
			taken[id(n)] = true
		}
	}
	next := map[entry.Element]int{}
	for _, n := range t.walk() {
		for n.number == 0 {
			next[n.Element]++
			if !taken[fmt.Sprintf("%s %d", n.Element, next[n.Element])] {
				n.number = next[n.Element]
			}
		}
	}
}

// walk returns the nodes so that a parent comes before its children.
func (t *Tree) walk() []*Node {
	var out []*Node
	var visit func(n *Node)
	visit = func(n *Node) {
		out = append(out, n)
		for _, k := range t.ordered(n) {
			visit(k)
		}
	}
	visit(t.dish)
	return out
}

// Path returns the tree as a Path, and where each node went in it.
func (t *Tree) Path() (Path, map[*Node]int) {
	var p Path
	at := map[*Node]int{nil: -1}
	for i, n := range t.walk() {
		at[n] = i
		e := PathElement{
			ID: fmt.Sprintf("%s %d", n.Element, n.number), Element: n.Element,
			Port: n.port, Room: n.room, LengthFt: n.length, Cable: n.cable, Ways: n.ways, SaidWays: n.told,
			Assumed: n.assumed, Removed: n.Until > 0,
		}
		if n.Parent != nil {
			e.Parent = p.Elements[at[n.Parent]].ID
		}
		p.Elements = append(p.Elements, e)
		p.Parent = append(p.Parent, at[n.Parent])
	}
	return p, at
}
