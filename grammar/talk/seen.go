package talk

import (
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// What is seen of a part, and what the people of the house notice.

func (t *talker) seen() bool {
	looks := ""
	if t.take(vocab.Found) && t.last().Means() == "looks" {
		looks = t.last().Row.Say
	}
	start := t.i
	if t.is(vocab.Looked) && t.isAt(t.i+1, vocab.Element, vocab.Cable, vocab.Bolt, vocab.Ends) {
		start++ // "checked the fitting, it's loose"
		t.i++
	}
	for _, read := range []func(*entry.Sighting) bool{t.conditionFirst, t.stuffIn, t.noWire, t.partFirst, t.inTheWay} {
		s := entry.Sighting{Remark: looks}
		if read(&s) && s.Element != "" && s.Condition != "" {
			if t.whereSeen(&s); t.atEnd() {
				t.entries = append(t.entries, s)
				return true
			}
		}
		t.i = start
	}
	return false
}

// seeCondition puts a word for what is seen into the sighting; a word that is not
// the condition's own name stays in the remark.
func seeCondition(s *entry.Sighting, k *lex.Token) {
	s.Condition = k.Means()
	if say := k.Row.Say; !strings.HasPrefix(s.Condition, say) && say != "water" {
		s.Remark = entry.List(s.Remark, say)
	}
	switch {
	case s.Condition == "dented" && (s.Element == entry.Cable || s.Element == entry.Jumper):
		s.Condition = "kinked" // a bent cable
	case s.Condition == "kinked" && (s.Element == entry.Dish || s.Element == entry.Mount):
		s.Condition = "dented" // a twisted dish
	case s.Condition == "cut" && k.Row.Chat && s.Element != entry.Cable && s.Element != entry.Jumper && s.Element != entry.GroundWire:
		s.Condition = "" // a broken fitting may be anything
	}
}

func seePart(s *entry.Sighting, o object) {
	s.Element, s.Number, s.Room = o.Element, o.Number, o.Room
	if o.of != nil { // "both ends of the jumper"
		s.At = o.of
	}
	if o.quantity > 1 {
		s.Remark = entry.List(s.Remark, strconv.Itoa(o.quantity)+" of them")
	}
	s.Remark = entry.List(s.Remark, o.remark, strings.ToUpper(o.cable))
}

// conditionFirst: "corroded fitting at the ground block".
func (t *talker) conditionFirst(s *entry.Sighting) bool {
	t.degree(s)
	if !t.is(vocab.Condition) {
		return false
	}
	k := &t.toks[t.i]
	t.i++
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	seeCondition(s, k)
	return true
}

// partFirst: "the cable is cut", "dish has a dent", "ground block is missing".
func (t *talker) partFirst(s *entry.Sighting) bool {
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	if t.is(vocab.At, vocab.On, vocab.Behind) { // "cable at the wall plate is cut"
		t.take(vocab.At, vocab.On)
		p, ok := t.point()
		if !ok {
			return false
		}
		s.At = &p.Point
	}
	if t.is(vocab.Has, vocab.No) && s.Element.InPath() {
		i := t.i
		t.take(vocab.Has)
		at := entry.Point{Element: s.Element, Number: s.Number, Room: s.Room}
		if t.noWire(s) {
			s.Number, s.Room, s.At = 0, "", &at
			return true
		}
		t.i = i
	}
	if t.take(vocab.Has) {
		if t.is(vocab.Degree, vocab.Old) && t.isAt(t.i+1, vocab.Stuff) {
			s.Remark = entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
		}
		if !t.take(vocab.Stuff) {
			return false
		}
		seeCondition(s, t.last())
		if t.is(vocab.In, vocab.On) && !t.startsPlace(t.i+1) {
			t.i++
		}
		return true
	}
	if t.is(vocab.Side) && t.isAt(t.i+1, vocab.Condition) {
		s.At = &entry.Point{Element: s.Element, Number: s.Number, Side: entry.Side(t.toks[t.i].Means())}
		t.i++
	}
	if t.degree(s); !t.take(vocab.Condition) {
		return false
	}
	seeCondition(s, t.last())
	return true
}

// degree takes how much it is seen: "badly corroded".
func (t *talker) degree(s *entry.Sighting) {
	if t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Condition) {
		s.Remark = entry.List(s.Remark, t.toks[t.i].Row.Say)
		t.i++
	}
}

// noWire: "no ground wire on the ground block". Of no other part does it say
// that one is missing: there may never have been one.
func (t *talker) noWire(s *entry.Sighting) bool {
	if !t.is(vocab.No) || !t.isAt(t.i+1, vocab.Element) || t.toks[t.i+1].Means() != string(entry.GroundWire) {
		return false
	}
	s.Element, s.Condition = entry.GroundWire, "missing"
	t.i += 2
	return true
}

