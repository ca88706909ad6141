package trace

import (
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Limits and circumstances until somebody sets them: the floor is common
// practice, no source; 68 °F is where cable makers state attenuation.
const (
	defaultFloorDBm     = -50
	defaultTemperatureF = 68
)

// Replay turns what counts of a job's records into a Call. Path phrases hold
// for the whole call, whenever they were said; parts put in or taken out do
// so at their action.
func Replay(records []record.Record) Call {
	return ReplayCurrent(record.Current(records))
}

// ReplayCurrent is Replay over records that all count and are corrected.
func ReplayCurrent(records []record.Record) Call {
	c := Call{Records: records, Settings: settings(records)}
	for _, r := range records {
		if r.Job != "" {
			c.Job = r.Job
		}
		if j, ok := r.Entry.(entry.Job); ok && j.Verb == "start" && j.Number != "" {
			c.Job = j.Number
		}
	}
	t, changed := rebuild(records)
	var at map[*path.Node]int
	c.Path, at = t.Path()
	p := &placer{
		call: &c, changed: map[int64][]int{}, last: -1, lastSide: entry.ReceiverSide,
		seat: map[int]int{}, tests: map[int]tested{}, worked: map[int]int64{},
	}
	for seq, nodes := range changed {
		for _, n := range nodes {
			p.changed[seq] = append(p.changed[seq], at[n])
		}
	}
	p.start(t, at)
	for _, r := range records {
		switch e := r.Entry.(type) {
		case entry.Reading:
			p.observe(r.Seq, e)
		case entry.Action:
			p.repair(r.Seq, e)
		case entry.Sighting:
			p.see(r.Seq, e)
		case entry.Symptom:
			p.notice(r.Seq, e)
		case entry.Check:
			p.test(r.Seq, e)
		}
	}
	p.settleSwaps()
	c.Versions = p.versions
	c.Swaps = append(c.Swaps, c.exchanges()...)
	return c
}

func settings(records []record.Record) Settings {
	s := Settings{FloorDBm: defaultFloorDBm, TemperatureF: defaultTemperatureF, Weather: "dry", ThresholdFor: map[int]float64{}}
	for _, r := range records {
		e, ok := r.Entry.(entry.Setting)
		if !ok {
			continue
		}
		switch {
		case e.Name == "threshold" && e.Slot > 0 && e.Value.Said():
			s.ThresholdFor[e.Slot] = e.Value.Float()
		case e.Name == "threshold" && e.Value.Said():
			s.Threshold = e.Value.Float()
		case e.Name == "floor_dbm" && e.Value.Said():
			s.FloorDBm = e.Value.Float()
		case e.Name == "temperature_f" && e.Value.Said():
			s.TemperatureF = e.Value.Float()
		case e.Name == "weather" && e.Text != "":
			s.Weather = e.Text
		}
	}
	return s
}

// rebuild makes the path's tree of everything said in the records, and returns
// with it the nodes that each action put in or took out.
func rebuild(records []record.Record) (*path.Tree, map[int64][]*path.Node) {
	t := path.NewTree()
	for _, insert := range []bool{false, true} { // so that their order does not matter
		for _, r := range records {
			p, ok := r.Entry.(entry.Path)
			if !ok || (p.Verb != "") != insert {
				continue
			}
			switch p.Verb {
			case "insert":
				t.Insert(p.Elements, r.Seq)
			case "before":
				t.Before(p.Elements, r.Seq)
			default:
				t.Chains(p.Elements, r.Seq)
			}
		}
	}
	// Receivers need a fork to hang on, and the rest a receiver's branch.
	for _, which := range []func(entry.Element) bool{
		path.Forks,
		func(e entry.Element) bool { return e == entry.Receiver },
		func(e entry.Element) bool { return !path.Forks(e) && e != entry.Receiver },
	} {
		for _, r := range records {
			for _, p := range pointsIn(r.Entry) {
				if which(p.Element) {
					t.Mention(p, r.Seq)
				}
			}
			if a, ok := r.Entry.(entry.Action); ok && which(a.Element) && ownPart(a) {
				t.Own(a.Element, *a.At, r.Seq)
			}
		}
	}
	for _, r := range records {
		a, ok := r.Entry.(entry.Action)
		if ok && a.Action == "swapped" && a.With != nil && a.With.Number > 0 && a.With.Number <= t.CountReceivers() {
			t.Mention(*a.With, r.Seq) // one of this home, though nobody said it before
		}
	}
	changed := map[int64][]*path.Node{}
	for _, r := range records {
		if a, ok := r.Entry.(entry.Action); ok {
			if n := change(t, a, r.Seq); n != nil {
				changed[r.Seq] = append(changed[r.Seq], n)
				if a.Action == "restored" || a.Action == "replaced" && likeForLike(a) {
					changed[r.Seq] = append(changed[r.Seq], stoodIn(changed, n, r.Seq)...)
				} else if other := instead(t, a, n, r.Seq); other != nil {
					changed[r.Seq] = append(changed[r.Seq], other)
				}
			}
		}
	}
	t.Complete()
	return t, changed
}

// ownPart reports whether work on a part is told by the receiver that it
// belongs to: "replaced the jumper behind receiver two".
func ownPart(a entry.Action) bool {
	return (a.Element == entry.Jumper || a.Element == entry.WallPlate) && a.Number == 0 && a.Room == "" &&
		a.At != nil && a.At.Element == entry.Receiver && a.Action != "added"
}

// pointsIn returns the points that an entry names.
func pointsIn(e entry.Entry) []entry.Point {
	var out []entry.Point
	add := func(p *entry.Point) {
		if p != nil {
			out = append(out, *p)
		}
	}
	switch e := e.(type) {
	case entry.Reading:
		out = append(out, e.Point)
	case entry.Check:
		add(e.Point)
	case entry.Photo:
		add(e.At)
	case entry.Sighting:
		out = append(out, entry.Point{Element: e.Element, Number: e.Number, Room: e.Room})
		add(e.At)
	case entry.Action:
		if e.Element != entry.Fitting && e.Element != entry.Cable && e.Action != "added" {
			out = append(out, entry.Point{Element: e.Element, Number: e.Number, Room: e.Room})
		}
		add(e.At)
		add(e.To)
	}
	return slices.DeleteFunc(out, func(p entry.Point) bool {
		return p.Element == "" || p.Element == entry.Fitting || p.Element == entry.Cable || !p.Element.InPath()
	})
}

// change applies an action that puts a part in or takes one out, and returns
// the part. A new fitting is work on what it ends, not a part of the path.
func change(t *path.Tree, a entry.Action, seq int64) *path.Node {
	if a.Element == entry.Fitting || a.Element == entry.Dish || a.Element == entry.LNB || !a.Element.InPath() {
		return nil
	}
	find := func(p *entry.Point) *path.Node {
		if p == nil || p.Element == "" || p.Element == entry.Cable || p.Element == entry.Fitting {
			return nil
		}
		return t.Anchor(entry.PathElement{Element: p.Element, Number: p.Number, Room: p.Room}, seq)
	}
	switch a.Action {
	case "replaced":
		if likeForLike(a) {
			return putBack(t, a)
		}
		fallthrough
	case "removed", "bypassed":
		for _, n := range t.Match(a.Element, a.Number, a.Room) {
			if n.Until == 0 && n.Element != entry.Cable {
				n.Until = seq
				return n
			}
		}
	case "restored":
		for _, n := range t.Match(a.Element, a.Number, a.Room) {
			if n.Until > 0 {
				n.Until = 0
				return n
			}
		}
	case "added":
		return put(t, a, find(a.At), find(a.To), seq)
	}
	return nil
}

// instead puts the part that an action names in the place of the one that it
// took out; nil where it names none.
func instead(t *path.Tree, a entry.Action, out *path.Node, seq int64) *path.Node {
	if a.With == nil || a.With.Element == "" || out.Parent == nil || a.Action != "replaced" && a.Action != "bypassed" {
		return nil
	}
	e := entry.PathElement{Element: a.With.Element, Number: a.With.Number, Room: a.With.Room}
	return t.InsertNode(out.Parent, out, 0, e, seq, seq)
}

// likeForLike reports that a part gave way to one of its own kind.
func likeForLike(a entry.Action) bool {
	return a.With == nil || a.With.Element == "" || a.With.Element == a.Element
}

// putBack returns the part that a new one takes the place of where it was taken
// out before; nil where it stands.
func putBack(t *path.Tree, a entry.Action) *path.Node {
	all := t.Match(a.Element, a.Number, a.Room)
	if len(all) == 0 || slices.ContainsFunc(all, func(n *path.Node) bool { return n.Until == 0 }) {
		return nil
	}
	all[0].Until = 0
	return all[0]
}

// stoodIn takes out again, at the action that puts a part back, what was put in
// its place, and returns it.
func stoodIn(changed map[int64][]*path.Node, back *path.Node, seq int64) []*path.Node {
	last := int64(0)
	for at, nodes := range changed {
		if at < seq && at > last && slices.Contains(nodes, back) {
			last = at
		}
	}
	var out []*path.Node
	for _, n := range changed[last] {
		if n != back && n.Since == last && n.Until == 0 {
			n.Until = seq
			out = append(out, n)
		}
	}
	return out
}

// put adds the part of an action at the place it names, else in its usual one.
func put(t *path.Tree, a entry.Action, at, to *path.Node, seq int64) *path.Node {
	e := entry.PathElement{Element: a.Element, Number: a.Number, Room: a.Room, LengthFt: a.LengthFt}
	if a.Element == entry.Receiver {
		t.MentionReceiver(a.Number, a.Room, seq)
		return nil
	}
	if at == nil && to != nil {
		at, to = to, nil
	}
	if at != nil && to != nil && path.AboveNode(to, at) {
		at, to = to, at
	}
	port := 0
	if a.At != nil && at != nil {
		if a.At.Side == entry.DishSide && to == nil && at.Parent != nil {
			at, to = at.Parent, at
		}
		port = a.At.Port
	}
	if at != nil {
		return t.InsertNode(at, to, port, e, seq, seq)
	}
	n := t.Add(&path.Node{Element: a.Element, Since: seq})
	n.Note(e, seq)
	t.Place(n)
	return n
}
