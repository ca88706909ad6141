package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// object is a part that something was done to.
type object struct {
	entry.Point
	quantity int
	length   entry.Decimal
	remark   string
	cable    string // its type, of cable
	plural   bool
	others   []int    // further numbers: "receivers one and two"
	rooms    []string // "kitchen and den receivers"
	fresh    bool     // "new"
	of       *entry.Point
	piece    bool // a facet of it: its cap, its contacts
}

// part reads a part of an action or a sighting: "two fittings", "the old
// splitter", "thirty feet of cable", "both ends", "the mount bolts".
func (t *talker) part() (object, bool) {
	var o object
	start := t.i
	for t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Length, vocab.New, vocab.Old, vocab.Some, vocab.Verdict, vocab.Condition, vocab.Room, vocab.Numbered, vocab.Ways, vocab.Soft) {
		if !t.adjective(&o) {
			t.i = start
			return o, false
		}
	}
	k := t.i
	switch {
	case t.is(vocab.Element):
		var p pointParts
		t.element(&p)
		o.Element, o.Number, o.plural = p.Element, p.Number, p.plural
		if n := p.Which.Numbers(); len(n) > 1 {
			o.Number, o.others = n[0], n[1:]
		}
		t.pieceOf(&o)
		if t.is(vocab.Bolt) && o.Element == entry.Mount {
			t.i++
		}
	case t.take(vocab.Check) && t.last().Means() == "mount":
		o.Element = entry.Mount
		t.take(vocab.Bolt)
	case t.take(vocab.Bolt):
		o.Element = entry.Mount
		if t.is(vocab.On) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].Means() == string(entry.Mount) {
			t.i += 2
		}
	case t.take(vocab.Cable):
		o.Element = entry.Cable
		if t.take(vocab.CableType) {
			o.cable = t.last().Means()
		}
	case t.is(vocab.Run) && t.isAt(t.i+1, vocab.From, vocab.Between, vocab.Cable, vocab.CableType) && isPiece(t.toks[t.i].Row.Say):
		t.i++
		o.Element = entry.Cable
		for t.take(vocab.Cable, vocab.CableType) {
			if t.last().Class == vocab.CableType {
				o.cable = t.last().Means()
			}
		}
	case t.take(vocab.CableType):
		o.Element, o.cable = entry.Cable, t.last().Means()
		t.take(vocab.Cable)
	case t.is(vocab.Facet) && t.isAt(t.i+1, vocab.Element, vocab.In, vocab.On) && t.facet(&o):
	case t.take(vocab.Ends):
		o.Element = entry.Fitting
		if o.quantity == 0 && t.last().Row.Plural {
			o.quantity = 2
		}
		if t.is(vocab.Element, vocab.Cable) { // "both ends of the jumper"
			of, ok := t.part()
			if !ok || of.of != nil {
				return o, false
			}
			o.of = &entry.Point{Element: of.Element, Number: of.Number, Room: of.Room}
		}
	case o.length.Said():
		o.Element = entry.Cable
	default:
		t.i = start
		return o, false
	}
	return o, t.i > k || o.length.Said()
}

// isPiece reports a word for a piece of cable.
func isPiece(say string) bool {
	switch say {
	case "run", "piece", "drop", "stretch", "length":
		return true
	}
	return false
}