// stuffIn: "water in the connector at the wall plate", "staples through the
// cable".
func (t *talker) stuffIn(s *entry.Sighting) bool {
	how := ""
	if t.is(vocab.Verdict, vocab.Degree, vocab.Old) && t.isAt(t.i+1, vocab.Stuff) { // "bad corrosion"
		if how = t.toks[t.i].Row.Say; t.is(vocab.Verdict) && t.toks[t.i].Means() != string(entry.Fail) {
			return false
		}
		t.i++
	}
	if !t.take(vocab.Stuff) {
		return false
	}
	k := t.last()
	s.Remark = entry.List(s.Remark, how)
	if t.is(vocab.At) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].Means() == string(entry.Receiver) {
		return false
	}
	if !t.take(vocab.In, vocab.On, vocab.At) && !(t.is(vocab.Unknown) && through(t.toks[t.i], t.phrase) && t.take(vocab.Unknown)) {
		return false
	}
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	seeCondition(s, k)
	return k.Means() != "blocked" || s.Element == entry.Dish
}

func through(k lex.Token, phrase string) bool {
	switch strings.ToLower(phrase[k.Lo:k.Hi]) {
	case "through", "inside", "into", "all", "under":
		return true
	}
	return false
}

// inTheWay: "trees in the way", "a branch is blocking the dish".
func (t *talker) inTheWay(s *entry.Sighting) bool {
	if !t.is(vocab.Stuff) || t.toks[t.i].Means() != "blocked" {
		return false
	}
	rest := strings.ToLower(t.words(t.i+1, len(t.toks)))
	for _, growing := range []string{"has ", "have ", "is ", "are ", "been ", "grown ", "growing ", "grew ", "hanging ", "hang ", "up ", "out ", "down ", "right ", "way "} {
		rest = strings.TrimPrefix(rest, growing)
	}
	for _, said := range []string{"in the way", "in front of the dish", "blocking the dish", "in the way of the dish", "are in the way", "is in the way", "is blocking the dish", "are blocking the dish", "in front of dish", "blocking dish", "over the dish", "grown over the dish", "grew over the dish", "grown in front of the dish", "across the dish", "over dish", "across the front of the dish", "of the dish", "blocks the dish", "block the dish", "covering the dish", "covers the dish", "shading the dish"} {
		if rest == said {
			s.Element, s.Condition, s.Remark = entry.Dish, "blocked", t.toks[t.i].Row.Say
			t.i = len(t.toks)
			return true
		}
	}
	return false
}

// whereSeen takes the place of what was seen; a place that is none of the path
// stays in the remark, in the words said.
func (t *talker) whereSeen(s *entry.Sighting) {
	if t.take(vocab.Still) {
		s.Remark = entry.List(s.Remark, "still")
	}
	if t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].Means() == string(entry.Fail) && !t.toks[t.i+1].Brk { // "corroded pretty bad"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
		t.i += 2
	}
	if t.is(vocab.By) && t.isAt(t.i+1, vocab.Agent) { // "cut by the mower"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
		t.i += 2
	}
	if (t.is(vocab.At, vocab.On, vocab.Behind, vocab.In, vocab.From) || t.is(vocab.By, vocab.Particle) && t.isAt(t.i+1, vocab.Element)) && s.At == nil {
		i := t.i
		t.take(vocab.At, vocab.On, vocab.From, vocab.By)
		if t.is(vocab.Particle) && t.toks[t.i].Row.Say == "off" { // "missing off the ground block"
			t.i++
		}
		if p, ok := t.point(); ok && p.Which == "" && t.atEnd() {
			if p.Element == "" && p.Side == "" {
				s.Room = entry.OrElse(s.Room, p.Room)
			} else {
				s.At = &p.Point
			}
			return
		}
		t.i = i
	}
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() && t.i-i < mostPlaceWords && t.is(vocab.Unknown, vocab.Room, vocab.In, vocab.On, vocab.At, vocab.Behind, vocab.Numbered, vocab.Side, vocab.Floor, vocab.By, vocab.Element, vocab.To, vocab.From, vocab.Between, vocab.Particle, vocab.Cable, vocab.Index, vocab.Force, vocab.Facet) {
		t.i++
	}
	if said := t.words(i, t.i); said != "" && startsPreposition(said) && !lex.Turns(said) {
		s.Remark = entry.List(s.Remark, said)
		return
	}
	t.i = i
}

// mostPlaceWords is how many words of one's own say where something was seen.
const mostPlaceWords = 6

func startsPreposition(said string) bool {
	first, rest, _ := strings.Cut(strings.ToLower(said), " ")
	switch first {
	case "under", "near", "by", "above", "below", "beside", "along", "over", "outside", "inside", "where", "next", "in", "on", "at", "behind", "around", "up", "down", "underneath", "beneath":
		return rest != ""
	}
	return false
}
