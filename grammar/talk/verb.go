package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

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
