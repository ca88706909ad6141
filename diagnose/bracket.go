package diagnose

import (
	"slices"

	"downlead/grammar"
)

// span is a bracket on one branch: the elements way[pass+1..fail].
type span struct {
	elements []int
	pass     *spot // nil when nothing on the branch passes
	fail     spot
	across   bool  // the pass was measured on another branch
	feeds    []int // the receivers whose branch it is on
}

// spans returns a bracket for every branch that fails: from the last pass
// towards the receiver to the first fail beyond it. Repairs made readings on
// their receiver side stale, and stale readings count for nothing.
func (c Call) spans() []span {
	spots := c.spots()
	var out []span
	for _, leaf := range c.Path.leaves() {
		s, ok := c.spanTo(leaf, spots)
		if !ok {
			continue
		}
		same := slices.IndexFunc(out, func(o span) bool { return o.fail.jointKey == s.fail.jointKey && slices.Equal(o.elements, s.elements) })
		if same < 0 {
			out = append(out, s)
			same = len(out) - 1
		}
		if c.Path.Elements[leaf].Element == grammar.Receiver {
			out[same].feeds = append(out[same].feeds, leaf)
		}
	}
	return out
}

// leaves returns the ends of the path that are still in it.
func (p Path) leaves() []int {
	var out []int
	for i, e := range p.Elements {
		if len(p.Children(i)) == 0 && !(e.Removed && e.Element == grammar.Receiver) {
			out = append(out, i)
		}
	}
	return out
}

func (c Call) spanTo(leaf int, spots []spot) (span, bool) {
	way := c.Path.Branch(leaf)
	pass, passAt, across := (*spot)(nil), -1, false
	for i, s := range spots {
		if s.stale || s.verdict != grammar.Pass {
			continue
		}
		at, own := c.proves(s, way)
		if at > passAt {
			pass, passAt, across = &spots[i], at, !own
		}
	}
	for _, s := range spots {
		at, own := c.reaches(s, way)
		if s.stale || s.verdict != grammar.Fail || !own || at <= passAt {
			continue
		}
		// Spots stand from the dish outwards: this is the first fail.
		return span{pass: pass, fail: s, across: across, elements: c.stillThere(way, passAt+1, at)}, true
	}
	return span{}, false
}

// stillThere returns the elements way[from..to] that were not taken out; where
// all were, the one whose end now meets the next.
func (c Call) stillThere(way []int, from, to int) []int {
	var out []int
	for _, e := range way[from : to+1] {
		if !c.Path.Elements[e].Removed {
			out = append(out, e)
		}
	}
	for k := from - 1; k >= 0 && len(out) == 0; k-- {
		if !c.Path.Elements[way[k]].Removed {
			out = append(out, way[k])
		}
	}
	return out
}

// reaches returns how far along the way a spot's reading has come, and whether
// the spot is on the way. An output that nobody named may be the way's own.
func (c Call) reaches(s spot, way []int) (at int, own bool) {
	at = slices.Index(way, s.reach)
	if at < 0 {
		return -1, false
	}
	if s.port > 0 && at+1 < len(way) && c.Path.Elements[way[at+1]].Port != s.port {
		return at, false
	}
	return at, true
}

// proves returns how far along the way a pass shows the signal to be good. A
// pass on another branch shows it up to the input of the fork, because a fork
// can fail on one output alone.
func (c Call) proves(s spot, way []int) (at int, own bool) {
	if at, own = c.reaches(s, way); own && (s.port > 0 || !c.Path.multi(s.reach) || at == len(way)-1) {
		return at, true
	}
	shared := -1
	for k, e := range way {
		if !c.Path.Above(e, s.reach) {
			break
		}
		shared = k
	}
	return shared - 1, false
}

// brackets returns the brackets in the order to work on them: what several
// failing branches share first, each by itself after it.
func (c Call) brackets() []Bracket {
	spans := c.spans()
	var out []Bracket
	for _, g := range c.sharedSpans(spans) {
		b := c.bracket(g.span)
		b.Text, b.clause = c.sharedText(g), c.sharedClause(g)
		out = append(out, b)
	}
	for _, s := range spans {
		out = append(out, c.bracket(s))
	}
	return out
}

func (c Call) bracket(s span) Bracket {
	b := Bracket{Fail: c.point(s.fail), Text: c.spanText(s), clause: c.spanClause(s)}
	if s.pass != nil {
		p := c.point(*s.pass)
		b.Pass = &p
	}
	for _, e := range s.elements {
		b.Elements = append(b.Elements, c.Path.Elements[e].ID)
	}
	return b
}

// narrowed reports whether no place is left to measure inside a bracket.
func (c Call) narrowed(s span) bool {
	n := 0
	for _, e := range s.elements {
		if c.Path.Elements[e].Element != grammar.Dish {
			n++
		}
	}
	return n <= 1
}

// Bracket holds the elements between the passing point nearest the receiver
// and the failing point nearest the dish, on one branch. Pass is nil when
// nothing on the branch passes: the bracket then runs to the dish.
type Bracket struct {
	Pass     *grammar.Point `json:"pass"`
	Fail     grammar.Point  `json:"fail"`
	Elements []string       `json:"elements"`
	Text     string         `json:"text"`

	clause string // where the fault is in one clause, for the ear
}
