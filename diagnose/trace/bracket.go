package trace

import (
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// Span is a bracket on one branch: the elements way[pass+1..fail].
type Span struct {
	Elements []int
	pass     *Spot // nil when nothing on the branch passes
	Fail     Spot
	across   bool  // the pass was measured on another branch
	Feeds    []int // the receivers whose branch it is on
}

// Spans returns a bracket for every branch that fails: from the last pass
// towards the receiver to the first fail beyond it. Repairs made readings on
// their receiver side stale, and stale readings count for nothing.
func (c Call) Spans() []Span {
	spots := c.outlived(c.Spots())
	var out []Span
	for _, leaf := range leaves(c.Path) {
		s, ok := c.spanTo(leaf, spots)
		if !ok {
			continue
		}
		same := slices.IndexFunc(out, func(o Span) bool { return o.Fail.JointKey == s.Fail.JointKey && slices.Equal(o.Elements, s.Elements) })
		if same < 0 {
			out = append(out, s)
			same = len(out) - 1
		}
		if c.Path.Elements[leaf].Element == entry.Receiver {
			out[same].Feeds = append(out[same].Feeds, leaf)
		}
	}
	return out
}

// outlived drops, where trouble was told of that comes and goes, the passes
// beyond a joint that failed after them: it came since.
func (c Call) outlived(spots []Spot) []Spot {
	if !slices.ContainsFunc(c.Symptoms, Symptom.comesAndGoes) {
		return spots
	}
	return slices.DeleteFunc(slices.Clone(spots), func(p Spot) bool {
		return p.Verdict == entry.Pass && slices.ContainsFunc(spots, func(f Spot) bool {
			return !f.Stale && f.Verdict == entry.Fail && c.Beyond(f, p) && f.Last().Seq > p.Last().Seq
		})
	})
}

// leaves returns the ends of the path that are still in it.
func leaves(p path.Path) []int {
	var out []int
	for i, e := range p.Elements {
		if len(p.Children(i)) == 0 && !(e.Removed && e.Element == entry.Receiver) {
			out = append(out, i)
		}
	}
	return out
}

func (c Call) spanTo(leaf int, spots []Spot) (Span, bool) {
	way := c.Path.Branch(leaf)
	pass, passAt, across := (*Spot)(nil), -1, false
	for i, s := range spots {
		if s.Stale || s.Verdict != entry.Pass {
			continue
		}
		at, own := c.proves(s, way)
		if at > passAt {
			pass, passAt, across = &spots[i], at, !own
		}
	}
	for _, s := range spots {
		at, own := c.Reaches(s, way)
		if s.Stale || s.Verdict != entry.Fail || !own || at <= passAt {
			continue
		}
		// Spots stand from the dish outwards: this is the first fail.
		return Span{pass: pass, Fail: s, across: across, Elements: c.stillThere(way, passAt+1, at)}, true
	}
	return Span{}, false
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

// Reaches returns how far along the way a spot's reading has come, and whether
// the spot is on the way. An output that nobody named may be the way's own.
func (c Call) Reaches(s Spot, way []int) (at int, own bool) {
	at = slices.Index(way, s.Reach)
	if at < 0 {
		return -1, false
	}
	if s.Port > 0 && at+1 < len(way) && c.Path.Elements[way[at+1]].Port != s.Port {
		return at, false
	}
	return at, true
}

// proves returns how far along the way a pass shows the signal to be good. A
// pass on another branch shows it up to the input of the fork, because a fork
// can fail on one output alone.
func (c Call) proves(s Spot, way []int) (at int, own bool) {
	if at, own = c.Reaches(s, way); own && (s.Port > 0 || !c.Path.Multi(s.Reach) || at == len(way)-1) {
		return at, true
	}
	shared := -1
	for k, e := range way {
		if !c.Path.Above(e, s.Reach) {
			break
		}
		shared = k
	}
	return shared - 1, false
}

// Brackets returns the brackets in the order to work on them: what several
// failing branches share first, each by itself after it.
func (c Call) Brackets() []Bracket {
	spans := c.Spans()
	var out []Bracket
	for _, g := range c.SharedSpans(spans) {
		b := c.bracket(g.Span)
		b.Text, b.Clause = c.sharedText(g), c.sharedClause(g)
		out = append(out, b)
	}
	for _, s := range spans {
		out = append(out, c.bracket(s))
	}
	return out
}

func (c Call) bracket(s Span) Bracket {
	b := Bracket{Fail: c.PointOfSpot(s.Fail), Text: c.spanText(s), Clause: c.SpanClause(s)}
	if s.pass != nil {
		p := c.PointOfSpot(*s.pass)
		b.Pass = &p
	}
	for _, e := range s.Elements {
		b.Elements = append(b.Elements, c.Path.Elements[e].ID)
	}
	return b
}

// Narrowed reports whether no place is left to measure inside a bracket.
func (c Call) Narrowed(s Span) bool {
	n := 0
	for _, e := range s.Elements {
		if c.Path.Elements[e].Element != entry.Dish {
			n++
		}
	}
	return n <= 1
}

// Bracket holds the elements between the passing point nearest the receiver
// and the failing point nearest the dish, on one branch. Pass is nil when
// nothing on the branch passes: the bracket then runs to the dish.
type Bracket struct {
	Pass     *entry.Point `json:"pass"`
	Fail     entry.Point  `json:"fail"`
	Elements []string     `json:"elements"`
	Text     string       `json:"text"`

	Clause string `json:"-"` // where the fault is in one clause, for the ear
}
