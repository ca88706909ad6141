package diagnose

import (
	"slices"

	"downlead/grammar"
)

// chain takes in a path phrase without a verb: its elements are all there is
// between the first and the last.
func (t *tree) chain(said []grammar.PathElement, seq int64) {
	said = fromDish(said)
	first := slices.IndexFunc(said, func(e grammar.PathElement) bool { return e.Element != grammar.Cable })
	if first < 0 {
		return // only cable: nothing says where
	}
	found := t.recognise(said, first, seq)
	for i := first + 1; i < len(said); i++ {
		found[i] = t.link(said, found, i, seq)
	}
	// Cable said before the first part with a name lies on its dish side.
	head := found[first]
	if head == t.dish {
		return
	}
	for i := first - 1; i >= 0; i-- {
		c := t.add(&node{element: grammar.Cable})
		c.note(said[i], seq)
		t.between(c, head.parent, []*node{head}, false)
		head.linked = true
		head = c
	}
}

// fromDish puts the elements of a chain in order from the dish, for those who
// say them as they walk, and drops what cannot be: a dish further along, and
// anything on a receiver.
func fromDish(said []grammar.PathElement) []grammar.PathElement {
	said = slices.DeleteFunc(slices.Clone(said), func(e grammar.PathElement) bool { return e.Element == "" })
	var ranks []int
	for _, e := range said {
		if r := rank(e.Element); r != rank(grammar.Cable) {
			ranks = append(ranks, r)
		}
	}
	if len(ranks) > 1 && ranks[0] > ranks[len(ranks)-1] {
		slices.Reverse(said)
	}
	if i := slices.IndexFunc(said, func(e grammar.PathElement) bool { return e.Element == grammar.Receiver }); i >= 0 {
		said = said[:i+1]
	}
	for i := len(said) - 1; i > 0; i-- {
		if said[i].Element == grammar.Dish {
			return said[i:]
		}
	}
	return said
}

// recognise finds the nodes that the elements of a chain speak of, nil where
// there is none yet. The first named one is made where it is missing.
func (t *tree) recognise(said []grammar.PathElement, first int, seq int64) []*node {
	found := make([]*node, len(said))
	found[first] = t.anchor(said[first], seq)
	own := chainReceiver(said)
	prev, port, forked := found[first], said[first].Port, forks(said[first].Element)
	for i := first + 1; i < len(said); i++ {
		e := said[i]
		if e.Element == grammar.Cable {
			continue
		}
		n := t.same(e, prev, port, forked, own, found)
		if n == nil {
			forked = forked || forks(e.Element)
			continue
		}
		found[i] = n
		prev, port, forked = n, e.Port, forked || forks(e.Element)
	}
	return found
}

func chainReceiver(said []grammar.PathElement) *grammar.PathElement {
	for i, e := range said {
		if e.Element == grammar.Receiver {
			return &said[i]
		}
	}
	return nil
}

// anchor returns the node an element names, made and put in its usual place
// where it is missing.
func (t *tree) anchor(e grammar.PathElement, seq int64) *node {
	if e.Element == grammar.Dish {
		t.dish.note(e, seq)
		return t.dish
	}
	if m := t.match(e.Element, e.Number, e.Room); len(m) > 0 {
		m[0].note(e, seq)
		return m[0]
	}
	n := t.add(&node{element: e.Element})
	n.note(e, seq)
	t.place(n)
	return n
}

// same returns the node that an element further along a chain speaks of: one
// beyond the element before it, else one that hangs loose, else one named by
// its number or room.
func (t *tree) same(e grammar.PathElement, prev *node, port int, forked bool, own *grammar.PathElement, taken []*node) *node {
	var loose, named *node
	for _, m := range t.match(e.Element, e.Number, e.Room) {
		switch {
		case above(m, prev) || slices.Contains(taken, m):
		case forked && own != nil && t.feedsOther(m, *own):
		case above(prev, m) && t.onPort(prev, m, port):
			return m
		case m.placed && loose == nil:
			loose = m
		case (e.Number > 0 && m.number == e.Number || e.Room != "" && m.room == e.Room) && named == nil:
			named = m
		}
	}
	if loose != nil {
		return loose
	}
	return named
}

// feedsOther reports whether a receiver other than the one said hangs on n.
func (t *tree) feedsOther(n *node, own grammar.PathElement) bool {
	mine := t.match(grammar.Receiver, own.Number, own.Room)
	for _, r := range t.receivers() {
		if above(n, r) && !slices.Contains(mine, r) {
			return true
		}
	}
	return false
}

