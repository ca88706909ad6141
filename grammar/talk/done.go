package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What was done: one or more verbs, one or more parts, and where, with what,
// to where, by whom.

// deed is an action being read.
type deed struct {
	verbs   []string
	objects []object
	entry.Action
	said      string      // the last verb
	pushed    vocab.Class // put, took or ran, where the verb is one of those
	back      bool
	in        bool // "in", "on": where something was put
	out       bool
	newOne    bool // "with a new one"
	unplugged bool // it must be plugged in again
	itsPlace  bool // "in its place"
}

// first is the part it was done to, or the first of them.
func (d *deed) first() object {
	if len(d.objects) == 0 {
		return object{}
	}
	return d.objects[0]
}

func (t *talker) done() bool {
	var d deed
	if t.take(vocab.Role) {
		d.By = t.last().Means()
	}
	if !t.verbs(&d) {
		return false
	}
	t.particle(&d)
	if t.is(vocab.Ways) && t.isAt(t.i+1, vocab.For, vocab.With) { // "traded the two way for a four way splitter"
		o := object{remark: t.words(t.i, t.i+1)}
		if t.i++; !t.with(&d) || d.With == nil {
			return false
		}
		o.Element = d.With.Element
		d.objects, d.newOne, d.With = []object{o}, true, nil
	}
	if len(d.verbs) == 1 && d.verbs[0] == "cleaned" && t.is(vocab.Stuff) && !t.cleanedOff(&d) {
		return false
	}
	if (d.pushed == vocab.Took || len(d.verbs) == 1 && d.verbs[0] == "removed") && t.takenOff(&d) {
		return t.act(&d)
	}
	t.oneMore(&d)
	if t.is(vocab.Side) && len(d.verbs) == 1 && d.verbs[0] == "re_terminated" { // "re-terminated the dish side of the ground block"
		if !t.where(&d) || d.At == nil || d.At.Element == "" {
			return false
		}
	}
	for {
		o, ok := t.part()
		if !ok {
			break
		}
		d.objects = append(d.objects, o)
		i := t.i
		t.particle(&d)
		if !(t.is(vocab.And) || t.i < len(t.toks) && t.toks[t.i].Brk) || t.is(vocab.Action, vocab.Length) {
			break
		}
		t.take(vocab.And)
		save := t.i
		if _, more := t.part(); !more || !t.endsPart() {
			t.i = i
			t.particle(&d)
			break
		}
		t.i = save
	}
	if n := len(d.objects); d.out && n == 1 && d.objects[0].length.Said() && t.is(vocab.Cable, vocab.Element, vocab.Verdict, vocab.Old, vocab.Ends, vocab.Condition, vocab.CableType) { // "two feet off the cable"
		of, ok := t.part()
		if !ok {
			return false
		}
		if d.objects[0].Element, d.out = of.Element, false; of.Element == entry.Fitting { // the end of a cable
			d.objects[0].Element = entry.Cable
		}
		if d.pushed == vocab.Took { // "took two feet off the cable"
			d.pushed, d.verbs = 0, []string{"trimmed"}
		}
		d.Remark = entry.List(d.Remark, of.remark)
	} else if d.out && n == 1 && d.objects[0].Element == entry.Fitting && d.objects[0].of == nil && t.is(vocab.Cable, vocab.Element) { // "the end off the jumper"
		of, _ := t.part()
		d.objects[0].of = &entry.Point{Element: of.Element, Number: of.Number, Room: of.Room}
	}
	if d.said == "cut" && !d.out && !t.stuffAhead(t.i) && !(len(d.objects) == 1 && d.objects[0].length.Said()) { // "cut the cable" is no deed by itself
		return false
	}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	if d.unplugged && t.is(vocab.For) { // "for a minute"
		from := t.i
		for t.i++; t.i < len(t.toks) && t.is(vocab.Unknown, vocab.Figure, vocab.Count, vocab.Digit); t.i++ {
		}
		d.Remark = entry.List(d.Remark, t.words(from, t.i))
	}
	if d.unplugged && (!t.is(vocab.And) || !t.isAt(t.i+1, vocab.Action) || t.toks[t.i+1].Means() != "plugged_in") {
		return false
	}
	if d.unplugged {
		t.i += 2
		t.particle(&d)
		d.back, d.out = false, false
	}
	t.elsewhere(&d)
	return t.act(&d)
}

// cleanedOff takes what was cleaned off a part: "scrubbed the corrosion off the
// ground block".
func (t *talker) cleanedOff(d *deed) bool {
	k := &t.toks[t.i]
	if i := t.i + 2; k.Means() == "blocked" && !(t.isAt(i, vocab.Element) && (t.toks[i].Means() == string(entry.Dish) || t.toks[i].Means() == string(entry.LNB))) || k.Means() != "corroded" && k.Means() != "wet" && k.Means() != "blocked" {
		return false
	}
	d.Remark = entry.List(d.Remark, t.toks[t.i].Row.Say)
	t.i++
	if t.is(vocab.Particle, vocab.Side, vocab.From, vocab.In, vocab.On, vocab.Lies) {
		t.i++
	}
	return true
}

