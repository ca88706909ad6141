package trace

import (
	"slices"

	"downlead/grammar/entry"
)

// Move is a branch that was hung on another output of the same fork.
type Move struct {
	Seq     int64
	Element int // what hangs on the output
	From    int // the output before
}

// Port returns the output that element i hung on when the reading was taken;
// now, for an observation without a record.
func (c Call) Port(i int, o Observation) int {
	for _, m := range c.Moves {
		if m.Element == i && o.Seq > 0 && o.Seq < m.Seq {
			return m.From
		}
	}
	return c.Path.Elements[i].Port
}

// see places a sighting: what is seen of the mount is seen of the dish's aim.
func (p *placer) see(seq int64, e entry.Sighting) {
	if e.Element == entry.GroundWire {
		return
	}
	touched := p.touched(seq, entry.Action{Element: ofAim(e.Element), Number: e.Number, Room: e.Room, At: e.At})
	if len(touched) == 0 {
		return
	}
	p.call.Sightings = append(p.call.Sightings, Sighting{Seq: seq, Elements: touched, Versions: slices.Clone(p.versions), Condition: e.Condition})
}

// ofAim is the dish for its mount, and else the element itself.
func ofAim(e entry.Element) entry.Element {
	if e == entry.Mount {
		return entry.Dish
	}
	return e
}

// notice places a symptom at the receivers it was noticed at.
func (p *placer) notice(seq int64, e entry.Symptom) {
	s := Symptom{Seq: seq, Symptom: e.Symptom, When: e.When, Versions: slices.Clone(p.versions)}
	if e.Point != nil && e.Point.Element != "" {
		if at := p.pick(*e.Point); at >= 0 {
			for _, r := range p.call.Path.Receivers() {
				if p.call.Path.Above(at, r) {
					s.Receivers = append(s.Receivers, r)
				}
			}
		}
	}
	p.call.Symptoms = append(p.call.Symptoms, s)
}

// tested is the last input test of a receiver, before and after it was exchanged.
type tested struct{ before, after entry.Verdict }

// test follows the input tests.
func (p *placer) test(e entry.Check) {
	if e.Check != "input_test" || e.Point == nil {
		return
	}
	for _, box := range p.call.Path.Find(*e.Point) {
		t := p.tests[box]
		if p.swapped[box] > 0 {
			t.after = e.Verdict
		} else {
			t.before = e.Verdict
		}
		p.tests[box] = t
	}
}

// swap exchanges two receivers: from then on each is found where the other was.
func (p *placer) swap(seq int64, a entry.Action) {
	if a.With == nil {
		return
	}
	one := p.call.Path.Find(entry.Point{Element: entry.Receiver, Number: a.Number, Room: a.Room})
	other := p.call.Path.Find(entry.Point{Element: entry.Receiver, Number: a.With.Number, Room: a.With.Room})
	if len(one) != 1 || len(other) != 1 || one[0] == other[0] {
		return
	}
	p.seat[one[0]], p.seat[other[0]] = p.place(other[0]), p.place(one[0])
	p.swapped[one[0]], p.swapped[other[0]] = seq, seq
	p.pairs = append(p.pairs, [2]int{one[0], other[0]})
}

// place is where a receiver hangs now.
func (p *placer) place(i int) int {
	if at, ok := p.seat[i]; ok {
		return at
	}
	return i
}

// settleSwaps says of every exchange what the input tests after it tell, and
// names the receivers at the outlets as they hang now.
func (p *placer) settleSwaps() {
	for _, pair := range p.pairs {
		for k, box := range pair {
			was, other := p.tests[box], p.tests[pair[1-k]]
			if was.before != entry.Fail || was.after == "" && other.after != entry.Fail {
				continue
			}
			p.call.Swaps = append(p.call.Swaps, Swap{
				Seq: p.swapped[box], Receiver: p.place(box), Outlet: box,
				Follows: was.after == entry.Fail, Versions: slices.Clone(p.versions),
			})
		}
	}
	ids := map[int]string{}
	for box, at := range p.seat {
		ids[at] = p.call.Path.Elements[box].ID
	}
	for at, id := range ids {
		p.call.Path.Elements[at].ID = id
	}
}