// pieceOf takes the piece of a part after it: the "connector" of "LNB
// connector" is a fitting at the LNB, the "contacts" stay in the remark.
func (t *talker) pieceOf(o *object) {
	if len(o.others) > 0 || t.i < len(t.toks) && t.toks[t.i].Brk {
		return
	}
	if t.is(vocab.Facet) {
		o.remark, o.piece = entry.List(o.remark, t.toks[t.i].Row.Say), true
		t.i++
		return
	}
	if t.is(vocab.Ends) && o.Element.InPath() && o.Element != entry.Fitting && o.Element != entry.Cable && o.quantity == 0 { // "the LNB end"
		of := entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
		o.Element, o.Number, o.Room, o.of = entry.Fitting, 0, "", &of
		if t.toks[t.i].Row.Plural {
			o.quantity = 2
		}
		t.i++
		return
	}
	if !t.is(vocab.Element) || o.Element == entry.Fitting || o.Element == entry.Mount {
		return
	}
	switch piece := entry.Element(t.toks[t.i].Means()); piece {
	case entry.Fitting, entry.Jumper, entry.GroundWire:
		if piece == o.Element {
			return
		}
		of := entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
		o.plural, o.of = t.toks[t.i].Row.Plural, &of
		o.Element, o.Number, o.Room = piece, 0, ""
		if t.i++; t.is(vocab.Index) {
			o.Number = t.number(&t.toks[t.i])
			t.i++
		}
	}
}

// facet takes a piece before its part: "the contacts on the ground block".
func (t *talker) facet(o *object) bool {
	from := t.i
	o.remark, o.piece = entry.List(o.remark, t.toks[t.i].Row.Say), true
	t.i++
	t.take(vocab.On, vocab.In)
	if !t.is(vocab.Element) {
		t.i = from
		return false
	}
	var p pointParts
	t.element(&p)
	o.Element, o.Number, o.plural = p.Element, p.Number, p.plural
	return p.Which == ""
}

// adjective takes a word before a part.
func (t *talker) adjective(o *object) bool {
	k := &t.toks[t.i]
	switch k.Class {
	case vocab.Count, vocab.Figure, vocab.Digit:
		if o.quantity != 0 || k.Value.Sign() <= 0 {
			return false
		}
		o.quantity = t.number(k)
	case vocab.Length:
		o.length = k.Value
	case vocab.New:
		o.fresh = true
	case vocab.Some:
		switch entry.Which(k.Means()) {
		case entry.WhichBoth:
			if o.quantity != 0 {
				return false
			}
			o.quantity = 2
		case entry.WhichAll:
			o.remark = entry.List(o.remark, "all")
		default:
			return false
		}
	case vocab.Verdict:
		if k.Means() != string(entry.Fail) {
			return false
		}
		o.remark = entry.List(o.remark, k.Row.Say)
	case vocab.Old, vocab.Condition, vocab.Soft:
		o.remark = entry.List(o.remark, k.Row.Say)
	case vocab.Room, vocab.Numbered:
		var p pointParts
		if o.Room == "" && t.rooms(&p) {
			o.rooms = p.inRooms
			t.i-- // at the element, or at "both" after it
			return !t.is(vocab.Some)
		}
		if t.room(&p); o.Room != "" {
			return false
		}
		o.Room = p.Room
		return true
	case vocab.Ways:
		o.remark = entry.List(o.remark, t.words(t.i, t.i+1))
	}
	t.i++
	return true
}

// The verb of a deed, and its particle.

// verbs takes the verb, or verbs: "cleaned and sealed".
func (t *talker) verbs(d *deed) bool {
	if t.take(vocab.Put, vocab.Took, vocab.Ran) {
		d.pushed, d.said = t.last().Class, t.last().Row.Say
		return true
	}
	if t.is(vocab.Stand) && t.toks[t.i].Row.Say == "went back to" && t.isAt(t.i+1, vocab.Old) { // "went back to the old LNB"
		t.i++
		d.verbs = []string{"restored"}
		return true
	}
	if t.is(vocab.Condition) && t.toks[t.i].Row.Say == "cut" && (t.isAt(t.i+1, vocab.Length, vocab.Ends, vocab.Old, vocab.Verdict, vocab.Element) || t.stuffAhead(t.i+1)) { // "cut a foot off the cable"
		t.i++
		d.verbs, d.said = []string{"trimmed"}, "cut"
		return true
	}
	if t.take(vocab.Unplugged) {
		d.unplugged, d.verbs = true, []string{"reset"}
		return true
	}
	if t.is(vocab.Condition) && t.toks[t.i].Row.Say == "ripped out" && slices.Contains(strings.Fields(t.skipped(t.i+1)), "the") {
		t.i++
		d.verbs = []string{"removed"}
		return true
	}
	for t.take(vocab.Action) {
		if verb := t.last().Means(); slices.Contains(d.verbs, verb) { // "taped and sealed" is one deed in two words
			d.Remark = entry.List(d.Remark, d.said+" and "+t.last().Row.Say)
		} else {
			d.verbs = append(d.verbs, verb)
		}
		d.said = t.last().Row.Say
		if !(t.is(vocab.And) && t.isAt(t.i+1, vocab.Action)) {
			break
		}
		t.i++
	}
	return len(d.verbs) > 0
}