// elsewhere keeps the words that say where something was done and name no
// place of the path: "under the house".
func (t *talker) elsewhere(d *deed) {
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() && t.i-i < mostPlaceWords && t.is(vocab.Unknown, vocab.In, vocab.On, vocab.At, vocab.By, vocab.Behind, vocab.To, vocab.Force, vocab.Agent, vocab.Through, vocab.From, vocab.Item) || t.i > i && t.is(vocab.Room) || t.i == i && t.is(vocab.Particle) || t.i == i && t.is(vocab.Time) && strings.HasPrefix(t.toks[t.i].Row.Say, "at ") {
		t.i++
	}
	if said := t.words(i, t.i); t.atEnd() && startsPreposition(said) && !strays(said) && len(d.objects)+len(t.entries) > 0 {
		d.Remark = entry.List(d.Remark, said)
		return
	}
	t.i = i
}

// endsPart reports that the part just read is the end of a list, and not the
// place of a reading or the subject of another sentence.
func (t *talker) endsPart() bool {
	return t.i >= len(t.toks) || t.toks[t.i].Brk || t.is(vocab.And, vocab.At, vocab.On, vocab.Behind, vocab.Between, vocab.From, vocab.In, vocab.With, vocab.By, vocab.Particle, vocab.To)
}

// act makes the entries.
func (t *talker) act(d *deed) bool {
	verb := ""
	if len(d.verbs) > 0 {
		verb = d.verbs[0]
	}
	switch d.pushed {
	case vocab.Put:
		if verb = d.put(); verb == "" {
			return false
		}
		if d.itsPlace && d.With == nil { // whose place?
			return false
		}
		if o := d.first(); verb == "added" && o.Element == entry.Receiver && (o.Number != 0 || o.Room != "") && d.At != nil && d.At.Port != 0 && d.To == nil {
			verb, d.To, d.At = "moved", d.At, nil // "put receiver two on output three"
		}
	case vocab.Took:
		if !d.out {
			return false
		}
		verb = "removed"
	case vocab.Ran:
		if len(d.objects) == 0 && d.said == "ran new" && d.At != nil && d.To != nil {
			d.objects = []object{{Point: entry.Point{Element: entry.Cable}}}
		}
		if len(d.objects) == 1 && d.objects[0].Element == entry.GroundWire && strings.Contains(d.said, "new") {
			verb = "replaced"
			break
		}
		if len(d.objects) != 1 || d.objects[0].Element != entry.Cable {
			return false
		}
		if d.To == nil || d.At == nil && !leadsTo(*d.To) || d.To.Element == "" && d.To.Side == "" && d.To.Room == "" {
			return t.missing("which run of cable? Say from where to where, such as: ran new cable from ground block to wall plate, sixty feet")
		}
		verb = "replaced"
	}
	if d.back && verb == "plugged_in" {
		d.back = false
	}
	if d.back && (verb == "swapped" || verb == "replaced" || verb == "added") {
		verb = "restored"
	}
	if verb == "trimmed" && strings.HasPrefix(d.said, "cleared") && len(d.objects) == 1 && d.objects[0].Element == entry.Dish && d.objects[0].remark == "" {
		verb = "cleaned" // "cleared the dish": of snow or leaves
	}
	if d.pushed == 0 {
		d.verbs[0] = verb
	} else {
		d.verbs = []string{verb}
	}
	if len(d.objects) == 0 && d.With == nil && (d.At == nil || d.newOne) && t.sameAgain(d, verb) {
		return true
	}
	if len(d.objects) == 0 && verb == "re_terminated" && d.At != nil { // "re-terminated at the wall plate": an end, there
		d.objects = []object{{Point: entry.Point{Element: entry.Fitting}}}
		d.Assumed = entry.AddNote(d.Assumed, "element")
	}
	if len(d.objects) == 0 && verb == "re_aimed" && aims(d.said) && d.At != nil && (d.At.Element == entry.Dish || d.At.Element == entry.LNB) { // "adjusted the skew on the LNB"
		d.objects, d.At = []object{{Point: *d.At}}, nil
	}
	if len(d.objects) == 0 && verb == "re_aimed" && aims(d.said) { // "re-aimed it": nothing else is
		d.objects = []object{{Point: entry.Point{Element: entry.Dish}}}
		d.Assumed = entry.AddNote(d.Assumed, "element")
	}
	if !t.fits(d, verb) {
		return false
	}
	verb = d.verbs[0]
	if len(d.objects) == 0 || verb == "plugged_in" && d.objects[0].Element != entry.Receiver && d.objects[0].Element != entry.PowerInserter && d.objects[0].Element != entry.Multiswitch {
		return false
	}
	for _, o := range d.objects {
		for _, v := range d.verbs {
			t.entries = append(t.entries, d.entry(v, o))
			for _, n := range o.others {
				more := o
				more.Number = n
				t.entries = append(t.entries, d.entry(v, more))
			}
		}
	}
	return true
}

