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
		if r.Undone == 0 && r.Action.Action == "replaced" && slices.Equal(r.Elements, touched) {
			r.Undone = seq
			copy(p.versions, r.before)
			return
		}
	}
}
