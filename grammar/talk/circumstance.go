package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// circumstance takes where, with what, to where, by whom.
func (t *talker) circumstance(d *deed) bool {
	start := t.i
	ok := false
	switch k := &t.toks[t.i]; k.Class {
	case vocab.For:
		if t.isAt(t.i+1, vocab.Element) && (t.toks[t.i+1].Means() == string(entry.Receiver) || d.fresh()) && len(d.objects) == 1 && d.objects[0].Element != entry.Receiver && d.At == nil { // "a new jumper for receiver two"
			t.i++
			ok = t.where(d)
			break
		}
		ok = t.with(d)
	case vocab.With:
		ok = t.with(d)
	case vocab.By:
		if d.By == "" && t.isAt(t.i+1, vocab.Role) {
			d.By, ok = t.toks[t.i+1].Means(), true
			t.i += 2
		}
	case vocab.Between, vocab.From:
		if k.Class == vocab.From && moves(d) {
			ok = t.offPlace(d)
			break
		}
		ok = t.between(d)
	case vocab.About: // "about forty feet"
		if ok = t.isAt(t.i+1, vocab.Length) && len(d.objects) == 1 && d.objects[0].Element == entry.Cable && !d.objects[0].length.Said(); ok {
			d.Remark = entry.List(d.Remark, t.words(t.i, t.i+2))
			t.i++
		}
	case vocab.To:
		t.i++
		if p, read := t.point(); read && d.To == nil && p.Which == "" && (p.Element.InPath() || p.Element == "") {
			d.To, ok = &p.Point, true
		}
	case vocab.At, vocab.On, vocab.Behind, vocab.In:
		if k.Class == vocab.At || k.Class == vocab.On {
			t.i++
		}
		ok = t.where(d)
	case vocab.Element:
		if words := strings.Fields(t.skipped(t.i)); slices.Contains(words, "at") && d.At == nil { // "stuck a barrel in at the wall plate"
			ok = t.where(d)
		}
	case vocab.Remark: // "cranked down the bolts good and tight"
		if ok = k.Means() == "sound" && slices.Contains(d.verbs, "tightened"); ok {
			d.Remark = entry.List(d.Remark, k.Row.Say)
			t.i++
		}
	case vocab.Instead:
		ok = t.inPlaceOf(d)
	case vocab.Length:
		if len(d.objects) == 1 && d.objects[0].Element == entry.Cable && !d.objects[0].length.Said() {
			d.objects[0].length, ok = k.Value, true
			t.i++
			for t.take(vocab.Cable, vocab.CableType) {
				if k := t.last(); k.Class == vocab.CableType {
					d.objects[0].cable = k.Means()
				}
			}
		}
	case vocab.Particle, vocab.Output, vocab.Still:
		if k.Class == vocab.Particle && k.Row.Say == "off" && moves(d) {
			ok = t.offPlace(d)
			break
		}
		t.particle(d)
		ok = t.i > start
	case vocab.Side: // "took the splitter out of the line"
		if k.Row.Say == "out of" && t.isAt(t.i+1, vocab.Cable, vocab.Path) {
			t.i += 2
			d.out, ok = true, true
		}
	case vocab.After: // "a power inserter after the splitter"
		if t.i++; d.At == nil {
			if p, read := t.point(); read && p.Element != "" && p.Which == "" && p.Element.InPath() {
				if p.Side == "" {
					p.Side = entry.ReceiverSide
				}
				d.At, ok = &p.Point, true
			}
		}
	case vocab.Through: // "spliced a barrel into the cable"
		if k.Row.Say == "into" && t.isAt(t.i+1, vocab.Cable) && d.At == nil {
			t.i += 2
			d.At, ok = &entry.Point{Element: entry.Cable}, true
		}
	case vocab.Tail: // "tightened both fittings on it": on what was spoken of before
		if ok = k.Row.Say == "on it" && len(d.objects) == 1 && d.At == nil && len(t.entries) == 0; ok {
			d.Remark = entry.List(d.Remark, k.Row.Say)
			t.i++
		}
	case vocab.And, vocab.Put, vocab.Action:
		ok = t.instead(d)
	}
	if !ok {
		t.i = start
	}
	return ok
}

