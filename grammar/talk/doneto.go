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

// sameAgain gives a verb without a part that of the action before it in the
// phrase: "dried out the wall plate and sealed it".
func (t *talker) sameAgain(d *deed, verb string) {
	if len(t.entries) == 0 || verb == "swapped" || verb == "moved" || verb == "removed" || verb == "restored" {
		return
	}
	if s, ok := t.entries[len(t.entries)-1].(entry.Sighting); ok { // "fittings were loose, tightened them"
		d.objects = []object{{Point: entry.Point{Element: s.Element, Number: s.Number, Room: s.Room}}}
		d.At = s.At
		return
	}
	a, ok := t.entries[len(t.entries)-1].(entry.Action)
	if !ok || a.Action == "removed" || a.Action == "swapped" {
		return
	}
	d.objects = []object{{Point: entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}, quantity: a.Quantity}}
	d.At = a.At
}

// aims reports a verb that is only of a dish.
func aims(verb string) bool {
	for _, of := range []string{"peak", "aim", "point"} {
		if strings.Contains(verb, of) {
			return true
		}
	}
	return false
}

// put says what putting is: back in, in, or on.
func (d *deed) put() string {
	if len(d.objects) == 0 {
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
