package path

import (
	"slices"

	"downlead/grammar/entry"
)

// Chains takes in a path phrase without a verb: a chain, or several, each to a
// receiver, where more parts follow one.
func (t *Tree) Chains(said []entry.PathElement, seq int64) {
	if len(said) > 1 && said[0].Element == entry.Receiver && said[len(said)-1].Element != entry.Receiver {
		t.Chain(said, seq) // said from the receiver's end
		return
	}
	from := 0
	for i, e := range said {
		if e.Element == entry.Receiver || i == len(said)-1 {
			t.Chain(said[from:i+1], seq)
			from = i + 1
		}
	}
}

// Chain takes in a path phrase without a verb: its elements are all there is
// between the first and the last.
func (t *Tree) Chain(said []entry.PathElement, seq int64) {
	said = fromDish(said)
	for _, e := range said {
		if e.Element == entry.Receiver && e.Number > 1 {
			t.numberOne(e.Room)
		}
	}
	first := slices.IndexFunc(said, func(e entry.PathElement) bool { return e.Element != entry.Cable })
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
		c := t.Add(&Node{Element: entry.Cable})
		c.Note(said[i], seq)
		t.between(c, head.Parent, []*Node{head}, false)
		head.linked = true
		head = c
	}
}

// numberOne gives the only receiver that was told of, without a number, the
// first one: another phrase speaks of a second. One in the room that it names
// is that second one.
func (t *Tree) numberOne(room string) {
	all := t.receivers()
	if len(all) == 1 && all[0].number == 0 && (room == "" || all[0].room != room) {
		all[0].number = 1
	}
}

// fromDish puts the elements of a chain in order from the dish, for those who
// say them as they walk, and drops what cannot be: a dish further along, and
// anything on a receiver.
func fromDish(said []entry.PathElement) []entry.PathElement {
	said = slices.DeleteFunc(slices.Clone(said), func(e entry.PathElement) bool { return e.Element == "" })
	var ranks []int
	for _, e := range said {
		if r := e.Element.Rank(); r != entry.Cable.Rank() {
			ranks = append(ranks, r)
		}
	}
	if len(ranks) > 1 && ranks[0] > ranks[len(ranks)-1] {
		slices.Reverse(said)
	}
	if i := slices.IndexFunc(said, func(e entry.PathElement) bool { return e.Element == entry.Receiver }); i >= 0 {
		said = said[:i+1]
	}
	for i := len(said) - 1; i > 0; i-- {
		if said[i].Element == entry.Dish {
			return said[i:]
		}
	}
	return said
}

// recognise finds the nodes that the elements of a chain speak of, nil where
// there is none yet. The first named one is made where it is missing.
func (t *Tree) recognise(said []entry.PathElement, first int, seq int64) []*Node {
	found := make([]*Node, len(said))
	found[first] = t.Anchor(said[first], seq)
	own := chainReceiver(said)
	prev, port, forked := found[first], said[first].Port, Forks(said[first].Element)
	for i := first + 1; i < len(said); i++ {
		e := said[i]
		if e.Element == entry.Cable {
			continue
		}
		n := t.same(e, prev, port, forked, own, found)
		if n == nil {
			forked = forked || Forks(e.Element)
			continue
		}
		found[i] = n
		prev, port, forked = n, e.Port, forked || Forks(e.Element)
	}
	return found
}

func chainReceiver(said []entry.PathElement) *entry.PathElement {
	for i, e := range said {
		if e.Element == entry.Receiver {
			return &said[i]
		}
	}
	return nil
}

// Anchor returns the node an element names, made and put in its usual place
// where it is missing.
func (t *Tree) Anchor(e entry.PathElement, seq int64) *Node {
	if e.Element == entry.Dish {
		t.dish.Note(e, seq)
		return t.dish
	}
	if m := t.Match(e.Element, e.Number, e.Room); len(m) > 0 {
		m[0].Note(e, seq)
		return m[0]
	}
	n := t.Add(&Node{Element: e.Element})
	n.Note(e, seq)
	t.Place(n)
	return n
}

