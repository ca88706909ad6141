package closeout

import (
	"cmp"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/grammar/entry"
)

// sameThing is the key by which readings are compared across a repair.
type sameThing struct {
	id    string
	point entry.Point
	what  string
}

func keyOf(r Reading) sameThing {
	k := sameThing{id: r.ID, point: r.Point, what: what(entry.Reading{Slot: r.Slot, Transponder: r.Transponder, Polarity: r.Polarity})}
	if r.Volts.Said() && r.Verdict == "" && !r.NoSignal && !r.Level.Said() && !r.Strength.Said() && !r.MER.Said() {
		k.what = strings.TrimPrefix(k.what+", supply", ", ") // a row of its own: it takes no signal's place
	}
	if r.ID != "" { // placed: the id says which element, so how it was named does not matter
		k.point.Number, k.point.Room = 0, ""
	}
	return k
}

// place is the key without slot, transponder and polarity.
func (k sameThing) place() sameThing {
	k.what = ""
	return k
}

// points pairs the first and the last reading of everything measured.
func (b *Builder) points(d claim.Diagnosis) {
	type pair struct{ first, last, before, after *Reading }
	before, after, worked := map[int64]bool{}, map[int64]bool{}, map[int64]bool{}
	for _, p := range d.Pairs {
		if p.Before != nil {
			before[p.Before.Seq] = true
			worked[p.Before.Seq] = p.Worked
		}
		if p.After != nil {
			after[p.After.Seq] = true
		}
	}
	pairs := map[sameThing]*pair{}
	var keys []sameThing
	for i := range b.C.Readings {
		r := &b.C.Readings[i]
		k := keyOf(*r)
		p, seen := pairs[k]
		if !seen {
			p = &pair{first: r}
			pairs[k] = p
			keys = append(keys, k)
		}
		p.last = r
		switch {
		case before[r.Entry]:
			p.before = r
		case after[r.Entry]:
			p.after = r
		}
	}
	for _, k := range keys {
		p := pairs[k]
		row := BeforeAfter{ID: p.first.ID, Point: p.first.Point, Name: p.first.Name, What: k.what}
		row.Before, row.After = p.before, p.after
		if row.Before == nil && p.first != row.After { // first read between repairs
			row.Before = p.first
		}
		if row.After == nil && p.last != row.Before {
			row.Between = p.last
		}
		b.C.Points = append(b.C.Points, row)
	}
	b.C.Points = joinHalves(b.C.Points)
	order := map[string]int{}
	for i, e := range d.Path {
		order[e.ID] = i + 1
	}
	for i := range b.C.Points {
		p := &b.C.Points[i]
		if state, ok := b.place[p.Last().Entry]; ok {
			p.Expected, p.Stale = state.Expected, state.Stale
		}
		if p.After == nil && p.Before != nil && worked[p.Before.Entry] {
			p.Stale = true // whatever else was read there since
		}
		if !p.Stale {
			p.Between = nil
		}
	}
	// From the receiver towards the dish, as a call is traced; unplaced last.
	slices.SortStableFunc(b.C.Points, func(x, y BeforeAfter) int {
		return cmp.Or(cmp.Compare(order[y.ID], order[x.ID]), cmp.Compare(y.Point.Side, x.Point.Side))
	})
}

// joinHalves makes one row of a reading that named a slot, transponder or
// polarity and of one at the same point that named none, where one was taken
// before the repair and the other after it: "fail, worst on transponder 21",
// then "pass". Of several the worst is taken.
func joinHalves(points []BeforeAfter) []BeforeAfter {
	half := func(p BeforeAfter, after bool) bool { return (p.After != nil) == after && (p.Before != nil) != after }
	for i := 0; i < len(points); i++ {
		general := points[i]
		after := general.After != nil
		if general.What != "" || !half(general, after) {
			continue
		}
		k, worst := keyOf(general.Last()).place(), -1
		for j, p := range points {
			if j != i && half(p, !after) && !strings.HasSuffix(p.What, "supply") && keyOf(p.Last()).place() == k && (worst < 0 || worse(p.Last(), points[worst].Last())) {
				worst = j
			}
		}
		if worst < 0 {
			continue
		}
		if after {
			points[worst].After = general.After
		} else {
			points[worst].Before = general.Before
		}
		points = slices.Delete(points, i, i+1)
		i--
	}
	return points
}

// worse reports whether a is worse than b: a fail before a pass, then no
// signal, then the lower level.
func worse(a, b Reading) bool {
	rank := func(r Reading) int {
		switch {
		case r.NoSignal:
			return 0
		case r.Verdict == entry.Fail:
			return 1
		}
		return 2
	}
	if rank(a) != rank(b) {
		return rank(a) < rank(b)
	}
	return a.Level.Said() && (!b.Level.Said() || a.Level.Micro() < b.Level.Micro())
}
