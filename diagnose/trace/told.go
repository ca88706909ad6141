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

// Unused reports whether a reading was taken at an output from which what hung
// on it was moved away.
func (c Call) Unused(o Observation) bool {
	j := c.JointOf(o)
	on := func(i int) bool { return c.Path.Elements[i].Port == j.Port }
	return j.Port > 0 && !slices.ContainsFunc(c.Path.Children(j.Reach), on) && slices.ContainsFunc(c.Moves, func(m Move) bool {
		return c.Path.Parent[m.Element] == j.Reach && m.From == j.Port
	})
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

// tested is an input test of a receiver, at the outlet where it hung.
type tested struct {
	seq     int64
	verdict entry.Verdict
}

// exchange is two receivers that changed places, and the last test of each
// before it and after it, up to the next exchange of that receiver.
type exchange struct {
	seq           int64
	boxes, seats  [2]int // seats: where each hung before
	before, after [2]tested
	mixed         [2]bool // its tests since did not come out alike: they tell nothing
	versions      []int   // at the last test after it
}

// test follows the input tests.
func (p *placer) test(seq int64, e entry.Check) {
	if e.Check != "input_test" || e.Point == nil {
		return
	}
	for _, box := range p.receivers(e.At()) {
		p.tests[box] = tested{seq, e.Verdict}
		for i := len(p.swaps) - 1; i >= 0; i-- {
			if p.swaps[i].seq < p.worked[box] {
				break // another receiver, or this one mended: it tells nothing of the exchange
			}
			if k := slices.Index(p.swaps[i].boxes[:], box); k >= 0 {
				x := &p.swaps[i]
				x.mixed[k] = x.mixed[k] || x.after[k].seq > 0 && x.after[k].verdict != e.Verdict
				x.after[k], x.versions = p.tests[box], slices.Clone(p.versions)
				break
			}
		}
	}
}

// swap exchanges two receivers: from then on each is found where the other was.
func (p *placer) swap(seq int64, a entry.Action) {
	if a.With == nil {
		return
	}
	one := p.receivers(entry.Point{Element: entry.Receiver, Number: a.Number, Room: a.Room})
	other := p.receivers(entry.Point{Element: entry.Receiver, Number: a.With.Number, Room: a.With.Room})
	if len(one) != 1 || len(other) != 1 || one[0] == other[0] {
		return
	}
	x := exchange{seq: seq, boxes: [2]int{one[0], other[0]}}
	for k, box := range x.boxes {
		x.seats[k], x.before[k] = p.place(box), p.tests[box]
		p.tests[box] = tested{} // it was not tested yet where it hangs now
	}
	p.seat[one[0]], p.seat[other[0]] = x.seats[1], x.seats[0]
	p.swaps = append(p.swaps, x)
}

// receivers lists those that a point means: by its number, which stays with a
// receiver wherever it is hung, else the ones that hang in its room now.
func (p *placer) receivers(pt entry.Point) []int {
	found := p.find(pt)
	if pt.Number > 0 {
		return found
	}
	for k, at := range found {
		for box, hangs := range p.seat {
			if hangs == at {
				found[k] = box
			}
		}
	}
	return found
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
	for _, x := range p.swaps {
		for k, box := range x.boxes {
			was, is, other := x.before[k], x.after[k], x.after[1-k]
			caught := other.verdict == entry.Fail && x.before[1-k].verdict != entry.Fail // the other fails where this one did, and did not before
			if was.verdict != entry.Fail || is.seq == 0 && !caught || x.mixed[0] || x.mixed[1] {
				continue
			}
			if is.verdict == entry.Fail && other.verdict != entry.Pass && !p.readsGood(x.seats[1-k]) {
				continue // the coax there may be why it fails
			}
			s := Swap{
				Seq: x.seq, Receiver: p.place(box), Outlet: x.seats[k],
				Follows: is.verdict == entry.Fail, Versions: x.versions,
			}
			for _, t := range []tested{was, is, other} {
				if t.seq > 0 {
					s.Entries = append(s.Entries, t.seq)
				}
			}
			p.call.Swaps = append(p.call.Swaps, s)
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

// readsGood reports whether the last reading behind an outlet passes.
func (p *placer) readsGood(outlet int) bool {
	good := false
	for _, o := range p.call.Observations {
		if o.Element == outlet && Judges(o.Reading) {
			good = Counts(o.Reading, p.call.Settings) == entry.Pass
		}
	}
	return good
}

// move hangs what leads to a receiver on another output of its fork. What hung
// there before has to make room: it is not as it was read, either.
func (p *placer) move(seq int64, a entry.Action) []int {
	found := p.receivers(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	if len(found) != 1 || a.To == nil || a.To.Port == 0 {
		return nil
	}
	coax := p.call.Path
	for i := p.place(found[0]); i > 0; i = coax.Parent[i] {
		if coax.Multi(coax.Parent[i]) {
			p.call.Moves = append(p.call.Moves, Move{Seq: seq, Element: i, From: coax.Elements[i].Port})
			moved := []int{i}
			for _, other := range coax.Children(coax.Parent[i]) {
				if other != i && coax.Elements[other].Port == a.To.Port && !coax.Elements[other].Removed {
					moved = append(moved, other)
				}
			}
			coax.Elements[i].Port = a.To.Port
			coax.Elements[coax.Parent[i]].Ways = max(coax.Elements[coax.Parent[i]].Ways, a.To.Port)
			return moved
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

// back reports whether an exchange undoes the one before it, with neither part
// worked on between: then each is where it was, and is what it was.
func (p *placer) back(seq int64, touched []int) bool {
	if len(touched) != 2 {
		return false
	}
	for k := len(p.call.Repairs) - 1; k >= 0; k-- {
		r := &p.call.Repairs[k]
		one, other := slices.Contains(r.Elements, touched[0]), slices.Contains(r.Elements, touched[1])
		switch {
		case !one && !other:
			continue
		case !one || !other || r.Action.Action != "swapped" || r.Undone > 0 || len(r.Elements) != 2:
			return false
		}
		if before := r.before; before[touched[0]] != Absent && before[touched[1]] != Absent {
			p.versions[touched[0]], p.versions[touched[1]] = before[touched[0]], before[touched[1]]
			r.Undone = seq
			return true
		}
		return false
	}
	return false
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
			c.OnWay(q, c.JointOf(ends[1]))
	}
	return ends, !slices.ContainsFunc(c.Repairs, between)
}
