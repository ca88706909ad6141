package talk

import (
	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What the meter showed, in any order: a place, a verdict, figures; a second
// place is a second reading; a figure after "sorry" takes the place of one
// before it, and both stay in the remark.

// gauge gathers one reading.
type gauge struct {
	entry.Reading
	parts   pointParts
	also    []pointParts // further places that show the same: "output one and output two"
	placed  bool
	after   bool   // something was shown before the place
	chat    bool   // its verdict is a word that people also say of nothing
	any     bool   // something was shown
	guess   bool   // "looks like"
	awaited string // the key of a figure that was named, and its number not yet said
	last    string // the key of the figure said last
	repair  bool   // what comes next takes the place of what was said
	repairs int    // repairs that were made
	lo      int    // byte where what was said of the last kind began
	starts  map[string]int
	remark  string
}

func (t *talker) shown() bool {
	g := &gauge{starts: map[string]int{}}
	first := len(t.entries)
	t.looked(g)
	if t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "working" && t.isAt(t.i+1, vocab.On) { // of somebody: "working on the splitter"
		return false
	}
	for t.i < len(t.toks) {
		if g.any && t.is(vocab.Some) && t.isAt(t.i+1, vocab.Verdict) && (t.toks[t.i].Brk || t.isAt(t.i-1, vocab.And)) { // of all of them: bothShown
			break
		}
		if t.valueFirst(g) || t.numberAlone(g) {
			t.err = nil
			next := t.sameElement(g)
			if !t.finish(g) {
				return false
			}
			g = next
			continue
		}
		if t.next(g) {
			continue
		}
		another := t.isAt(t.i-1, vocab.And) && t.is(vocab.Verdict, vocab.NoSignal, vocab.Level) // "passes on the dish side and fails on the receiver side"
		if !t.startsPlace(t.i) && !another || !g.placed || !g.any || g.repair {
			break
		}
		t.err = nil
		if !t.finish(g) {
			return false
		}
		g = &gauge{starts: map[string]int{}}
	}
	if t.i > 0 && t.isAt(t.i-1, vocab.And) {
		t.i--
	}
	if g.repair || !t.finish(g) || len(t.entries) == first {
		return false
	}
	t.backwards(first)
	return true
}

// looked takes what is said before a place that was measured: "checked", "I see".
func (t *talker) looked(g *gauge) {
	if t.is(vocab.Looked, vocab.Found) && (t.startsPlace(t.i+1) || t.shows(t.i+1)) {
		t.guessed(g)
		t.i++
	}
}

// guessed keeps that something only looks so: with a figure it was read, without
// one it was perhaps not.
func (t *talker) guessed(g *gauge) {
	if k := &t.toks[t.i]; k.Means() == "looks" {
		g.guess = true
		g.remark = entry.List(g.remark, k.Row.Say)
	}
}

// next takes one token, or one place, into the reading.
func (t *talker) next(g *gauge) bool {
	k := &t.toks[t.i]
	switch k.Class {
	case vocab.And:
		if !g.placed && !g.any || !t.goesOn(t.i+1) {
			return false
		}
		t.i++
		return true
	case vocab.Stand:
		if t.outAt(t.i) {
			return t.placeInto(g)
		}
		t.i++
		return true
	case vocab.With: // "failed with minus fifty seven", "at the splitter with no signal"
		if !g.any && !g.placed || !t.isAt(t.i+1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Strength, vocab.MER) && (g.any || !t.shows(t.i+1)) {
			return false
		}
		t.i++
		return true
	case vocab.Found: // "behind the receiver I see minus forty"
		if !t.shows(t.i + 1) {
			return false
		}
		t.guessed(g)
		t.i++
		return true
	case vocab.At, vocab.On:
		if !t.startsPlace(t.i+1) && !t.isAt(t.i+1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Transponder, vocab.Slot, vocab.Polarity) || g.repair && g.parts.Element == "" {
			return false
		}
		t.i++
		return true
	case vocab.Particle, vocab.Fed: // "58.5 dBuV off the LNB"
		if !g.any || g.placed || k.Row.Say != "off" && k.Row.Say != "off of" || !t.isAt(t.i-1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Volts, vocab.NoVolts) || !t.startsPlace(t.i+1) {
			return false
		}
		t.i++
		return true
	case vocab.Tail: // "has eighteen volts on it"
		if k.Row.Say != "on it" || !g.placed || !g.any || k.Brk {
			return false
		}
		t.i++
		return true
	case vocab.Repair, vocab.No:
		if k.Class == vocab.No && !k.Brk && !g.repair || !g.placed && !g.any {
			return false
		}
		g.repair = true
		t.i++
		return true
	}
	if len(g.also) == 1 && t.isAt(t.i, vocab.Some) && k.Means() == string(entry.WhichBoth) && !g.any { // "kitchen and den both"
		t.i++
		return true
	}
	if t.startsPlace(t.i) {
		return t.placeInto(g)
	}
	return t.showInto(g, k)
}

// goesOn reports that a reading goes on at token i.
func (t *talker) goesOn(i int) bool {
	for t.isAt(i, vocab.At, vocab.On, vocab.Stand) {
		i++
	}
	return t.startsPlace(i) || t.shows(i)
}

// shows reports that what a meter showed starts at token i.
func (t *talker) shows(i int) bool {
	return t.isAt(i, vocab.Degree, vocab.Verdict, vocab.NoSignal, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Soft, vocab.Still, vocab.Strength, vocab.Share, vocab.MER, vocab.Volts,
		vocab.NoVolts, vocab.UnitVolts, vocab.Slot, vocab.Transponder, vocab.Polarity, vocab.Voltage)
}

// placeInto takes a place: the reading's own, or what a repair puts in its place.
func (t *talker) placeInto(g *gauge) bool {
	start, before := t.i, t.place
	if g.parts.Element != "" { // "minus 41 in" is of the part that was named
		t.place = g.parts.Point
	}
	p, ok := t.point()
	if t.place = before; !ok {
		return false
	}
	switch {
	case !g.placed:
		g.parts, g.placed, g.after = p, true, g.any
		if p.Which == whichSides && !g.any && p.Element != "" && t.is(vocab.Side) && t.toks[t.i].Brk { // "ground block both ways, dish side …"
			g.parts.Which = ""
		}
		return true
	case g.repair:
		return t.mendPlace(g, p)
	case p.Which == whichSides && p.Element == "" && g.parts.Side == "" && g.parts.Which == "": // "good on both sides"
		g.parts.Which = whichSides
		return true
	case (!g.any || g.after && !t.shows(t.i)) && t.isAt(start-1, vocab.And) && g.parts.Which == "" && p.Which == "":
		g.also = append(g.also, p)
		return true
	case g.any && p.Point == (entry.Point{Side: p.Side, Port: p.Port}) && !t.toks[start].Brk && t.isAt(start-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && t.atEnd() && complements(g.parts.Point, p.Point): // "minus 41 in and minus 57 out"
		g.parts = merge(g.parts, p)
		return true
	case (!g.any || t.isAt(start-1, vocab.On, vocab.At) || t.isAt(start, vocab.In) && p.Room != "") && complements(g.parts.Point, p.Point):
		g.parts = merge(g.parts, p)
		return true
	}
	t.i = start
	return false
}

// complements reports that two places said one after another are one.
func complements(a, b entry.Point) bool {
	return (a.Element == "" || b.Element == "") && (a.Side == "" || b.Side == "") && (a.Room == "" || b.Room == "") && a.Which == "" && b.Which == ""
}

// merge puts the parts of a later place over an earlier one.
func merge(a, b pointParts) pointParts {
	if b.Element != "" {
		a.Element, a.Number, a.Which, a.plural = b.Element, b.Number, b.Which, b.plural
	}
	if b.Side != "" {
		a.Side, a.Port = b.Side, b.Port
	}
	if b.Room != "" {
		a.Room = b.Room
	}
	for i := range b.said {
		if b.said[i] >= 0 {
			a.said[i] = b.said[i]
		}
	}
	return a
}

func (t *talker) mendPlace(g *gauge, p pointParts) bool {
	from := -1
	for i := range p.said {
		if p.said[i] >= 0 && g.parts.said[i] >= 0 && (from < 0 || g.parts.said[i] < from) {
			from = g.parts.said[i]
		}
	}
	if from < 0 {
		return false
	}
	g.parts = merge(g.parts, p)
	t.mended(g, from)
	return true
}

// afterDeed reports that what is shown is told with what was done: "bypassed the
// splitter and it passes". Where that was is asked, or known from what was read before.
func (t *talker) afterDeed() bool {
	_, done := t.lastDeed()
	return done
}

// finish makes an entry of what was gathered.
func (t *talker) finish(g *gauge) bool {
	if !g.placed && g.chat && !g.Level.Said() && !g.Strength.Said() { // "great"
		return false
	}
	if g.guess && !g.Level.Said() && !g.Strength.Said() && !g.MER.Said() && !g.Volts.Said() && !g.NoSignal {
		return t.missing("is that what the meter shows? Say it without \"looks like\", such as: wall plate fail, minus fifty six")
	}
	if g.parts.none && g.Verdict == "" {
		return false
	}
	if !g.placed && !t.bare && g.any && g.awaited == "" && g.repairs == 0 && g.Transponder == 0 && g.Slot == 0 && t.i >= len(t.toks) && len(t.entries) == 0 {
		return t.missing("where was that? Say the point, such as: wall plate, " + t.words(0, t.i))
	}
	if g.awaited != "" || !g.any && g.remark == "" || !g.any && g.repairs > 0 || !g.placed && !t.bare && !t.afterDeed() && g.Transponder == 0 && g.Slot == 0 {
		return false
	}
	if list := g.places(); len(list) > 1 {
		return t.finishAll(g, list)
	}
	p := g.parts.Point
	if p.Element == entry.Fitting || p.Element == entry.Cable || !p.Element.InPath() || p.Element == "" && p.Which != "" {
		return false
	}
	if g.parts.plural && p.Which == "" && p.Element == entry.Receiver {
		return t.missing("which receivers? Say both, all, the others, or their numbers")
	}
	if p.Which != "" && p.Element != entry.Receiver {
		return false
	}
	r := g.Reading
	if p.Element == "" && g.placed && t.place.Element != "" && p.Which == "" {
		p.Element, p.Number = t.place.Element, t.place.Number
		p.Room = entry.OrElse(p.Room, t.place.Room)
		r.Assumed = entry.AddNote(r.Assumed, "element")
	}
	if p.Element == "" && p.Side == "" && g.placed {
		if p.Room == "" || g.repairs > 0 {
			return false
		}
		// A room without a signal is one whose receiver has none. A figure is of
		// its receiver or of its wall plate: that is asked.
		if r.NoSignal && !r.Level.Said() && !r.Strength.Said() && !r.MER.Said() && !r.Volts.Said() && r.Transponder == 0 && r.Slot == 0 {
			p.Element, r.Assumed = entry.Receiver, entry.AddNote(r.Assumed, "element")
		}
	}
	if p.Element == entry.Dish && !r.Level.Said() && !r.Strength.Said() && !r.MER.Said() && !r.Volts.Said() && !r.NoSignal {
		return false // "dish good" is of the inspection
	}
	r.Point, r.Remark = p, g.remark
	if p.Which == "" {
		t.place = p
	}
	t.entries = append(t.entries, r)
	return true
}

// places are the places of a reading, each by itself: "output one and output
// two", "both sides". One that names only its side or its room is of the
// element that the list names.
func (g *gauge) places() []pointParts {
	var out []pointParts
	for _, p := range append([]pointParts{g.parts}, g.also...) {
		switch {
		case p.Which == whichSides:
			for _, side := range []entry.Side{entry.DishSide, entry.ReceiverSide} {
				one := p
				one.Which, one.Side = "", side
				out = append(out, one)
			}
		case p.Element != entry.Receiver && len(p.Which.Numbers()) > 1:
			for _, n := range p.Which.Numbers() {
				one := p
				one.Which, one.Number = "", n
				out = append(out, one)
			}
		case p.Which == whichRooms:
			for _, room := range p.inRooms {
				one := p
				one.Which, one.Room = "", room
				out = append(out, one)
			}
		case p.Which == whichPorts:
			for _, port := range p.ports {
				one := p
				one.Which, one.Port = "", port
				out = append(out, one)
			}
		default:
			out = append(out, p)
		}
	}
	named := -1
	for i := range out {
		if out[i].Element != "" {
			named = i
			break
		}
	}
	for i := range out {
		out[i].plural = out[i].plural && len(out) == 1
		if named >= 0 && out[i].Element == "" {
			out[i].Element, out[i].Number = out[named].Element, out[named].Number
			if out[i].Room == "" {
				out[i].Room = out[named].Room
			}
		}
	}
	return out
}

// finishAll makes one reading a place. A figure said once for several places
// is of one of them, and nobody can say which.
func (t *talker) finishAll(g *gauge, list []pointParts) bool {
	if g.repairs > 0 {
		return false
	}
	if !g.parts.each && (g.Level.Said() || g.Strength.Said() || g.MER.Said() || g.Volts.Said()) {
		return t.missing("which of them was that? Say a figure for each, such as: dish side minus forty one, receiver side minus forty two")
	}
	for _, p := range list {
		one := *g
		one.parts, one.also = p, nil
		if !t.finish(&one) {
			return false
		}
	}
	return true
}
