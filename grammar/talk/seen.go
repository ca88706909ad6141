package talk

import (
	"slices"
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
	if t.is(vocab.Was) && strings.HasSuffix(strings.TrimSpace(t.skipped(t.i)), "there") { // "there was water in the barrel"
		t.i++
	}
	start := t.i
	if t.is(vocab.Looked) && t.isAt(t.i+1, vocab.Element, vocab.Cable, vocab.Bolt, vocab.Ends) {
		start++ // "checked the fitting, it's loose"
		t.i++
	}
	for _, read := range []func(*entry.Sighting) bool{t.conditionFirst, t.stuffIn, t.noWire, t.partFirst, t.inTheWay} {
		s := entry.Sighting{Remark: looks}
		if read(&s) && s.Element != "" && s.Condition != "" {
			more := t.andConditions(&s)
			if t.whereSeen(&s); t.atEnd() {
				t.entries = append(t.entries, s)
				for _, m := range more {
					m.At, m.Room = s.At, s.Room
					t.entries = append(t.entries, m)
				}
				return true
			}
		}
		t.i = start
	}
	return t.andStuff()
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
	if t.i++; t.is(vocab.In) && t.toks[t.i].Row.Say == "inside" && t.isAt(t.i+1, vocab.Element) { // "it's green inside the connector"
		s.Remark = entry.List(s.Remark, "inside")
		t.i++
	}
	if usesUp(k) && (strings.HasSuffix(k.Row.Say, "through") || t.isAt(t.i, vocab.Count, vocab.Figure, vocab.Digit, vocab.Length)) || k.Means() != "missing" && s.Remark != "inside" && slices.Contains(strings.Fields(t.skipped(t.i)), "the") { // "cut the cable" may be a deed
		return false
	}
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	seeCondition(s, k)
	return true
}

// usesUp reports words that may also say that parts were used: "burned through
// six fittings".
func usesUp(k *lex.Token) bool {
	return (strings.HasSuffix(k.Row.Say, " through") || k.Row.Say == "burned" || k.Row.Say == "burned up") && k.Means() == "burnt"
}

