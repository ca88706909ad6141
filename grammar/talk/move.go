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
	for t.i < len(t.toks) && !t.atEnd() && t.i-from < mostMoveWords && !t.is(vocab.Action, vocab.Time, vocab.Condition, vocab.Verdict, vocab.NoSignal, vocab.Level, vocab.Not, vocab.Symptom) {
		t.i++
	}
	said := t.words(from, t.i)
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
	for t.is(vocab.Degree, vocab.Old, vocab.Some, vocab.Count, vocab.Figure, vocab.Digit) {
		t.i++
	}
	if !t.is(vocab.Stuff) || t.toks[t.i].Means() != "blocked" {
		return false
	}
	t.i++
	d.objects = []object{{Point: entry.Point{Element: entry.Dish}, remark: t.words(from, t.i)}}
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() {
		t.i++
	}
	switch rest := strings.ToLower(t.words(i, t.i)); {
	case rest == "":
	case inTheWay(rest), slices.Contains([]string{"off the dish", "away from the dish", "from the dish", "from in front of the dish", "around the dish", "hanging over the dish", "near the dish", "above the dish", "out of the way", "back", "off", "away"}, rest):
		d.Remark = entry.List(d.Remark, rest)
	default:
		return false
	}
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
	}
	d.verbs[0] = "replaced"
	return true
}
