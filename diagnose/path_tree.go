package diagnose

import (
	"cmp"
	"slices"

	"downlead/grammar"
)

// node is an element while the path is being rebuilt.
type node struct {
	element grammar.Element
	number  int // as said; 0 when nobody did
	room    string
	length  float64 // ft
	cable   string
	ways    int
	assumed bool

	parent *node
	port   int  // the parent's output
	linked bool // hangs directly on its parent: nothing is put between
	placed bool // the usual order put it here: a phrase may move it
	passed bool // hangs on a fork because the fork was put above it

	said  int64 // the first record that named it
	since int64 // the action that put it in; 0 when it was always there
	until int64 // the action that took it out; 0 when it is still there
}

// tree is a path being rebuilt. Its root is the dish.
type tree struct {
	nodes []*node
	dish  *node
}

func newTree() *tree {
	dish := &node{element: grammar.Dish, assumed: true, linked: true}
	return &tree{nodes: []*node{dish}, dish: dish}
}

// rank is an element's place in the usual order from the dish to the
// receiver. Cable has none of its own: it lies between two that have.
func rank(e grammar.Element) int {
	switch e {
	case grammar.Dish:
		return 0
	case grammar.LNB:
		return 1
	case grammar.GroundBlock:
		return 3
	case grammar.Splitter, grammar.Tap, grammar.Multiswitch:
		return 5
	case grammar.WallPlate:
		return 7
	case grammar.Jumper:
		return 8
	case grammar.Receiver:
		return 9
	}
	return 4 // barrel, fitting, diplexer, triplexer, power inserter
}

// forks reports whether an element has several outputs by nature.
func forks(e grammar.Element) bool { return rank(e) == 5 }

// isRun reports whether an element is a length of coax.
func isRun(e grammar.Element) bool { return e == grammar.Cable || e == grammar.Jumper }

// perReceiver reports whether every receiver has one of its own as a rule.
func perReceiver(e grammar.Element) bool { return rank(e) >= 7 }

func (t *tree) add(n *node) *node {
	t.nodes = append(t.nodes, n)
	return n
}

func (t *tree) children(n *node) []*node {
	var out []*node
	for _, c := range t.nodes {
		if c.parent == n {
			out = append(out, c)
		}
	}
	return out
}

// above reports whether a is n or lies on n's way to the dish.
func above(a, n *node) bool {
	for ; n != nil; n = n.parent {
		if n == a {
			return true
		}
	}
	return false
}

// branch returns the nodes from the dish to n, both included.
func branch(n *node) []*node {
	var out []*node
	for ; n != nil; n = n.parent {
		out = append(out, n)
	}
	slices.Reverse(out)
	return out
}

// hang puts n on parent. It refuses what would make a ring.
func (t *tree) hang(n, parent *node, port int, linked bool) bool {
	if n == t.dish || above(n, parent) {
		return false
	}
	n.parent, n.port, n.linked, n.placed, n.passed = parent, port, linked, false, false
	return true
}

// between puts n directly after a, on the way to all of below, and keeps
// everything else.
func (t *tree) between(n, a *node, below []*node, linked bool) {
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
		c.parent, c.passed = n, forks(n.element)
		if !forks(n.element) {
			c.port = 0
		}
	}
}

// lift takes n out; what hung on it hangs on its parent. A fork takes the
// branches that were said to be its own along.
func (t *tree) lift(n *node) {
	if n == t.dish || n.parent == nil {
		return
	}
	for _, c := range t.children(n) {
		if forks(n.element) && !c.passed {
			continue
		}
		c.parent, c.passed = n.parent, false
		if c.port == 0 || !forks(n.parent.element) {
			c.port = n.port
		}
		c.linked = c.linked && n.linked
	}
}

func (t *tree) drop(n *node) {
	t.nodes = slices.DeleteFunc(t.nodes, func(m *node) bool { return m == n })
}

// prune removes n, and what led to nothing but n, up to but without stop.
// keep holds nodes that must stay.
func (t *tree) prune(n, stop *node, keep []*node) {
	for n != nil && n != stop && n != t.dish && n.element != grammar.Receiver &&
		!slices.Contains(keep, n) && len(t.children(n)) == 0 {
		up := n.parent
		t.drop(n)
		n = up
	}
}

func (t *tree) receivers() []*node {
	var out []*node
	for _, n := range t.nodes {
		if n.element == grammar.Receiver {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b *node) int { return cmp.Compare(order(a), order(b)) })
	return out
}

// order sorts numbered elements first.
func order(n *node) int {
	if n.number > 0 {
		return n.number
	}
	return 1 << 30
}

// room returns the room of a node: its own, else the one all receivers beyond
// it share.
func (t *tree) room(n *node) string {
	if n.room != "" {
		return n.room
	}
	room := ""
	for _, r := range t.receivers() {
		switch {
		case !above(n, r) || r.room == room:
		case room != "" || r.room == "":
			return ""
		default:
			room = r.room
		}
	}
	return room
}

// match returns the nodes of a kind that fit a number and a room as said.
func (t *tree) match(e grammar.Element, number int, room string) []*node {
	var exact, loose []*node
	for _, n := range t.nodes {
		if n.element != e || number > 0 && n.number > 0 && n.number != number {
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

// note takes over what a phrase said about an element.
func (n *node) note(e grammar.PathElement, seq int64) {
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
		n.ways = e.Ways
	}
}