// particle takes "back", "out", "off", "in", "again" after a verb or its part.
func (t *talker) particle(d *deed) {
	for {
		switch {
		case t.is(vocab.Particle) && t.isAt(t.i+1, vocab.Unknown, vocab.Agent, vocab.From) && (startsPreposition(t.words(t.i, t.i+2)) || moves(d) && d.verbs[0] == "moved" && d.objects[0].Element == entry.Cable): // "around the downspout"
			return
		case t.is(vocab.Particle) && t.toks[t.i].Row.Say == "off" && moves(d) && t.isAt(t.i+1, vocab.Output, vocab.Element): // "moved it off output three"
			return
		case t.take(vocab.Particle):
			switch say := t.last().Row.Say; say {
			case "back", "back in", "back up", "back on", "back in place":
				d.back = true
			case "in place", "in there", "on there", "where it was":
				d.in = true
			case "back out", "off":
				d.out = true
			case "instead":
				d.Remark = entry.List(d.Remark, say)
			default:
				d.itsPlace = d.itsPlace || strings.HasPrefix(say, "in it is ")
				d.out = d.out || strings.HasPrefix(say, "out of ")
			}
		case t.is(vocab.Output) && !t.isAt(t.i+1, vocab.Index, vocab.Element):
			d.out = true
			t.i++
		case t.is(vocab.In) && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And, vocab.At, vocab.Element, vocab.Between, vocab.Cable, vocab.Still, vocab.Instead, vocab.After, vocab.Before, vocab.Particle, vocab.Behind)) && (d.pushed != 0 || d.back || len(d.verbs) > 0 && (d.verbs[0] == "plugged_in" || len(d.objects) > 0 && d.puts())),
			t.is(vocab.Tail) && t.toks[t.i].Row.Say == "on it" && len(d.objects) > 0 && d.puts(): // "a new LNB on it"
			if n := len(d.objects); t.is(vocab.Tail) && n == 2 && d.objects[1].Element == entry.Fitting && d.objects[1].of == nil { // "the LNB and the fittings on it"
				of := d.objects[0].Point
				d.objects[1].of = &of
			}
			t.i++
			d.in = true
		case t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "down" && len(d.verbs) > 0 && d.verbs[0] == "tightened": // "cranked it down"
			t.i++
		case t.is(vocab.On) && len(d.objects) > 0 && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And, vocab.At, vocab.Behind, vocab.Instead, vocab.Between) || t.isAt(t.i+1, vocab.Particle) && t.toks[t.i+1].Row.Say == "instead") && d.puts(): // "put a new fitting on"
			t.i++
			d.in = true
		case t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "clean" && len(d.objects) > 0 && len(d.verbs) > 0 && d.verbs[0] == "cleaned": // "wiped it clean"
			d.Remark = entry.List(d.Remark, "clean")
			t.i++
		case t.is(vocab.Still) && len(d.objects) > 0:
			d.Remark = entry.List(d.Remark, t.toks[t.i].Row.Say)
			t.i++
		default:
			return
		}
	}
}
