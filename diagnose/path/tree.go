package path

import (
	"cmp"
	"slices"

	"downlead/grammar/entry"
)

// Node is an element while the path is being rebuilt.
type Node struct {
	Element entry.Element
	number  int // as said; 0 when nobody did
	room    string
	length  float64 // ft
	cable   string
	ways    int
	told    int // the ways that somebody said
	assumed bool

	Parent *Node
	port   int  // the parent's output
	linked bool // hangs directly on its parent: nothing is put between
	placed bool // the usual order put it here: a phrase may move it
	passed bool // hangs on a fork because the fork was put above it
	apart  bool // the phrase that hung it on its parent named no coax at all

	said  int64 // the first record that named it
	Since int64 // the action that put it in; 0 when it was always there
	Until int64 // the action that took it out; 0 when it is still there
}

// Tree is a path being rebuilt. Its root is the dish.
type Tree struct {
	Nodes []*Node
	dish  *Node
}

func NewTree() *Tree {
	dish := &Node{Element: entry.Dish, assumed: true, linked: true}
	return &Tree{Nodes: []*Node{dish}, dish: dish}
}

// Forks reports whether an element has several outputs by nature.
func Forks(e entry.Element) bool { return e.Forks() }

// IsRun reports whether an element is a length of coax.
func IsRun(e entry.Element) bool { return e == entry.Cable || e == entry.Jumper }

// perReceiver reports whether every receiver has one of its own as a rule.
func perReceiver(e entry.Element) bool { return e.Rank() >= 7 }

func (t *Tree) Add(n *Node) *Node {
	t.Nodes = append(t.Nodes, n)
	return n
}

func (t *Tree) children(n *Node) []*Node {
	var out []*Node
	for _, c := range t.Nodes {
		if c.Parent == n {
			out = append(out, c)
		}
	}
	return out
}

// AboveNode reports whether a is n or lies on n's way to the dish.
func AboveNode(a, n *Node) bool {
	for ; n != nil; n = n.Parent {
		if n == a {
			return true
		}
	}
	return false
}

// branch returns the nodes from the dish to n, both included.
func branch(n *Node) []*Node {
	var out []*Node
	for ; n != nil; n = n.Parent {
		out = append(out, n)
	}
	slices.Reverse(out)
	return out
}

// hang puts n on parent. It refuses what would make a ring.
func (t *Tree) hang(n, parent *Node, port int, linked bool) bool {
	if n == t.dish || AboveNode(n, parent) {
		return false
	}
	n.Parent, n.port, n.linked, n.placed, n.passed, n.apart = parent, port, linked, false, false, false
	return true
}

// between puts n directly after a, on the way to all of below, and keeps
// everything else.
func (t *Tree) between(n, a *Node, below []*Node, linked bool) {
	port := 0
	for i, c := range below {
		if i == 0 || c.port < port {
			port = c.port
		}
	}
	if !t.hang(n, a, port, linked) {
		return
	}
	for _, c := range below {
		c.Parent, c.passed = n, Forks(n.Element)
		if !Forks(n.Element) {
			c.port = 0
		}
	}
}

// lift takes n out; what hung on it hangs on its parent. A fork takes the
// branches that were said to be its own along.
func (t *Tree) lift(n *Node) {
	if n == t.dish || n.Parent == nil {
		return
	}
	for _, c := range t.children(n) {
		if Forks(n.Element) && !c.passed {
			continue
		}
		c.Parent, c.passed = n.Parent, false
		if c.port == 0 || !Forks(n.Parent.Element) {
			c.port = n.port
		}
		c.linked = c.linked && n.linked
	}
}

func (t *Tree) drop(n *Node) {
	t.Nodes = slices.DeleteFunc(t.Nodes, func(m *Node) bool { return m == n })
}

// prune removes n, and what led to nothing but n, up to but without stop.
// keep holds nodes that must stay.
func (t *Tree) prune(n, stop *Node, keep []*Node) {
	for n != nil && n != stop && n != t.dish && n.Element != entry.Receiver &&
		!slices.Contains(keep, n) && len(t.children(n)) == 0 {
		up := n.Parent
		t.drop(n)
		n = up
	}
}

func (t *Tree) receivers() []*Node {
	var out []*Node
	for _, n := range t.Nodes {
		if n.Element == entry.Receiver {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b *Node) int { return cmp.Compare(order(a), order(b)) })
	return out
}

// CountReceivers is how many receivers have been told of.
func (t *Tree) CountReceivers() int { return len(t.receivers()) }

// order sorts numbered elements first.
func order(n *Node) int {
	if n.number > 0 {
		return n.number
	}
	return 1 << 30
}

// room returns the room of a node: its own, else the one all receivers beyond
// it share.
func (t *Tree) room(n *Node) string {
	if n.room != "" {
		return n.room
	}
	room := ""
	for _, r := range t.receivers() {
		switch {
		case !AboveNode(n, r) || r.room == room:
		case room != "" || r.room == "":
			return ""
		default:
			room = r.room
		}
	}
	return room
}

// Match returns the nodes of a kind that fit a number and a room as said.
func (t *Tree) Match(e entry.Element, number int, room string) []*Node {
	var exact, loose []*Node
	for _, n := range t.Nodes {
		if n.Element != e || number > 0 && n.number > 0 && n.number != number {
			continue
		}
		at := t.room(n)
		if room != "" && at != "" && at != room {
			continue
		}
		if (number == 0 || n.number == number) && (room == "" || at == room) {
			exact = append(exact, n)
		} else {
			loose = append(loose, n)
		}
	}
	if len(exact) > 0 {
		return exact
	}
	return loose
}

// Note takes over what a phrase said about an element.
func (n *Node) Note(e entry.PathElement, seq int64) {
	n.assumed = false
	if n.said == 0 {
		n.said = seq
	}
	if e.Number > 0 {
		n.number = e.Number
	}
	if e.Room != "" {
		n.room = e.Room
	}
	if e.LengthFt.Said() {
		n.length = e.LengthFt.Float()
	}
	if e.Cable != "" {
		n.cable = e.Cable
	}
	if e.Ways > 0 {
		n.ways, n.told = e.Ways, e.Ways
	}
}
