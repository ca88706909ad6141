package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Deeds said without a verb of their own, or without a part.

// passive reads "ground wire replaced by the electrician".
func (t *talker) passive() bool {
	o, ok := t.part()
	if !ok {
		return false
	}
	d := deed{objects: []object{o}}
	if back, ok := t.backIn(o); ok {
		d.verbs = []string{back}
		return t.act(&d)
	}
	for t.is(vocab.At, vocab.On, vocab.Behind, vocab.In, vocab.Between, vocab.From) && t.circumstance(&d) { // "fittings at the splitter tightened"
	}
	if t.is(vocab.Some) && t.toks[t.i].Row.Say == "all" && t.isAt(t.i+1, vocab.Action) { // "fittings all tightened"
		d.Remark = "all"
		t.i++
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
	return (d.verbs[0] != "swapped" || d.newOne || len(o.others) == 1 || o.Element != entry.Receiver && !o.plural) && t.act(&d)
}

// lastDeed is the entry before, where that is something done.
func (t *talker) lastDeed() (a entry.Action, ok bool) {
	if len(t.entries) > 0 {
		a, ok = t.entries[len(t.entries)-1].(entry.Action)
	}
	return a, ok
}

// likewise reads the same deed at another place: "replaced two fittings at the
// ground block and one at the wall plate".
func (t *talker) likewise() bool {
	if !t.isAt(t.i-1, vocab.And) && !(t.i > 0 && t.i < len(t.toks) && t.toks[t.i].Brk) || !t.is(vocab.Count, vocab.Figure, vocab.Digit) || !t.isAt(t.i+1, vocab.At, vocab.On, vocab.Behind) {
		return false
	}
	a, ok := t.lastDeed()
	if !ok || a.At == nil || a.To != nil || a.With != nil || a.LengthFt.Said() || a.Action == "swapped" || a.Action == "moved" {
		return false
	}
	d := deed{verbs: []string{a.Action}, objects: []object{{Point: entry.Point{Element: a.Element}, quantity: t.number(&t.toks[t.i])}}}
	t.i++
	return d.objects[0].quantity > 0 && t.circumstance(&d) && d.At != nil && d.At.Element != "" && t.act(&d)
}

// renewed reads a part put in without a verb: "new connector behind receiver
// three".
func (t *talker) renewed() bool {
	if !t.is(vocab.New) && !(t.is(vocab.Count, vocab.Figure, vocab.Digit, vocab.Some) && t.isAt(t.i+1, vocab.New)) {
		return false
	}
	from := t.i
	o, ok := t.part()
	if !ok || !o.fresh {
		return false
	}
	lead := strings.ToLower(t.words(from, t.i))
	if !strings.Contains(lead, "new") && strings.Contains(lead, "fresh") {
		lead = "fresh"
	}
	d := deed{verbs: []string{"replaced"}, objects: []object{o}}
	if n := len(t.entries); !(t.is(vocab.Tail) && n > 0) {
		t.particle(&d) // "new splitter in", "new LNB's on"
	}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	if d.back || d.out || d.verbs[0] != "replaced" {
		return false
	}
	if has := strings.Contains(t.skipped(from), "got") || !strings.Contains(lead, "new") && lead != "fresh"; has && !d.in && d.At == nil { // "got a new LNB": in the truck, or on the dish
		return false
	}
	if n := len(t.entries); t.is(vocab.Tail) && t.toks[t.i].Row.Say == "on it" && d.At == nil && n > 0 { // "new ground block, two new fittings on it"
		if a, ok := t.entries[n-1].(entry.Action); ok && a.Element != o.Element {
			d.At = &entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}
			t.i++
		}
	}
	var on []object
	if t.is(vocab.With) && o.Element != entry.Fitting { // "new ground block with two new fittings"
		t.i++
		more, ok := t.part()
		if !ok || more.Element != entry.Fitting || more.of != nil || !more.fresh && more.quantity == 0 {
			return false
		}
		on = append(on, more)
	}
	if !t.act(&d) {
		return false
	}
	for _, m := range on {
		with := deed{Action: entry.Action{At: &entry.Point{Element: o.Element, Number: o.Number, Room: o.Room}}}
		t.entries = append(t.entries, with.entry("replaced", m))
	}
	return true
}