// fits checks what a verb needs, and fills in what it means.
func (t *talker) fits(d *deed, verb string) bool {
	var o *object
	if len(d.objects) > 0 {
		o = &d.objects[0]
	}
	switch verb {
	case "swapped":
		return t.swap(d)
	case "moved":
		if o == nil {
			return false
		}
		if o.Element == entry.Cable && d.To == nil && d.With == nil && startsPreposition(d.Remark) && t.atEnd() { // "moved the cable away from the gutter"
			d.verbs[0] = "rerouted"
			return true
		}
		if d.To == nil && d.With == nil && o.Element != entry.Receiver && (o.Element != entry.Cable || !t.atEnd()) && o.Element != entry.Jumper && len(d.objects) == 1 {
			return t.movedAbout(d) // it stays where it is in the path
		}
		if d.To == nil {
			return t.missing("moved to where? Say the output, such as: moved receiver three to output four")
		}
	case "plugged_in", "reset":
		if o == nil {
			d.objects = []object{{Point: entry.Point{Element: entry.Receiver}}}
			d.Assumed = entry.AddNote(d.Assumed, "element")
			if strings.Contains(d.said, " all") || strings.Contains(d.said, "everything") { // "plugged it all back in"
				d.objects[0].remark = "all"
			}
		}
	case "re_aimed":
		if o == nil || o.Element != entry.Dish && o.Element != entry.LNB && d.said != "re aimed" {
			return false
		}
	case "trimmed":
		if o == nil {
			return t.branches(d)
		}
	case "tightened", "re_terminated", "cleaned", "sealed":
		if o == nil {
			return false
		}
	case "added":
		if d.said == "spliced" && o != nil && o.Element == entry.Cable && d.At == nil { // "spliced the cable with a barrel"
			if d.With == nil || len(d.objects) > 1 {
				return false
			}
			d.At = &entry.Point{Element: entry.Cable}
			o.Point, d.With = *d.With, nil
		}
	}
	if verb == "trimmed" && strings.HasPrefix(d.said, "clipped") && !d.out && o.Element != entry.Dish {
		return false // "clipped the cable to the joist"
	}
	for i := range d.objects {
		if all := (verb == "plugged_in" || verb == "reset") && strings.Contains(d.objects[i].remark, "all"); d.objects[i].plural && d.objects[i].Element == entry.Receiver && len(d.objects[i].others) == 0 && d.objects[i].quantity == 0 && !all {
			return t.missing("which receivers? Say their numbers")
		}
	}
	if verb == "removed" && d.said == "pulled" && o != nil && o.Element == entry.Cable && d.To != nil && o.length.Said() {
		return t.missing("was that new cable, or was it taken out? Say: ran new cable from … to …, or: removed the cable")
	}
	if verb == "trimmed" && d.said == "cut" && d.out && o.Element != entry.Fitting && o.Element != entry.Cable && o.Element != entry.Jumper && o.Element != entry.Dish {
		d.verbs[0] = "removed" // "cut the splitter out of the line"
	}
	if verb == "removed" || verb == "trimmed" {
		if d.newOne || d.With != nil {
			d.verbs[0] = "replaced"
			return true
		}
	}
	return d.With == nil || verb == "replaced" || verb == "bypassed" || verb == "sealed" || verb == "cleaned"
}

func (d *deed) entry(verb string, o object) entry.Action {
	a := d.Action
	a.Action, a.Element, a.Number, a.Room = verb, o.Element, o.Number, o.Room
	a.Quantity, a.LengthFt, a.Cable = o.quantity, o.length, o.cable
	a.Remark = entry.List(o.remark, a.Remark)
	if o.fresh && verb != "replaced" {
		a.Remark = entry.List("new", a.Remark)
	}
	switch {
	case o.of != nil && a.At == nil:
		a.At = o.of
	case o.of != nil: // "the splitter fitting at the wall plate"
		a.Remark = entry.List(a.Remark, "of the "+entry.SayPoint(*o.of))
	}
	return a
}

// leadsTo reports that only one run of cable ends at a point: that of a room or
// of a receiver.
func leadsTo(p entry.Point) bool {
	return p.Side == "" && p.Port == 0 && (p.Element == "" && p.Room != "" || p.Element == entry.Receiver || p.Element == entry.WallPlate)
}
