package talk

import (
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