// same returns the node that an element further along a chain speaks of: one
// beyond the element before it, else one that hangs loose, else one named by
// its number or room.
func (t *Tree) same(e entry.PathElement, prev *Node, port int, forked bool, own *entry.PathElement, taken []*Node) *Node {
	var loose, named *Node
	for _, m := range t.Match(e.Element, e.Number, e.Room) {
		switch {
		case AboveNode(m, prev) || slices.Contains(taken, m):
		case forked && own != nil && t.feedsOther(m, *own):
		case AboveNode(prev, m) && t.onPort(prev, m, port):
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
func (t *Tree) feedsOther(n *Node, own entry.PathElement) bool {
	mine := t.Match(entry.Receiver, own.Number, own.Room)
	for _, r := range t.receivers() {
		if AboveNode(n, r) && !slices.Contains(mine, r) {
			return true
		}
	}
	return false
}

// onPort reports whether n hangs on the output of a; an output that was not
// said fits all.
func (t *Tree) onPort(a, n *Node, port int) bool {
	for ; n != nil && n.Parent != a; n = n.Parent {
	}
	return n != nil && (port == 0 || n.port == 0 || n.port == port)
}

// link hangs element i of a chain on the one before it, and takes out what a
// chain said later leaves out. A fork that others hang on stays.
func (t *Tree) link(said []entry.PathElement, found []*Node, i int, seq int64) *Node {
	up, port := found[i-1], said[i-1].Port
	for _, b := range found[i:] {
		if b == nil || !AboveNode(up, b) {
			continue
		}
		for m := b.Parent; m != nil && m != up; m = m.Parent {
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
		n = t.Add(&Node{Element: said[i].Element})
	}
	n.Note(said[i], seq)
	old := n.Parent
	if t.hang(n, up, port, true) && old != nil && old != up {
		t.prune(old, up, found)
	}
	n.apart = !slices.ContainsFunc(said, func(e entry.PathElement) bool { return IsRun(e.Element) })
	return n
}

// towards returns the child of a on the way to n.
func towards(a, n *Node) *Node {
	for ; n != nil && n.Parent != a; n = n.Parent {
	}
	return n
}

// Insert takes in a path phrase that puts an element directly after another
// one and keeps everything else. Said twice, it is one element.
func (t *Tree) Insert(said []entry.PathElement, seq int64) {
	if len(said) < 2 {
		for _, e := range said {
			t.Anchor(e, seq)
		}
		return
	}
	if said[1].Element == entry.Receiver {
		t.Chain(said[:2], seq)
		return
	}
	a := t.Anchor(said[0], seq)
	var b *Node
	if len(said) > 2 {
		b = t.Anchor(said[2], seq)
	}
	if b != nil && AboveNode(b, a) { // said from the receiver's end
		a, b = b, a
	}
	t.InsertNode(a, b, said[0].Port, said[1], seq, 0)
}

// Before takes in a path phrase that puts the first of two elements directly
// before the second. Said twice, it is one element.
func (t *Tree) Before(said []entry.PathElement, seq int64) {
	if len(said) < 2 {
		return
	}
	b := t.Anchor(said[1], seq)
	up := b.Parent
	for n := up; n != nil; n = n.Parent {
		if n.Element == said[0].Element && slices.Contains(t.Match(said[0].Element, said[0].Number, said[0].Room), n) {
			n.Note(said[0], seq)
			return
		}
		if n.Element != entry.Cable && n.Element != entry.Jumper {
			break
		}
	}
	if up != nil { // nothing lies before the dish
		t.InsertNode(up, b, b.port, said[0], seq, 0)
	}
}

// InsertNode puts e after a towards b, and returns its node. since is the
// action that put it in, or 0.
func (t *Tree) InsertNode(a, b *Node, port int, e entry.PathElement, seq, since int64) *Node {
	if e.Element == entry.Dish {
		return t.dish
	}
	if a.Element == entry.Receiver {
		a, b = a.Parent, a
	}
	if n := t.alreadyThere(a, b, e, since); n != nil {
		n.Note(e, seq)
		n.placed = n.placed && n.Parent != a
		n.linked = n.linked || n.Parent == a
		n.Since = since
		return n
	}
	below := t.below(a, b, port)
	n := t.loose(e)
	switch {
	case n == nil || n == a || n == b || AboveNode(n, a):
		n = t.Add(&Node{Element: e.Element})
	case n.Parent == a:
		n.Note(e, seq)
		n.linked, n.placed, n.Since = true, false, since
		return n
	default:
		t.lift(n)
		below = t.below(a, b, port)
	}
	n.Note(e, seq)
	n.Since = since
	t.between(n, a, below, true)
	if n.port == 0 {
		n.port = port
	}
	return n
}

// alreadyThere finds an element of the kind that a phrase already put between
// a and b, or directly after a. An action made a new one unless the phrase
// came after it.
func (t *Tree) alreadyThere(a, b *Node, e entry.PathElement, since int64) *Node {
	for _, m := range t.Match(e.Element, e.Number, e.Room) {
		if m == a || m == b || m.Until > 0 || since > 0 && m.said <= since {
			continue
		}
		if b != nil && AboveNode(a, m) && AboveNode(m, b) {
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
func follows(m, a *Node) bool {
	for n := m.Parent; n != nil; n = n.Parent {
		if n == a {
			return true
		}
		if n.Element != entry.Cable && n.Element.Rank() != entry.Barrel.Rank() {
			return false
		}
	}
	return false
}

// loose returns a node of the kind whose place nobody has said.
func (t *Tree) loose(e entry.PathElement) *Node {
	for _, m := range t.Match(e.Element, e.Number, e.Room) {
		if m.placed && m.Until == 0 {
			return m
		}
	}
	return nil
}

// below returns the children of a that an insertion after it pushes down.
func (t *Tree) below(a, b *Node, port int) []*Node {
	if b != nil && b != a && AboveNode(a, b) {
		return []*Node{towards(a, b)}
	}
	kids := t.children(a)
	if !Forks(a.Element) {
		return kids
	}
	for _, c := range kids {
		if port == 0 || c.port == port {
			return []*Node{c}
		}
	}
	return nil
}