// move hangs what leads to a receiver on another output of its fork.
func (p *placer) move(seq int64, a entry.Action) []int {
	found := p.call.Path.Find(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	if len(found) != 1 || a.To == nil || a.To.Port == 0 {
		return nil
	}
	coax := p.call.Path
	for i := p.place(found[0]); i > 0; i = coax.Parent[i] {
		if coax.Multi(coax.Parent[i]) {
			p.call.Moves = append(p.call.Moves, Move{Seq: seq, Element: i, From: coax.Elements[i].Port})
			coax.Elements[i].Port = a.To.Port
			return []int{i}
		}
	}
	return nil
}

// restore puts the version of an element back that the repair it undoes took
// out, and marks that repair.
func (p *placer) restore(seq int64, touched []int) {
	for k := len(p.call.Repairs) - 1; k >= 0; k-- {
		r := &p.call.Repairs[k]
		undoes := slices.Contains([]string{"replaced", "removed", "bypassed"}, r.Action.Action)
		if r.Undone > 0 || !undoes || !slices.ContainsFunc(touched, func(i int) bool { return slices.Contains(r.Elements, i) }) {
			continue
		}
		r.Undone = seq
		for _, i := range touched {
			p.versions[i] = r.before[i]
		}
		return
	}
}

// exchanges says of every exchange of two parts of the coax what was read
// after it: of the points beyond each, the one that failed before and the one
// that passed are read again, with nothing else done between.
func (c Call) exchanges() []Swap {
	var out []Swap
	for _, r := range c.Repairs {
		if r.Action.Action != "swapped" || len(r.Elements) != 2 {
			continue
		}
		one, ok1 := c.bothEnds(r, r.Elements[0], r.Elements[1])
		other, ok2 := c.bothEnds(r, r.Elements[1], r.Elements[0])
		if !ok1 || !ok2 {
			continue
		}
		for k, ends := range [][2][2]Observation{{one, other}, {other, one}} {
			bad, good := ends[0], ends[1]
			verdict := func(o Observation) entry.Verdict { return Counts(o.Reading, c.Settings) }
			if verdict(bad[0]) != entry.Fail || verdict(good[0]) != entry.Pass || verdict(bad[1]) == verdict(good[1]) {
				continue
			}
			s := Swap{Seq: r.Seq, Outlet: r.Elements[k], Receiver: r.Elements[1-k], Follows: verdict(good[1]) == entry.Fail, Versions: good[1].Versions}
			for _, o := range []Observation{bad[0], bad[1], good[0], good[1]} {
				s.Entries = append(s.Entries, o.Seq)
			}
			out = append(out, s)
		}
	}
	return out
}

// bothEnds returns the last reading beyond a part, and not beyond another,
// before a repair, and the first one after it.
func (c Call) bothEnds(r Repair, e, not int) (ends [2]Observation, ok bool) {
	for _, o := range c.Observations {
		reach := c.Path.Reach(o.Element, o.Side)
		switch {
		case !Judges(o.Reading) || !c.Path.Above(e, reach) || c.Path.Above(not, reach):
		case o.Seq < r.Seq:
			ends[0] = o
		case ends[1].Seq == 0:
			ends[1] = o
		}
	}
	if ends[0].Seq == 0 || ends[1].Seq == 0 {
		return ends, false
	}
	between := func(q Repair) bool {
		return q.Seq != r.Seq && q.Seq > ends[0].Seq && q.Seq < ends[1].Seq &&
			slices.ContainsFunc(q.Elements, func(i int) bool { return c.Path.Above(i, c.Path.Reach(ends[1].Element, ends[1].Side)) })
	}
	return ends, !slices.ContainsFunc(c.Repairs, between)
}