// partFirst: "the cable is cut", "dish has a dent", "ground block is missing".
func (t *talker) partFirst(s *entry.Sighting) bool {
	side := entry.Side("") // "the dish side fitting on the ground block is loose"
	if t.is(vocab.Side) && (t.isAt(t.i+1, vocab.Ends) || t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].Means() == string(entry.Fitting)) && (t.toks[t.i].Means() == string(entry.DishSide) || t.toks[t.i].Means() == string(entry.ReceiverSide)) {
		side = entry.Side(t.toks[t.i].Means())
		t.i++
	}
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	t.betweenParts(s)
	if t.is(vocab.In) && t.isAt(t.i+1, vocab.Room, vocab.Numbered) && s.Room == "" { // "the cable in the attic is chewed"
		var p pointParts
		t.i++
		t.room(&p)
		s.Room = p.Room
	}
	if t.is(vocab.At, vocab.On, vocab.Behind) { // "cable at the wall plate is cut"
		t.take(vocab.At, vocab.On)
		p, ok := t.point()
		if !ok {
			return false
		}
		if s.At != nil { // "the splitter connector at the wall plate"
			s.Remark = entry.List(s.Remark, "of the "+entry.SayPoint(*s.At))
		}
		s.At = &p.Point
	}
	if side != "" {
		if s.At == nil || s.At.Side != "" {
			return false
		}
		s.At.Side = side
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
	if t.is(vocab.With) && t.isAt(t.i+1, vocab.Condition) && strings.HasSuffix(t.toks[t.i+1].Row.Say, " it") { // "wall plate with water in it"
		t.i++
	}
	if t.take(vocab.Has, vocab.With) || t.is(vocab.Been) && t.toks[t.i].Row.Say == "had" && t.take(vocab.Been) || t.is(vocab.Stuff) && strings.Contains(t.skipped(t.i), "got") {
		if t.is(vocab.Degree, vocab.Old) && t.isAt(t.i+1, vocab.Stuff) {
			s.Remark = entry.List(s.Remark, t.toks[t.i].Row.Say)
			t.i++
		}
		if !t.take(vocab.Stuff) {
			return false
		}
		from := t.i
		seeCondition(s, t.last())
		if t.onIt(); t.i > from && !t.isAt(from, vocab.In, vocab.On, vocab.Tail) {
			s.Remark = entry.List(s.Remark, t.words(from, t.i))
		}
		return true
	}
	if t.is(vocab.Output) && t.isAt(t.i+1, vocab.Index) && t.isAt(t.i+2, vocab.Condition, vocab.Was, vocab.Degree) && s.At == nil { // "splitter output two is corroded"
		s.At = &entry.Point{Element: s.Element, Number: s.Number, Side: entry.ReceiverSide, Port: t.number(&t.toks[t.i+1])}
		t.i += 2
	}
	if t.is(vocab.Unplugged) && t.toks[t.i].Row.Say == "unplugged" && t.saysIs(t.i) && (s.Element == entry.Cable || s.Element == entry.Jumper || s.Element == entry.Fitting) {
		s.Condition, s.Remark = "loose", entry.List(s.Remark, "unplugged")
		t.i++
		return true
	}
	if t.is(vocab.Side) && t.isAt(t.i+1, vocab.Condition) {
		s.At = &entry.Point{Element: s.Element, Number: s.Number, Side: entry.Side(t.toks[t.i].Means())}
		t.i++
	}
	if t.is(vocab.Was) && strings.Contains(o.remark, "old") { // "the old cable was cut" is of one that is gone
		return false
	}
	t.take(vocab.Was)
	if t.degree(s); !t.take(vocab.Condition) {
		return false
	}
	if t.last().Means() == "missing" && t.is(vocab.Element) && t.toks[t.i].Means() == string(entry.GroundWire) && s.Element.InPath() { // "ground block is missing its ground wire"
		s.At = &entry.Point{Element: s.Element, Number: s.Number, Room: s.Room}
		s.Element, s.Number, s.Room, s.Condition = entry.GroundWire, 0, "", "missing"
		t.i++
		return true
	}
	if o.piece && t.last().Means() == "missing" {
		return false // the cap of an LNB may be missing, and the LNB be there
	}
	if t.last().Row.Say == "gone" && o.Element == entry.Cable && o.length.Said() {
		return t.missing("was that cable used, or is it missing? Say: used thirty five feet of cable, or: cable is missing")
	}
	seeCondition(s, t.last())
	return true
}

// degree takes how much it is seen: "badly corroded".
func (t *talker) degree(s *entry.Sighting) {
	i := t.i
	for t.isAt(i, vocab.Degree) || t.isAt(i, vocab.Found) && t.toks[i].Means() == "looks" || t.isAt(i, vocab.Some) && t.toks[i].Row.Say == "all" {
		i++
	}
	if i > t.i && t.isAt(i, vocab.Condition) {
		s.Remark = entry.List(s.Remark, t.words(t.i, i))
		t.i = i
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
	if t.is(vocab.Verdict, vocab.Degree, vocab.Old, vocab.Some, vocab.Count) && t.isAt(t.i+1, vocab.Stuff) && !(t.is(vocab.Some) && t.toks[t.i].Means() != string(entry.WhichAll)) { // "bad corrosion"
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
	if !t.lies(s) {
		return false
	}
	o, ok := t.part()
	if !ok || o.fresh || len(o.others) > 0 {
		return false
	}
	seePart(s, o)
	seeCondition(s, k)
	return k.Means() != "blocked" || s.Element == entry.Dish || s.Element == entry.LNB
}

// mostPlaceWords is how many words of one's own say where something was seen.
const mostPlaceWords = 6
