package diagnose

import (
	"slices"

	"downlead/grammar"
	"downlead/journal"
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
func Replay(records []journal.Record) Call {
	return replay(journal.Current(records))
}

// replay is Replay over records that all count and are corrected.
func replay(records []journal.Record) Call {
	c := Call{Records: records, Settings: settings(records)}
	for _, r := range records {
		if r.Job != "" {
			c.Job = r.Job
		}
		if j, ok := r.Entry.(grammar.Job); ok && j.Verb == "start" && j.Number != "" {
			c.Job = j.Number
		}
	}
	t, changed := rebuild(records)
	var at map[*node]int
	c.Path, at = t.path()
	p := &placer{call: &c, changed: map[int64]int{}, last: -1, lastSide: grammar.ReceiverSide}
	for seq, n := range changed {
		p.changed[seq] = at[n]
	}
	p.start(t, at)
	for _, r := range records {
		switch e := r.Entry.(type) {
		case grammar.Reading:
			p.observe(r.Seq, e)
		case grammar.Action:
			p.repair(r.Seq, e)
		}
	}
	c.Versions = p.versions
	return c
}

func settings(records []journal.Record) Settings {
	s := Settings{FloorDBm: defaultFloorDBm, TemperatureF: defaultTemperatureF, Weather: "dry", ThresholdFor: map[int]float64{}}
	for _, r := range records {
		e, ok := r.Entry.(grammar.Setting)
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
// with it the node that each action put in or took out.
func rebuild(records []journal.Record) (*tree, map[int64]*node) {
	t := newTree()
	for _, insert := range []bool{false, true} { // so that their order does not matter
		for _, r := range records {
			p, ok := r.Entry.(grammar.Path)
			if !ok || (p.Verb == "insert") != insert {
				continue
			}
			if insert {
				t.insert(p.Elements, r.Seq)
			} else {
				t.chain(p.Elements, r.Seq)
			}
		}
	}
	// Receivers need a fork to hang on, and the rest a receiver's branch.
	for _, which := range []func(grammar.Element) bool{
		forks,
		func(e grammar.Element) bool { return e == grammar.Receiver },
		func(e grammar.Element) bool { return !forks(e) && e != grammar.Receiver },
	} {
		for _, r := range records {
			for _, p := range pointsIn(r.Entry) {
				if which(p.Element) {
					t.mention(p, r.Seq)
				}
			}
		}
	}
	changed := map[int64]*node{}
	for _, r := range records {
		if a, ok := r.Entry.(grammar.Action); ok {
			if n := t.change(a, r.Seq); n != nil {
				changed[r.Seq] = n
			}
		}
	}
	t.complete()
	return t, changed
}

// pointsIn returns the points that an entry names.
func pointsIn(e grammar.Entry) []grammar.Point {
	var out []grammar.Point
	add := func(p *grammar.Point) {
		if p != nil {
			out = append(out, *p)
		}
	}
	switch e := e.(type) {
	case grammar.Reading:
		out = append(out, e.Point)
	case grammar.Check:
		add(e.Point)
	case grammar.Photo:
		add(e.At)
	case grammar.Action:
		if e.Element != grammar.Fitting && e.Element != grammar.Cable && e.Action != "added" {
			out = append(out, grammar.Point{Element: e.Element, Number: e.Number, Room: e.Room})
		}
		add(e.At)
		add(e.To)
	}
	return slices.DeleteFunc(out, func(p grammar.Point) bool {
		return p.Element == "" || p.Element == grammar.Fitting || p.Element == grammar.Cable
	})
}

// change applies an action that puts a part in or takes one out, and returns
// the part. A new fitting is work on what it ends, not a part of the path.
func (t *tree) change(a grammar.Action, seq int64) *node {
	if a.Element == grammar.Fitting || a.Element == grammar.Dish || a.Element == grammar.LNB {
		return nil
	}
	find := func(p *grammar.Point) *node {
		if p == nil || p.Element == "" || p.Element == grammar.Cable || p.Element == grammar.Fitting {
			return nil
		}
		return t.anchor(grammar.PathElement{Element: p.Element, Number: p.Number, Room: p.Room}, seq)
	}
	switch a.Action {
	case "removed":
		for _, n := range t.match(a.Element, a.Number, a.Room) {
			if n.until == 0 && n.element != grammar.Cable {
				n.until = seq
				return n
			}
		}
	case "added":
		return t.put(a, find(a.At), find(a.To), seq)
	}
	return nil
}

// put adds the part of an action at the place it names, else in its usual one.
func (t *tree) put(a grammar.Action, at, to *node, seq int64) *node {
	e := grammar.PathElement{Element: a.Element, Number: a.Number, Room: a.Room, LengthFt: a.LengthFt}
	if a.Element == grammar.Receiver {
		t.mentionReceiver(a.Number, a.Room, seq)
		return nil
	}
	if at == nil && to != nil {
		at, to = to, nil
	}
	if at != nil && to != nil && above(to, at) {
		at, to = to, at
	}
	port := 0
	if a.At != nil && at != nil {
		if a.At.Side == grammar.DishSide && to == nil && at.parent != nil {
			at, to = at.parent, at
		}
		port = a.At.Port
	}
	if at != nil {
		return t.insertNode(at, to, port, e, seq, seq)
	}
	n := t.add(&node{element: a.Element, since: seq})
	n.note(e, seq)
	t.place(n)
	return n
}
