package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// mostMoveWords is how many words say where a dish was moved.
const mostMoveWords = 8

// movedAbout reads a part that was moved in space, and where to, in the words
// said: "moved the dish three feet to the left".
func (t *talker) movedAbout(d *deed) bool {
	from := t.i
	if d.objects[0].length.Said() {
		return false
	}
	if d.objects[0].Element == entry.Cable && d.objects[0].Room == "" && d.objects[0].Number == 0 { // "moved the cable off the downspout"
		d.verbs[0] = "rerouted"
	}
	for t.i < len(t.toks) && !t.atEnd() && t.i-from < mostMoveWords && !t.is(vocab.Action, vocab.Time, vocab.Condition, vocab.Verdict, vocab.NoSignal, vocab.Level, vocab.Not, vocab.Symptom) {
		t.i++
	}
	said := t.words(from, t.i)
	if d.verbs[0] == "rerouted" && !startsPreposition(said) && !strings.HasPrefix(said, "off ") && !strings.HasPrefix(said, "out ") { // "moved the cable guy"
		return false
	}
	if said == "" && d.At == nil || strays(said) {
		return t.missing("moved to where? Say it, such as: moved the dish three feet to the left")
	}
	d.Remark = entry.List(d.Remark, said)
	return true
}

// branches reads "trimmed some of the branches in front of the dish": it clears
// the way of the dish.
func (t *talker) branches(d *deed) bool {
	from := t.i
	for t.is(vocab.Degree, vocab.Old, vocab.Some, vocab.Count, vocab.Figure, vocab.Digit) || t.is(vocab.Unknown) && isFew(t.words(t.i, t.i+1)) {
		t.i++
	}
	if t.is(vocab.Fed) && strings.HasPrefix(t.toks[t.i].Row.Say, "branches off") { // words of how a receiver hangs, too
		t.i++
		d.objects, d.Remark = []object{{Point: entry.Point{Element: entry.Dish}}}, entry.List(d.Remark, t.words(from, t.i))
		for t.is(vocab.Element) && t.toks[t.i].Means() == string(entry.Dish) || t.is(vocab.Stuff) {
			t.i++
		}
		return true
	}
	if !t.is(vocab.Stuff) || t.toks[t.i].Means() != "blocked" {
		return false
	}
	if falls(t.toks[t.i].Row.Say) { // "cleared the snow off the dish"
		d.verbs[0] = "cleaned"
	}
	t.i++
	d.objects = []object{{Point: entry.Point{Element: entry.Dish}, remark: t.words(from, t.i)}}
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() {
		t.i++
	}
	if d.said == "cut" && i >= len(t.toks) && i == from+1 { // "cut the branches" may be a plan
		return false
	}
	rest := strings.ToLower(t.words(i, t.i))
	for _, way := range []string{"back ", "off ", "down ", "away ", "out "} {
		if cut := strings.TrimPrefix(rest, way); cut != rest && strings.HasPrefix(cut, "from ") {
			rest = cut
		}
	}
	switch {
	case rest == "":
	case inTheWay(rest), slices.Contains([]string{"off the dish", "away from the dish", "from the dish", "from in front of the dish", "around the dish", "hanging over the dish", "near the dish", "above the dish", "out of the way", "back", "off", "away", "down", "off the tree", "off of the tree", "off the dish side", "back off the dish", "back from the dish", "out of there", "back out of the way", "out from in front of the dish"}, rest):
		d.Remark = entry.List(d.Remark, strings.ToLower(t.words(i, t.i)))
	default:
		return false
	}
	return true
}

// isFew reports a word for some of many.
func isFew(w string) bool {
	switch strings.ToLower(w) {
	case "couple", "couple of", "few", "several", "handful", "handful of":
		return true
	}
	return false
}

// falls reports what falls on a dish and is no plant.
func falls(stuff string) bool {
	return strings.Contains(stuff, "snow") || strings.Contains(stuff, "ice") || strings.Contains(stuff, "nest") || strings.Contains(stuff, "web")
}

// stuffAhead reports that branches or the like come from token i on, behind
// words that say how many.
func (t *talker) stuffAhead(i int) bool {
	for t.isAt(i, vocab.Degree, vocab.Some, vocab.Count, vocab.Figure, vocab.Digit) || t.isAt(i, vocab.Unknown) && isFew(t.words(i, i+1)) {
		i++
	}
	return t.isAt(i, vocab.Stuff) && t.toks[i].Means() == "blocked" || t.isAt(i, vocab.Fed) && strings.HasPrefix(t.toks[i].Row.Say, "branches off")
}

// takenOff reads "took a couple of branches off": they were cut.
func (t *talker) takenOff(d *deed) bool {
	if !t.stuffAhead(t.i) {
		return false
	}
	from, pushed, verbs, said := t.i, d.pushed, d.verbs, d.said
	d.pushed, d.verbs, d.said = 0, []string{"trimmed"}, "cut down"
	if t.branches(d) {
		return true
	}
	d.pushed, d.verbs, d.said, t.i = pushed, verbs, said, from
	return false
}

// cutBack reads "branches trimmed", "the tree's been cut back".
func (t *talker) cutBack() bool {
	if !t.stuffAhead(t.i) {
		return false
	}
	from := t.i
	for t.i < len(t.toks) && !t.is(vocab.Stuff) {
		t.i++
	}
	t.i++
	d := deed{objects: []object{{Point: entry.Point{Element: entry.Dish}, remark: t.words(from, t.i)}}}
	t.take(vocab.Has)
	t.take(vocab.Been)
	i := t.i
	switch {
	case t.is(vocab.Action) && t.toks[t.i].Means() == "trimmed":
		t.i++
	case t.is(vocab.Condition) && t.toks[t.i].Row.Say == "cut" && t.isAt(t.i+1, vocab.Particle):
		t.i++
	default:
		return false
	}
	t.take(vocab.Particle)
	d.verbs, d.Remark = []string{"trimmed"}, t.words(i, t.i)
	return t.act(&d)
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
	case d.With == nil && d.To != nil && d.To.Port > 0 && o.Element != "": // "switched the den box to output two"
		d.verbs[0] = "moved"
		return true
	case d.With != nil && d.With.Element == o.Element && (d.With.Number != 0 || d.With.Room != ""):
		return true
	case d.With != nil && d.With.Element != o.Element, d.newOne, d.out:
		d.verbs[0] = "replaced"
		return true
	case o.Element == entry.Receiver:
		return t.missing("swapped with which? Say: swapped receivers one and two, or: replaced receiver two")
	case o.plural && o.Element == entry.Jumper: // with one another, or for new ones
		return t.missing("swapped with which? Say: swapped jumpers one and two, or: replaced jumper two")
	}
	d.verbs[0] = "replaced"
	return true
}