// sameAgain gives a verb without a part that of the entry before it in the
// phrase: "dried out the wall plate and sealed it". Where that says nothing but
// the same deed once more, its words stay with it, and true is returned.
func (t *talker) sameAgain(d *deed, verb string) bool {
	if len(t.entries) == 0 || verb == "swapped" && !d.out && !d.newOne || verb == "moved" || verb == "removed" {
		return false
	}
	last := len(t.entries) - 1
	if s, ok := t.entries[last].(entry.Sighting); ok && verb != "restored" { // "fittings were loose, tightened them"
		d.objects = []object{{Point: entry.Point{Element: s.Element, Number: s.Number, Room: s.Room}}}
		if d.At == nil {
			d.At = s.At
		}
		if verb == "trimmed" && s.Element == entry.Dish && falls(s.Remark) { // "snow on the dish, cleared it"
			d.verbs[0] = "cleaned"
		}
		return false
	}
	a, ok := t.entries[last].(entry.Action)
	if !ok || a.Action == "swapped" {
		return false
	}
	switch {
	case a.Action == verb && d.At == nil && d.To == nil && !d.newOne: // "went back to the old LNB, put it back on"
		t.entries[last] = withRemark(a, entry.List(d.Remark, ""))
		return true
	case verb == "restored" && a.Action != "removed", verb != "restored" && a.Action == "removed" && !d.newOne:
		return false
	case a.Action == "removed" && d.newOne:
		return false
	}
	d.objects = []object{{Point: entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}, quantity: a.Quantity}}
	if d.At == nil {
		d.At = a.At
	}
	return false
}

// oneMore takes a new one of what the phrase spoke of before: "put a new one
// on", "ran a new one".
func (t *talker) oneMore(d *deed) bool {
	fresh := d.fresh() && t.is(vocab.Digit, vocab.Figure, vocab.Count) && t.number(&t.toks[t.i]) == 1 && !t.isAt(t.i+1, vocab.Element, vocab.Item)
	if !(fresh || d.puts() && t.is(vocab.Thing)) || len(t.entries) == 0 {
		return false
	}
	t.i++
	d.newOne, d.pushed, d.verbs = true, 0, []string{"replaced"}
	t.putWhere(d)
	return true
}

// puts reports a deed that puts a part where one is or was.
func (d *deed) puts() bool {
	return d.pushed == vocab.Put || len(d.verbs) > 0 && (d.verbs[0] == "replaced" || d.verbs[0] == "added")
}

// fresh reports that a new part was put.
func (d *deed) fresh() bool {
	return strings.HasSuffix(d.said, "new") || strings.HasSuffix(d.said, "fresh") || len(d.objects) > 0 && d.objects[0].fresh
}

// goneOut is the part of "the splitter's out", where that may be taken out as
// well as fail; "" of anything else.
func (t *talker) goneOut() string {
	from := t.i
	o, ok := t.part()
	i := t.i
	t.i = from
	if !ok || o.plural || i >= len(t.toks) || t.toks[i].Brk {
		return ""
	}
	switch o.Element {
	case entry.Splitter, entry.Barrel, entry.Tap, entry.Diplexer, entry.Triplexer, entry.PowerInserter, entry.Jumper:
	default:
		return ""
	}
	switch k := &t.toks[i]; {
	case k.Class == vocab.Verdict && k.Row.Say == "is back" && t.isAt(i+1, vocab.Output), k.Class == vocab.Particle && k.Row.Say == "back out":
		i++
	case (k.Class == vocab.Verdict || k.Class == vocab.Output) && (k.Row.Say == "out" || k.Row.Say == "is out"):
	default:
		return ""
	}
	if i+1 < len(t.toks) && !t.toks[i+1].Brk && !t.isAt(i+1, vocab.And) {
		return ""
	}
	return entry.SayPoint(o.Point)
}

// backIn reads a part that is where it was again: "old LNB's back on". Of a
// receiver that says that it works.
func (t *talker) backIn(o object) (string, bool) {
	if o.Element == entry.Receiver || o.Element == entry.Dish || o.plural || t.i >= len(t.toks) {
		return "", false
	}
	from := t.i
	switch k := &t.toks[t.i]; {
	case k.Class == vocab.Particle && (k.Row.Say == "back in" || k.Row.Say == "back on" || k.Row.Say == "back in place"):
		t.i++
	case k.Class == vocab.Verdict && (strings.HasSuffix(k.Row.Say, "back on") || strings.HasSuffix(k.Row.Say, "back in")):
		t.i++
	case k.Class == vocab.Verdict && strings.HasSuffix(k.Row.Say, "back") && t.isAt(t.i+1, vocab.In, vocab.On, vocab.Side):
		t.i += 2
	default:
		return "", false
	}
	if t.atEnd() {
		return "restored", true
	}
	t.i = from
	return "", false
}

// aims reports a verb that is only of a dish.
func aims(verb string) bool {
	for _, of := range []string{"peak", "aim", "point", "dial", "align", "fine tun", "skew", "elevation", "azimuth", "tilt"} {
		if strings.Contains(verb, of) {
			return true
		}
	}
	return false
}

// put says what putting is: back in, in, or on.
func (d *deed) put() string {
	if len(d.objects) == 0 {
		if d.back {
			return "restored" // "put it back on"
		}
		return ""
	}
	switch o := d.objects[0]; {
	case d.back:
		return "restored"
	case d.said != "put" && !d.in && !o.fresh && d.At == nil && d.To == nil: // "threw a fit"
		return ""
	case o.fresh:
		return "replaced"
	}
	return "added"
}