// onPort reports whether n hangs on the output of a; an output that was not
// said fits all.
func (t *tree) onPort(a, n *node, port int) bool {
	for ; n != nil && n.parent != a; n = n.parent {
	}
	return n != nil && (port == 0 || n.port == 0 || n.port == port)
}

// link hangs element i of a chain on the one before it, and takes out what a
// chain said later leaves out. A fork that others hang on stays.
func (t *tree) link(said []grammar.PathElement, found []*node, i int, seq int64) *node {
	up, port := found[i-1], said[i-1].Port
	for _, b := range found[i:] {
		if b == nil || !above(up, b) {
			continue
		}
		for m := b.parent; m != nil && m != up; m = m.parent {
			if len(t.children(m)) > 1 && !slices.Contains(found, m) {
				up, port = m, towards(m, b).port
				break
			}
		}
		if next := towards(up, b); port == 0 && next != nil {
			port = next.port
		}
		break
	}
	n := found[i]
	if n == nil {
		n = t.add(&node{element: said[i].Element})
	}
	n.note(said[i], seq)
	old := n.parent
	if t.hang(n, up, port, true) && old != nil && old != up {
		t.prune(old, up, found)
	}
	return n
}

// towards returns the child of a on the way to n.
func towards(a, n *node) *node {
	for ; n != nil && n.parent != a; n = n.parent {
	}
	return n
}

// insert takes in a path phrase that puts an element directly after another
// one and keeps everything else. Said twice, it is one element.
func (t *tree) insert(said []grammar.PathElement, seq int64) {
	if len(said) < 2 {
		for _, e := range said {
			t.anchor(e, seq)
		}
		return
	}
	if said[1].Element == grammar.Receiver {
		t.chain(said[:2], seq)
		return
	}
	a := t.anchor(said[0], seq)
	var b *node
	if len(said) > 2 {
		b = t.anchor(said[2], seq)
	}
	if b != nil && above(b, a) { // said from the receiver's end
		a, b = b, a
	}
	t.insertNode(a, b, said[0].Port, said[1], seq, 0)
}

// insertNode puts e after a towards b, and returns its node. since is the
// action that put it in, or 0.
func (t *tree) insertNode(a, b *node, port int, e grammar.PathElement, seq, since int64) *node {
	if e.Element == grammar.Dish {
		return t.dish
	}
	if a.element == grammar.Receiver {
		a, b = a.parent, a
	}
	if n := t.alreadyThere(a, b, e, since); n != nil {
		n.note(e, seq)
		n.placed = n.placed && n.parent != a
		n.linked = n.linked || n.parent == a
		n.since = since
		return n
	}
	below := t.below(a, b, port)
	n := t.loose(e)
	switch {
	case n == nil || n == a || n == b || above(n, a):
		n = t.add(&node{element: e.Element})
	case n.parent == a:
		n.note(e, seq)
		n.linked, n.placed, n.since = true, false, since
		return n
	default:
		t.lift(n)
		below = t.below(a, b, port)
	}
	n.note(e, seq)
	n.since = since
	t.between(n, a, below, true)
	if n.port == 0 {
		n.port = port
	}
	return n
}

// alreadyThere finds an element of the kind that a phrase already put between
// a and b, or directly after a. An action made a new one unless the phrase
// came after it.
func (t *tree) alreadyThere(a, b *node, e grammar.PathElement, since int64) *node {
	for _, m := range t.match(e.Element, e.Number, e.Room) {
		if m == a || m == b || m.until > 0 || since > 0 && m.said <= since {
			continue
		}
		if b != nil && above(a, m) && above(m, b) {
			return m
		}
		if b == nil && m.linked && !m.placed && follows(m, a) {
			return m
		}
	}
	return nil
}

// follows reports whether m comes after a with nothing between but cable and
// small parts, which a phrase may have put there later.
func follows(m, a *node) bool {
	for n := m.parent; n != nil; n = n.parent {
		if n == a {
			return true
		}
		if n.element != grammar.Cable && rank(n.element) != rank(grammar.Barrel) {
			return false
		}
	}
	return false
}

// loose returns a node of the kind whose place nobody has said.
func (t *tree) loose(e grammar.PathElement) *node {
	for _, m := range t.match(e.Element, e.Number, e.Room) {
		if m.placed && m.until == 0 {
			return m
		}
	}
	return nil
}

// below returns the children of a that an insertion after it pushes down.
func (t *tree) below(a, b *node, port int) []*node {
	if b != nil && b != a && above(a, b) {
		return []*node{towards(a, b)}
	}
	kids := t.children(a)
	if !forks(a.element) {
		return kids
	}
	for _, c := range kids {
		if port == 0 || c.port == port {
			return []*node{c}
		}
	}
	return nil
}