// moves reports a deed that takes a part from one place to another.
func moves(d *deed) bool {
	return len(d.verbs) == 1 && (d.verbs[0] == "moved" || d.verbs[0] == "swapped") && d.At == nil && len(d.objects) == 1
}

// offPlace takes where a part was moved from, "off output three", as a remark:
// the path says where it was.
func (t *talker) offPlace(d *deed) bool {
	from := t.i
	t.i++
	p, ok := t.point()
	if !ok || p.Which != "" {
		return false
	}
	d.Remark = entry.List(d.Remark, t.words(from, t.i))
	return true
}

// where takes the place of an action; a place of an element without one, a
// room, is the element's.
func (t *talker) where(d *deed) bool {
	if t.is(vocab.On) {
		t.i++
	}
	if t.is(vocab.Cable) && d.At == nil {
		t.i++
		d.At = &entry.Point{Element: entry.Cable}
		return true
	}
	if o := t.i; t.is(vocab.Check, vocab.Bolt) {
		if part, ok := t.part(); ok && part.Element == entry.Mount {
			d.At = &entry.Point{Element: entry.Mount}
			return true
		}
		t.i = o
	}
	if t.is(vocab.Side) && t.toks[t.i].Means() == "both" && len(d.objects) == 1 && d.objects[0].Element == entry.Fitting && d.objects[0].quantity == 0 && d.At == nil { // "new fittings on both sides of the ground block"
		t.i++
		p, ok := t.point()
		if !ok || p.Which != "" || p.Side != "" || p.Element == "" {
			return false
		}
		d.objects[0].quantity, d.At = 2, &p.Point
		return true
	}
	if t.is(vocab.Ends, vocab.Some) && len(d.objects) == 1 && d.objects[0].quantity == 0 && d.At == nil { // "new fittings on both ends of the jumper"
		ends, ok := t.part()
		if !ok || ends.Element != entry.Fitting || ends.quantity == 0 || ends.remark != "" {
			return false
		}
		d.objects[0].quantity, d.At = ends.quantity, ends.of
		return true
	}
	p, ok := t.point()
	if !ok || p.Which != "" {
		return false
	}
	if p.Element.InPath() && p.Element != entry.Cable && t.is(vocab.Cable) && !t.toks[t.i].Brk && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And)) { // "on the LNB cable"
		d.Remark = entry.List(d.Remark, "cable")
		t.i++
	}
	if p.Element == "" && p.Side == "" && p.Room != "" && len(d.objects) > 0 {
		last := &d.objects[len(d.objects)-1]
		if last.Room != "" {
			return false
		}
		last.Room = p.Room
		return true
	}
	if d.At != nil {
		return false
	}
	d.At = &p.Point
	return true
}

func (t *talker) with(d *deed) bool {
	t.i++
	start := t.i
	if t.take(vocab.Thing) || t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "a good one" && t.take(vocab.Verdict) {
		d.newOne = true
		return true
	}
	o, ok := t.part()
	if !ok && t.isAt(start-1, vocab.With) && t.is(vocab.Item, vocab.Unknown) && len(d.verbs) > 0 && d.verbs[0] != "replaced" && d.verbs[0] != "swapped" && d.verbs[0] != "removed" && d.verbs[0] != "bypassed" { // "with silicone"
		for t.is(vocab.Item, vocab.Unknown, vocab.And) && !t.atEnd() || t.is(vocab.Item, vocab.Unknown) && t.i == start {
			t.i++
		}
		d.Remark = entry.List(d.Remark, "with "+t.words(start, t.i))
		return !strays(t.words(start, t.i))
	}
	if !ok && t.is(vocab.New) && t.isAt(t.i+1, vocab.Ways) {
		t.i++
	}
	if !ok && t.is(vocab.Ways) && len(d.objects) == 1 { // "with a two way": another of the same
		o, ok = object{Point: entry.Point{Element: d.objects[0].Element}, remark: t.words(t.i, t.i+1)}, true
		t.i++
	}
	if !ok || d.With != nil {
		return false
	}
	if o.quantity > 1 || o.length.Said() || o.of != nil {
		return false
	}
	d.With = &entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
	if o.remark != "" {
		d.Remark = entry.List(d.Remark, "with "+t.words(start, t.i))
	}
	return true
}

