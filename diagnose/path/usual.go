package path

import (
	"slices"

	"downlead/grammar/entry"
)

// mostReceivers bounds how many receivers a spoken number alone can bring into
// being: "receiver four" makes receivers one to three assumed.
const mostReceivers = 16

// Place hangs a node where the usual order of elements has it, loosely.
func (t *Tree) Place(n *Node) {
	if n.Element == entry.Receiver {
		t.placeReceiver(n)
		return
	}
	t.placeOn(n, t.leafFor(n))
}

// placeOn hangs a node on the way to a leaf, loosely.
func (t *Tree) placeOn(n, leaf *Node) {
	way := branch(leaf)
	at := usualPlace(n, way)
	up := way[at]
	var below []*Node
	switch kids := t.children(up); {
	case Forks(up.Element) && at+1 < len(way):
		below = way[at+1 : at+2]
	case !Forks(up.Element) && !perReceiver(n.Element):
		below = kids
	case at+1 < len(way):
		below = way[at+1 : at+2]
	}
	linked := len(below) > 0 && below[0].linked
	t.between(n, up, below, linked)
	n.placed = true
}

// usualPlace returns the index on the way after which the usual order has n.
func usualPlace(n *Node, way []*Node) int {
	at := 0
	for i, m := range way {
		if m == n || m.Element == entry.Cable {
			continue
		}
		if m.Element.Rank() > n.Element.Rank() || Forks(n.Element) && Forks(m.Element) && m.Element != n.Element {
			break
		}
		at = i
	}
	// A said run of cable stays whole: what forks goes before it, all else after.
	for !Forks(n.Element) && at+1 < len(way) && way[at+1].Element == entry.Cable {
		at++
	}
	return at
}

// leafFor picks the branch on which a node belongs: by its room, by its number
// where every receiver has one of its own, else the first.
func (t *Tree) leafFor(n *Node) *Node {
	receivers := slices.DeleteFunc(t.receivers(), func(r *Node) bool { return !AboveNode(t.dish, r) })
	if perReceiver(n.Element) {
		for _, r := range receivers {
			if n.room != "" && t.room(r) == n.room || n.room == "" && n.number > 0 && r.number == n.number {
				return r
			}
		}
	}
	for _, r := range receivers {
		if !perReceiver(n.Element) || !t.has(r, n.Element) {
			return r
		}
	}
	if len(receivers) > 0 {
		return receivers[0]
	}
	return t.deepest()
}

// has reports whether an element of the kind lies on the way to r.
func (t *Tree) has(r *Node, e entry.Element) bool {
	return slices.ContainsFunc(branch(r), func(m *Node) bool { return m.Element == e })
}

// deepest returns the loose end of the path that is furthest along.
func (t *Tree) deepest() *Node {
	best := t.dish
	for _, n := range t.Nodes {
		if n.Element != entry.Receiver && len(t.children(n)) == 0 && AboveNode(best, n) {
			best = n
		}
	}
	if best != t.dish {
		return best
	}
	for _, n := range t.Nodes {
		if len(t.children(n)) == 0 && n.Element != entry.Receiver && len(branch(n)) > len(branch(best)) {
			best = n
		}
	}
	return best
}

// placeReceiver hangs a receiver on the end of the path, or on a fork beside
// the others: two receivers need a splitter, assumed where nobody named one.
func (t *Tree) placeReceiver(n *Node) {
	var others []*Node
	for _, r := range t.receivers() {
		if r != n && r.Parent != nil {
			others = append(others, r)
		}
	}
	if end := t.freeEnd(); end != nil || len(others) == 0 {
		if end == nil {
			end = t.dish
		}
		t.hang(n, end, 0, false)
		n.placed = true
		return
	}
	fork := t.freeFork()
	if fork == nil {
		fork = t.Add(&Node{Element: entry.Splitter, assumed: true})
		t.Place(fork)
	}
	t.hang(n, fork, 0, false)
	n.placed = true
}

