package talk

import (
	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// laid reads how much cable lies between two parts: "twenty feet of R G six
// from the ground block to the splitter".
func (t *talker) laid() bool {
	run := entry.PathElement{Element: entry.Cable}
	begin := t.i
	take := func() {
		for t.is(vocab.Length, vocab.Cable, vocab.CableType) {
			switch k := &t.toks[t.i]; k.Class {
			case vocab.Length:
				run.LengthFt = k.Value
			case vocab.CableType:
				run.Cable = k.Means()
			}
			t.i++
		}
	}
	if take(); t.words(t.i, t.i+1) == "goes" || t.words(t.i, t.i+1) == "runs" {
		t.i++
	}
	if !t.take(vocab.From, vocab.Between) {
		return false
	}
	a, ok := t.point()
	if t.i > begin+1 && ok && !run.LengthFt.Said() { // "from the ground block there's fifty feet to the splitter"
		take()
	}
	if !ok || a.Element == "" || !t.take(vocab.To, vocab.And) {
		return false
	}
	b, ok := t.point()
	if !ok || b.Element == "" || a.Which+b.Which != "" || !a.Element.InPath() || !b.Element.InPath() || a.Side == entry.DishSide || b.Side == entry.ReceiverSide && b.Port == 0 {
		return false
	}
	if take(); !run.LengthFt.Said() {
		return false
	}
	t.entries = append(t.entries, entry.Path{Elements: []entry.PathElement{entry.ElementOf(a.Point), run, entry.ElementOf(b.Point)}})
	return true
}
