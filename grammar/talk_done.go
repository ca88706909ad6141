package grammar

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What was done: one or more verbs, one or more parts, and where, with what,
// to where, by whom.

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
	case t.take(vocab.Check) && t.last().means() == "mount":
		o.Element = entry.Mount
		t.take(vocab.Bolt)
	case t.take(vocab.Bolt):
		o.Element = entry.Mount
		if t.is(vocab.On) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].means() == string(entry.Mount) {
			t.i += 2
		}
	case t.take(vocab.Cable):
		o.Element = entry.Cable
		if t.take(vocab.CableType) {
			o.cable = t.last().means()
		}
	case t.take(vocab.CableType):
		o.Element, o.cable = entry.Cable, t.last().means()
		t.take(vocab.Cable)
	case t.is(vocab.Facet) && t.isAt(t.i+1, vocab.Element, vocab.In, vocab.On) && t.facet(&o):
	case t.take(vocab.Ends):
		o.Element = entry.Fitting
		if o.quantity == 0 && t.last().row.Plural {
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

// pieceOf takes the piece of a part after it: the "connector" of "LNB
// connector" is a fitting at the LNB, the "contacts" stay in the remark.
func (t *talker) pieceOf(o *object) {
	if len(o.others) > 0 || t.i < len(t.toks) && t.toks[t.i].brk {
		return
	}
	if t.is(vocab.Facet) {
		o.remark = entry.List(o.remark, t.toks[t.i].row.Say)
		t.i++
		return
	}
	if t.is(vocab.Ends) && o.Element.InPath() && o.Element != entry.Fitting && o.Element != entry.Cable && o.quantity == 0 { // "the LNB end"
		of := entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
		o.Element, o.Number, o.Room, o.of = entry.Fitting, 0, "", &of
		if t.toks[t.i].row.Plural {
			o.quantity = 2
		}
		t.i++
		return
	}
	if !t.is(vocab.Element) || o.Element == entry.Fitting || o.Element == entry.Mount {
		return
	}
	switch piece := entry.Element(t.toks[t.i].means()); piece {
	case entry.Fitting, entry.Jumper, entry.GroundWire:
		if piece == o.Element {
			return
		}
		of := entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}
		o.plural, o.of = t.toks[t.i].row.Plural, &of
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
	o.remark = entry.List(o.remark, t.toks[t.i].row.Say)
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
	switch k.class {
	case vocab.Count, vocab.Figure, vocab.Digit:
		if o.quantity != 0 || k.value.Sign() <= 0 {
			return false
		}
		o.quantity = t.number(k)
	case vocab.Length:
		o.length = k.value
	case vocab.New:
		o.fresh = true
	case vocab.Some:
		switch entry.Which(k.means()) {
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
		if k.means() != string(entry.Fail) {
			return false
		}
		o.remark = entry.List(o.remark, k.row.Say)
	case vocab.Old, vocab.Condition, vocab.Soft:
		o.remark = entry.List(o.remark, k.row.Say)
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

// deed is an action being read.
type deed struct {
	verbs   []string
	objects []object
	entry.Action
	said      string      // the last verb
	pushed    vocab.Class // put, took or ran, where the verb is one of those
	back      bool
	out       bool
	newOne    bool // "with a new one"
	unplugged bool // it must be plugged in again
}

func (t *talker) done() bool {
	var d deed
	if t.take(vocab.Role) {
		d.By = t.last().means()
	}
	if !t.verbs(&d) {
		return false
	}
	t.particle(&d)
	for {
		o, ok := t.part()
		if !ok {
			break
		}
		d.objects = append(d.objects, o)
		i := t.i
		t.particle(&d)
		if !(t.is(vocab.And) || t.i < len(t.toks) && t.toks[t.i].brk) || t.is(vocab.Action, vocab.Length) {
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
	if n := len(d.objects); d.out && n == 1 && d.objects[0].length.Said() && t.is(vocab.Cable, vocab.Element) { // "two feet off the cable"
		of, _ := t.part()
		d.objects[0].Element, d.out = of.Element, false
	}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	if d.unplugged && (!t.is(vocab.And) || !t.isAt(t.i+1, vocab.Action) || t.toks[t.i+1].means() != "plugged_in") {
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

// elsewhere keeps the words that say where something was done and name no
// place of the path: "under the house".
func (t *talker) elsewhere(d *deed) {
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() && t.i-i < mostPlaceWords && t.is(vocab.Unknown, vocab.In, vocab.On, vocab.At, vocab.By, vocab.Behind, vocab.To, vocab.Force) || t.i == i && t.is(vocab.Particle) || t.i == i && t.is(vocab.Time) && strings.HasPrefix(t.toks[t.i].row.Say, "at ") {
		t.i++
	}
	if said := t.words(i, t.i); t.atEnd() && startsPreposition(said) && !turns(said) && len(d.objects) > 0 {
		d.Remark = entry.List(d.Remark, said)
		return
	}
	t.i = i
}

// endsPart reports that the part just read is the end of a list, and not the
// place of a reading or the subject of another sentence.
func (t *talker) endsPart() bool {
	return t.i >= len(t.toks) || t.toks[t.i].brk || t.is(vocab.And, vocab.At, vocab.On, vocab.Behind, vocab.Between, vocab.From, vocab.In, vocab.With, vocab.By, vocab.Particle, vocab.To)
}

// verbs takes the verb, or verbs: "cleaned and sealed".
func (t *talker) verbs(d *deed) bool {
	if t.take(vocab.Put, vocab.Took, vocab.Ran) {
		d.pushed = t.last().class
		return true
	}
	if t.is(vocab.Condition) && t.toks[t.i].row.Say == "cut" && t.isAt(t.i+1, vocab.Length) { // "cut a foot off the cable"
		t.i++
		d.verbs = []string{"trimmed"}
		return true
	}
	if t.take(vocab.Unplugged) {
		d.unplugged, d.verbs = true, []string{"reset"}
		return true
	}
	for t.take(vocab.Action) {
		d.said = t.last().row.Say
		d.verbs = append(d.verbs, t.last().means())
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
		case t.is(vocab.Particle) && t.isAt(t.i+1, vocab.Unknown) && startsPreposition(t.words(t.i, t.i+2)): // "around the downspout"
			return
		case t.take(vocab.Particle):
			switch say := t.last().row.Say; say {
			case "back", "back in", "back up", "back on", "back in place", "in place":
				d.back = true
			case "back out", "off":
				d.out = true
			}
		case t.is(vocab.Output) && !t.isAt(t.i+1, vocab.Index, vocab.Element):
			d.out = true
			t.i++
		case t.is(vocab.In) && (t.i+1 >= len(t.toks) || t.toks[t.i+1].brk || t.isAt(t.i+1, vocab.And, vocab.At, vocab.Element, vocab.Between, vocab.Cable, vocab.Still)) && (d.pushed != 0 || len(d.verbs) > 0 && d.verbs[0] == "plugged_in" || d.back):
			t.i++
		case t.is(vocab.Still) && len(d.objects) > 0:
			d.Remark = entry.List(d.Remark, t.toks[t.i].row.Say)
			t.i++
		default:
			return
		}
	}
}

// circumstance takes where, with what, to where, by whom.
func (t *talker) circumstance(d *deed) bool {
	start := t.i
	ok := false
	switch k := &t.toks[t.i]; k.class {
	case vocab.With, vocab.For:
		ok = t.with(d)
	case vocab.By:
		if d.By == "" && t.isAt(t.i+1, vocab.Role) {
			d.By, ok = t.toks[t.i+1].means(), true
			t.i += 2
		}
	case vocab.Between, vocab.From:
		ok = t.between(d)
	case vocab.To:
		t.i++
		if p, read := t.point(); read && d.To == nil && p.Which == "" && (p.Element.InPath() || p.Element == "") {
			d.To, ok = &p.Point, true
		}
	case vocab.At, vocab.On, vocab.Behind, vocab.In:
		if k.class == vocab.At || k.class == vocab.On {
			t.i++
		}
		ok = t.where(d)
	case vocab.Length:
		if len(d.objects) == 1 && d.objects[0].Element == entry.Cable && !d.objects[0].length.Said() {
			d.objects[0].length, ok = k.value, true
			t.i++
			for t.take(vocab.Cable, vocab.CableType) {
				if k := t.last(); k.class == vocab.CableType {
					d.objects[0].cable = k.means()
				}
			}
		}
	case vocab.Particle, vocab.Output, vocab.Still:
		t.particle(d)
		ok = t.i > start
	case vocab.Side: // "took the splitter out of the line"
		if k.row.Say == "out of" && t.isAt(t.i+1, vocab.Cable, vocab.Path) {
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
	case vocab.And:
		ok = t.instead(d)
	}
	if !ok {
		t.i = start
	}
	return ok
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
	if t.take(vocab.Thing) {
		d.newOne = true
		return true
	}
	o, ok := t.part()
	if !ok && t.isAt(start-1, vocab.With) && t.is(vocab.Item, vocab.Unknown) && len(d.verbs) > 0 && d.verbs[0] != "replaced" && d.verbs[0] != "swapped" && d.verbs[0] != "removed" && d.verbs[0] != "bypassed" { // "with silicone"
		for t.is(vocab.Item, vocab.Unknown, vocab.And) && !t.atEnd() || t.is(vocab.Item, vocab.Unknown) && t.i == start {
			t.i++
		}
		d.Remark = entry.List(d.Remark, "with "+t.words(start, t.i))
		return !turns(t.words(start, t.i))
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

// instead takes what was put where a part was taken out: "and put in a barrel",
// "and put on a new one".
func (t *talker) instead(d *deed) bool {
	out := d.pushed == vocab.Took || len(d.verbs) == 1 && (d.verbs[0] == "removed" || d.verbs[0] == "trimmed" && len(d.objects) == 1 && d.objects[0].Element == entry.Fitting)
	if !out || d.With != nil || d.newOne || !t.isAt(t.i+1, vocab.Put, vocab.Action) {
		return false
	}
	k := &t.toks[t.i+1]
	if k.class == vocab.Action && k.means() != "added" && k.means() != "replaced" {
		return false
	}
	t.i += 2
	t.take(vocab.In, vocab.On)
	if k.class == vocab.Action && k.means() == "replaced" && t.is(vocab.Digit, vocab.Figure, vocab.Count) && t.number(&t.toks[t.i]) == 1 { // "put on a new one"
		t.i++
		d.newOne = true
		return true
	}
	t.i--
	if !t.with(d) {
		return false
	}
	d.out = true
	return true
}

func (t *talker) between(d *deed) bool {
	t.i++
	a, ok := t.point()
	if !ok || !t.take(vocab.And, vocab.To) {
		return false
	}
	b, ok := t.point()
	if !ok || d.At != nil || d.To != nil || a.Which != "" || b.Which != "" {
		return false
	}
	d.At, d.To = &a.Point, &b.Point
	return true
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
		if o := d.objects[0]; verb == "added" && o.Element == entry.Receiver && (o.Number != 0 || o.Room != "") && d.At != nil && d.At.Port != 0 && d.To == nil {
			verb, d.To, d.At = "moved", d.At, nil // "put receiver two on output three"
		}
	case vocab.Took:
		if !d.out {
			return false
		}
		verb = "removed"
	case vocab.Ran:
		if len(d.objects) != 1 || d.objects[0].Element != entry.Cable {
			return false
		}
		if d.To == nil || d.At == nil {
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
	if d.pushed == 0 {
		d.verbs[0] = verb
	} else {
		d.verbs = []string{verb}
	}
	if len(d.objects) == 0 && d.At == nil && d.With == nil {
		t.sameAgain(d, verb)
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

// sameAgain gives a verb without a part that of the action before it in the
// phrase: "dried out the wall plate and sealed it".
func (t *talker) sameAgain(d *deed, verb string) {
	if len(t.entries) == 0 || verb == "swapped" || verb == "moved" || verb == "removed" || verb == "restored" {
		return
	}
	a, ok := t.entries[len(t.entries)-1].(entry.Action)
	if !ok || a.Action == "removed" || a.Action == "swapped" {
		return
	}
	d.objects = []object{{Point: entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}, quantity: a.Quantity}}
	d.At = a.At
}

// put says what putting is: back in, in, or on.
func (d *deed) put() string {
	if len(d.objects) == 0 {
		return ""
	}
	switch o := d.objects[0]; {
	case d.back:
		return "restored"
	case o.fresh:
		return "replaced"
	}
	return "added"
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
		if d.To == nil && d.With == nil && o.Element != entry.Receiver && o.Element != entry.Cable && o.Element != entry.Jumper && len(d.objects) == 1 {
			return t.movedAbout(d) // it stays where it is in the path
		}
		if d.To == nil {
			return t.missing("moved to where? Say the output, such as: moved receiver three to output four")
		}
	case "plugged_in":
		if o == nil {
			d.objects = []object{{Point: entry.Point{Element: entry.Receiver}}}
			d.Assumed = entry.AddNote(d.Assumed, "element")
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
	}
	for i := range d.objects {
		if d.objects[i].plural && d.objects[i].Element == entry.Receiver && len(d.objects[i].others) == 0 && d.objects[i].quantity == 0 {
			return t.missing("which receivers? Say their numbers")
		}
	}
	if verb == "removed" && d.said == "pulled" && o.Element == entry.Cable && d.To != nil && o.length.Said() {
		return t.missing("was that new cable, or was it taken out? Say: ran new cable from … to …, or: removed the cable")
	}
	if verb == "removed" || verb == "trimmed" {
		if d.newOne || d.With != nil {
			d.verbs[0] = "replaced"
			return true
		}
	}
	return d.With == nil || verb == "replaced" || verb == "bypassed" || verb == "sealed" || verb == "cleaned"
}

// mostMoveWords is how many words say where a dish was moved.
const mostMoveWords = 8

// movedAbout reads a part that was moved in space, and where to, in the words
// said: "moved the dish three feet to the left".
func (t *talker) movedAbout(d *deed) bool {
	from := t.i
	if d.objects[0].length.Said() {
		return false
	}
	for t.i < len(t.toks) && !t.atEnd() && t.i-from < mostMoveWords && !t.is(vocab.Action, vocab.Time, vocab.Condition, vocab.Verdict, vocab.NoSignal, vocab.Level, vocab.Not, vocab.Symptom) {
		t.i++
	}
	said := t.words(from, t.i)
	if said == "" && d.At == nil || turns(said) {
		return t.missing("moved to where? Say it, such as: moved the dish three feet to the left")
	}
	d.Remark = entry.List(d.Remark, said)
	return true
}

// branches reads "trimmed the branches": it clears the way of the dish.
func (t *talker) branches(d *deed) bool {
	if !t.is(vocab.Stuff) || t.toks[t.i].means() != "blocked" {
		return false
	}
	d.objects = []object{{Point: entry.Point{Element: entry.Dish}, remark: t.toks[t.i].row.Say}}
	t.i++
	return true
}

// swap tells an exchange of two parts of the path from a replacement.
func (t *talker) swap(d *deed) bool {
	if len(d.objects) == 0 {
		return false
	}
	o := &d.objects[0]
	if len(o.others) == 1 && d.With == nil && len(d.objects) == 1 {
		d.With = &entry.Point{Element: o.Element, Number: o.others[0]}
		o.others = nil
		return true
	}
	if len(o.rooms) == 2 && d.With == nil && len(d.objects) == 1 {
		d.With = &entry.Point{Element: o.Element, Room: o.rooms[1]}
		o.Room = o.rooms[0]
		return true
	}
	if len(d.objects) == 2 && d.With == nil && d.objects[0].Element == d.objects[1].Element {
		d.With = &entry.Point{Element: d.objects[1].Element, Number: d.objects[1].Number, Room: d.objects[1].Room}
		d.objects = d.objects[:1]
		return true
	}
	switch {
	case len(d.objects) > 1:
		return false
	case d.With != nil && d.With.Element == o.Element && (d.With.Number != 0 || d.With.Room != ""):
		return true
	case d.With != nil && d.With.Element != o.Element, d.newOne, d.out:
		d.verbs[0] = "replaced"
		return true
	case o.Element == entry.Receiver:
		return t.missing("swapped with which? Say: swapped receivers one and two, or: replaced receiver two")
	}
	d.verbs[0] = "replaced"
	return true
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

// passive reads "ground wire replaced by the electrician".
func (t *talker) passive() bool {
	o, ok := t.part()
	if !ok {
		return false
	}
	d := deed{objects: []object{o}}
	for t.is(vocab.At, vocab.On, vocab.Behind, vocab.In, vocab.Between, vocab.From) && t.circumstance(&d) { // "fittings at the splitter tightened"
	}
	if t.take(vocab.Was); t.is(vocab.Been) { // "was replaced", "have been replaced"
		t.i++
	}
	if !t.is(vocab.Action) || !t.verbs(&d) {
		return false
	}
	t.particle(&d)
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	return (d.verbs[0] != "swapped" || d.newOne || len(o.others) == 1) && t.act(&d)
}

// renewed reads a part put in without a verb: "new connector behind receiver
// three".
func (t *talker) renewed() bool {
	if !t.is(vocab.New) && !(t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Some) && t.isAt(t.i+1, vocab.New)) {
		return false
	}
	o, ok := t.part()
	if !ok || !o.fresh {
		return false
	}
	d := deed{verbs: []string{"replaced"}, objects: []object{o}}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	return t.act(&d)
}

// used reads parts used: after "used", or each with its number or length.
func (t *talker) used() bool {
	verb := t.take(vocab.Used)
	n := len(t.entries)
	for {
		m, ok := t.material(verb)
		if !ok {
			break
		}
		t.entries = append(t.entries, m)
		i := t.i
		joined := t.take(vocab.And)
		if t.i < len(t.toks) && (joined || t.toks[t.i].brk || t.is(vocab.Count, vocab.Digit, vocab.Figure)) {
			save := t.i
			if _, more := t.material(verb); more && t.endsPart() {
				t.i = save
				continue
			}
		}
		t.i = i
		break
	}
	if !verb && len(t.entries) > n {
		t.take(vocab.Used) // "a hundred feet of cable used"
	}
	return len(t.entries) > n
}

// material reads one part used.
func (t *talker) material(verb bool) (entry.Material, bool) {
	var m entry.Material
	start := t.i
	fail := func() (entry.Material, bool) {
		t.i = start
		return m, false
	}
	for t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Length, vocab.New, vocab.Some, vocab.Ways) {
		k := &t.toks[t.i]
		switch k.class {
		case vocab.Length:
			m.LengthFt = k.value
		case vocab.Ways:
			m.Remark = entry.List(m.Remark, t.words(t.i, t.i+1))
		case vocab.New:
		case vocab.Some:
			if k.means() != string(entry.WhichBoth) {
				return fail()
			}
			m.Quantity = 2
		default:
			if k.value.Sign() <= 0 {
				return fail()
			}
			from := t.i
			if m.Quantity != 0 {
				return fail()
			}
			m.Quantity = t.number(k)
			if t.isAt(t.i+1, vocab.Repair) && t.isAt(t.i+2, vocab.Count, vocab.Figure, vocab.Digit) {
				t.i += 2
				m.Quantity, m.Remark = t.number(&t.toks[t.i]), t.words(from, t.i+1)
			}
			if t.isAt(t.i+1, vocab.Times) && t.toks[t.i+1].row.Say == "x" { // "2x fittings"
				t.i++
			}
		}
		t.i++
	}
	switch {
	case t.is(vocab.Cable, vocab.CableType):
		m.Item = string(entry.Cable)
		for t.is(vocab.Cable, vocab.CableType) {
			if t.is(vocab.CableType) {
				m.Cable = t.toks[t.i].means()
			}
			t.i++
		}
		if !m.LengthFt.Said() {
			return fail()
		}
	case t.is(vocab.Element, vocab.Item, vocab.Bolt):
		k := &t.toks[t.i]
		m.Item = entry.OrElse(k.means(), "lag_bolt")
		if t.is(vocab.Element) && !verb && (m.Quantity == 0 && !m.LengthFt.Said() || m.Item == string(entry.Receiver) || m.Item == string(entry.Dish)) || t.is(vocab.Item, vocab.Bolt) && !verb && m.Quantity == 0 {
			return fail()
		}
		if m.Quantity == 0 && (m.LengthFt.Said() || !k.row.Plural) {
			m.Quantity = 1
		}
		t.i++
	default:
		return fail()
	}
	if t.is(vocab.Index) {
		return fail()
	}
	return m, true
}