// freeEnd returns an end of the path with no receiver on it, the furthest
// along; nil when there is none.
func (t *Tree) freeEnd() *Node {
	var best *Node
	for _, n := range t.Nodes {
		if n.Element == entry.Receiver || len(t.children(n)) > 0 || n.Parent == nil {
			continue
		}
		if Forks(n.Element) && slices.ContainsFunc(t.receivers(), func(r *Node) bool { return r.Parent != nil }) {
			continue
		}
		if best == nil || len(branch(n)) > len(branch(best)) {
			best = n
		}
	}
	return best
}

// freeFork returns a fork with an output to spare, the nearest to the dish.
func (t *Tree) freeFork() *Node {
	for _, n := range t.Nodes {
		if Forks(n.Element) && n.Until == 0 && (n.ways == 0 || len(t.children(n)) < n.ways) {
			return n
		}
	}
	return nil
}

// Mention makes sure that the element of a point exists.
func (t *Tree) Mention(p entry.Point, seq int64) {
	switch {
	case p.Element == "" || p.Element == entry.Dish:
		return
	case p.Element == entry.Receiver:
		t.MentionReceiver(p.Number, p.Room, seq)
		return
	case perReceiver(p.Element) && p.Room != "":
		t.MentionReceiver(0, p.Room, 0)
	case perReceiver(p.Element) && p.Number > 1:
		t.MentionReceiver(p.Number, "", 0)
	}
	if perReceiver(p.Element) && (p.Room != "" || p.Number > t.count(p.Element)) && t.Own(p.Element, entry.Point{Number: p.Number, Room: p.Room}, seq) {
		return
	}
	m := t.Match(p.Element, p.Number, p.Room)
	if len(m) > 0 {
		if len(m) == 1 && m[0].number == 0 && p.Number > 0 {
			m[0].number = p.Number
		}
		return
	}
	n := t.Add(&Node{Element: p.Element, number: p.Number, room: p.Room, assumed: true, said: seq})
	t.Place(n)
}

// Own makes sure that a receiver, by its number or room, has an element of a
// kind that every receiver has one of: one on the way to another receiver is
// not this one's. It reports whether there is such a receiver.
func (t *Tree) Own(e entry.Element, of entry.Point, seq int64) bool {
	for _, r := range t.receivers() {
		if of.Room != "" && t.room(r) != of.Room || of.Room == "" && (of.Number == 0 || r.number != of.Number) {
			continue
		}
		if !t.has(r, e) {
			n := t.Add(&Node{Element: e, room: of.Room, assumed: true, said: seq})
			t.placeOn(n, r)
		}
		return true
	}
	return false
}

func (t *Tree) count(e entry.Element) int {
	k := 0
	for _, n := range t.Nodes {
		if n.Element == e {
			k++
		}
	}
	return k
}

// MentionReceiver makes sure of a receiver, and of those numbered before it.
// A room that no receiver has goes to the only one without a room.
func (t *Tree) MentionReceiver(number int, room string, seq int64) {
	if number == 0 && room != "" {
		var without []*Node
		for _, r := range t.receivers() {
			if t.room(r) == room {
				return
			}
			if r.room == "" {
				without = append(without, r)
			}
		}
		if len(without) == 1 || len(without) > 0 && len(without) == len(t.receivers()) {
			without[0].room = room
			return
		}
		t.newReceiver(t.nextReceiver(), room, seq)
		return
	}
	if number == 0 {
		number = 1
		if len(t.receivers()) > 0 {
			return
		}
	}
	for k := 1; k < min(number, mostReceivers+1); k++ {
		t.newReceiver(k, "", 0)
	}
	t.newReceiver(number, room, seq)
}

func (t *Tree) nextReceiver() int {
	next := 1
	for _, r := range t.receivers() {
		next = max(next, r.number+1)
	}
	return next
}

// newReceiver adds a receiver unless it is there; one whose number nobody said
// takes the number.
func (t *Tree) newReceiver(number int, room string, seq int64) {
	var unnumbered *Node
	for _, r := range t.receivers() {
		if r.number == number {
			if room != "" && r.room == "" {
				r.room = room
			}
			return
		}
		if r.number == 0 && (room == "" || r.room == "" || r.room == room) && unnumbered == nil {
			unnumbered = r
		}
	}
	if unnumbered != nil {
		unnumbered.number = number
		return
	}
	n := t.Add(&Node{Element: entry.Receiver, number: number, room: room, assumed: true, said: seq})
	t.placeReceiver(n)
}
