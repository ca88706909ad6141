package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// harmed reads who did harm to a part: "squirrels chewed clean through the
// coax", "a window is pinching the cable", "somebody ran a staple through the
// cable". Who it was, and how, stays in the remark.
func (t *talker) harmed() bool {
	var s entry.Sighting
	if t.is(vocab.Found) && t.toks[t.i].Means() == "looks" && t.isAt(t.i+1, vocab.Agent) {
		s.Remark = t.toks[t.i].Row.Say
		t.i++
	}
	if !t.is(vocab.Agent, vocab.Role, vocab.Stuff) {
		return false
	}
	if first, _, _ := strings.Cut(strings.TrimSpace(t.skipped(t.i)), " "); first == "have" || first == "has" { // "have squirrels been at it" asks
		return false
	}
	who := &t.toks[t.i]
	if t.i++; who.Class == vocab.Role && who.Means() != "roofer" { // an electrician who cuts a cable works on it
		return false
	}
	got := slices.Contains(strings.Fields(t.skipped(t.i)), "got")
	if t.is(vocab.Stand) && t.toks[t.i].Row.Say == "got to" {
		t.i++
		got = true
	}
	if t.hits() && !t.is(vocab.Stuff) {
		s.Remark = entry.List(who.Row.Say, s.Remark, strings.ToLower(t.words(t.i-1, t.i)))
		return t.harmedInto(s)
	}
	if t.is(vocab.Ran, vocab.Put, vocab.Stand) && who.Class != vocab.Stuff {
		if t.i++; !t.is(vocab.Stuff) {
			return false
		}
	}
	ok := false
	switch {
	case who.Class != vocab.Stuff && t.is(vocab.Stuff):
		ok = t.stuffIn(&s)
	case got && who.Class == vocab.Agent:
		ok = t.gotTo(&s, who.Means())
	default:
		if t.take(vocab.Has, vocab.Was); t.is(vocab.Been) && t.isAt(t.i+1, vocab.At) && who.Class == vocab.Agent && who.Means() != "" { // "squirrels have been at the cable"
			t.i += 2
			ok = t.gotTo(&s, who.Means())
			break
		}
		t.take(vocab.Been)
		ok = t.damage(&s)
	}
	if !ok || s.Element == "" || s.Condition == "" {
		return false
	}
	s.Remark = entry.List(who.Row.Say, s.Remark)
	t.whereSeen(&s)
	t.entries = append(t.entries, s)
	return true
}

// hits takes the verb of a blow. "Knocked" and "drove" lead other statements, and
// are one only here.
func (t *talker) hits() bool {
	if t.is(vocab.Unknown) && strings.EqualFold(t.words(t.i, t.i+1), "knocked") || t.is(vocab.Drove) && t.isAt(t.i+1, vocab.Stuff) {
		t.i++
		return true
	}
	return t.take(vocab.Hits)
}

// harmedInto takes the part that was hit, and what that made of it: "wind knocked
// the LNB loose".
func (t *talker) harmedInto(s entry.Sighting) bool {
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	if seePart(&s, o); !t.take(vocab.Condition) {
		return false
	}
	if seeCondition(&s, t.last()); s.Condition == "" {
		return false
	}
	t.whereSeen(&s)
	t.entries = append(t.entries, s)
	return true
}

// damage takes the harm that was done, how, and to which part.
func (t *talker) damage(s *entry.Sighting) bool {
	if t.degree(s); !t.is(vocab.Condition) {
		return false
	}
	k := &t.toks[t.i]
	if k.Means() == "missing" || k.Means() == "wet" {
		return false
	}
	t.i++
	how := ""
	for t.is(vocab.Through, vocab.Degree, vocab.Particle) {
		how = entry.Join(how, t.toks[t.i].Row.Say)
		t.i++
	}
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	seeCondition(s, k)
	s.Remark = entry.List(s.Remark, how)
	return k.Means() != "blocked" || s.Element == entry.Dish
}

// gotTo takes "got the cable" of what harms in one way: a mower cuts it.
func (t *talker) gotTo(s *entry.Sighting, condition string) bool {
	how := ""
	if t.take(vocab.Through) {
		how = t.last().Row.Say
	}
	t.take(vocab.To)
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 || condition == "" {
		return false
	}
	seePart(s, o)
	s.Condition, s.Remark = condition, entry.List("got", how, s.Remark)
	return condition != "cut" || o.Element == entry.Cable || o.Element == entry.Jumper || o.Element == entry.GroundWire
}

// What was wrong, and what was done about it, said of one part.

// remedied reads a part, that it was bad, and the deed: "the splitter was bad so I
// swapped it out", "found a bad fitting and replaced it". What was bad is no
// reading of now: it stays in the remark of the deed.
func (t *talker) remedied() bool {
	from := t.i
	found := t.take(vocab.Found)
	o, ok := t.part()
	if !ok || len(o.others) > 0 || o.plural && o.Element == entry.Receiver {
		return false
	}
	d := deed{objects: []object{o}}
	for t.is(vocab.At, vocab.On, vocab.Behind, vocab.In) && t.circumstance(&d) {
	}
	if t.take(vocab.Was) {
		found = t.wasBad(o)
	} else {
		found = found && o.remark != ""
	}
	said := t.words(from, t.i)
	if !found || !t.is(vocab.And) && !(t.i < len(t.toks) && t.toks[t.i].Brk) {
		return false
	}
	t.take(vocab.And)
	at := d.At
	d = deed{Action: entry.Action{At: at}}
	if !t.verbs(&d) {
		return false
	}
	t.particle(&d)
	t.oneMore(&d)
	if !d.newOne && !t.pointsBack() {
		return false
	}
	t.particle(&d)
	o.remark = ""
	d.objects = []object{o}
	for t.i < len(t.toks) && t.circumstance(&d) {
	}
	d.Remark = entry.List(said, d.Remark)
	return t.act(&d)
}

// wasBad takes what was wrong with a part.
func (t *talker) wasBad(o object) bool {
	for t.take(vocab.Degree) {
	}
	switch {
	case t.is(vocab.Verdict) && t.toks[t.i].Means() == string(entry.Fail), t.is(vocab.NoSignal, vocab.Condition, vocab.Soft):
	case t.is(vocab.Particle, vocab.Output, vocab.Old) && (o.Element == entry.Dish || t.is(vocab.Old)): // "was off"
		if t.i++; t.is(vocab.Side, vocab.Facet) {
			t.i++
		}
		return true
	case t.is(vocab.Side) && o.Element == entry.Dish && t.isAt(t.i+1, vocab.Facet): // "was out of alignment"
		t.i++
	default:
		return false
	}
	t.i++
	return true
}

// pointsBack reports that the verb just read has "it" or "them" behind it, or
// nothing: what it was done to was said before.
func (t *talker) pointsBack() bool {
	behind := strings.Fields(t.skipped(t.i))
	return t.atEnd() || slices.Contains(behind, "it") || slices.Contains(behind, "them")
}