// inPlaceOf takes the part whose place another took: "put a barrel in instead of
// the splitter".
func (t *talker) inPlaceOf(d *deed) bool {
	t.i++
	old, ok := t.part()
	if !ok || len(d.objects) != 1 || d.With != nil || old.quantity > 1 || old.of != nil || len(old.others) > 0 || d.objects[0].quantity > 1 || d.objects[0].of != nil ||
		d.pushed != vocab.Put && !(len(d.verbs) == 1 && (d.verbs[0] == "added" || d.verbs[0] == "replaced")) {
		return false
	}
	o := d.objects[0]
	d.With = &entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
	d.Remark = entry.List(d.Remark, o.remark)
	d.objects[0], d.pushed, d.verbs = old, 0, []string{"replaced"}
	return true
}

// instead takes what was put where a part was taken out: "and put in a barrel",
// "put a new one on", "then put a barrel in its place".
func (t *talker) instead(d *deed) bool {
	out := d.pushed == vocab.Took || len(d.verbs) == 1 && (d.verbs[0] == "removed" || d.verbs[0] == "trimmed" && len(d.objects) == 1 && d.objects[0].Element == entry.Fitting)
	t.take(vocab.And)
	if !out || len(d.objects) == 0 || d.With != nil || d.newOne || !t.is(vocab.Put, vocab.Action) {
		return false
	}
	k := &t.toks[t.i]
	if k.Class == vocab.Action && k.Means() != "added" && k.Means() != "replaced" {
		return false
	}
	t.i++
	t.take(vocab.In, vocab.On)
	if k.Class == vocab.Action && k.Means() == "replaced" && t.is(vocab.Digit, vocab.Figure, vocab.Count) && t.number(&t.toks[t.i]) == 1 { // "put on a new one"
		t.i++
		d.newOne = true
		t.putWhere(d)
		return true
	}
	t.i--
	from := t.i
	if !t.with(d) {
		return false
	}
	t.putWhere(d)
	if d.With != nil && !t.takesPlace(d, t.words(from, t.i)) {
		d.With = nil
		return false
	}
	d.out = true
	return true
}

// takesPlace reports that what was put takes the place of what was taken out:
// it is one like it, or what joins two ends, or it is said. "Put the splitter
// back" and "put a new LNB on" are deeds of their own.
func (t *talker) takesPlace(d *deed, said string) bool {
	said = strings.ToLower(said)
	if slices.Contains(strings.Fields(said), "back") {
		return false
	}
	switch with := d.With.Element; with {
	case entry.Barrel, entry.Jumper, entry.Cable, entry.Fitting, d.objects[0].Element:
		return true
	}
	return strings.Contains(said, "place") || strings.Contains(said, "instead") || strings.Contains(said, "spot") || !strings.Contains(said, "new") && d.objects[0].Element.InPath() && d.objects[0].Element != entry.LNB
}

// putWhere takes the "on" or "in" behind what was put.
func (t *talker) putWhere(d *deed) {
	if t.is(vocab.On, vocab.In) && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And, vocab.Particle, vocab.At, vocab.Behind, vocab.Between)) {
		t.i++
	}
	back := d.back
	t.particle(d)
	d.back = back // "in its place"
}

func (t *talker) between(d *deed) bool {
	t.i++
	a, ok := t.point()
	if !ok || !t.take(vocab.And, vocab.To) && !slices.Contains(strings.Fields(t.skipped(t.i)), "to") { // "from the dish down to the ground block"
		return false
	}
	b, ok := t.point()
	if !ok || d.At != nil || d.To != nil || a.Which != "" || b.Which != "" {
		return false
	}
	d.At, d.To = &a.Point, &b.Point
	return true
}
