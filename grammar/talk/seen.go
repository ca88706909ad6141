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

// andConditions takes further conditions of a part: "rusted and loose". Those of
// one meaning are one sighting.
func (t *talker) andConditions(s *entry.Sighting) []entry.Sighting {
	var more []entry.Sighting
	for t.is(vocab.And) {
		i := t.i
		t.i++
		next := entry.Sighting{Element: s.Element, Number: s.Number, Room: s.Room, Assumed: s.Assumed}
		t.take(vocab.Was)
		if t.degree(&next); !t.take(vocab.Condition) {
			t.i = i
			break
		}
		k := t.last()
		if seeCondition(&next, k); next.Condition == "" || t.is(vocab.Element, vocab.Cable, vocab.Bolt) { // of another part
			t.i = i
			break
		}
		if next.Condition == s.Condition {
			s.Remark = entry.List(s.Remark, entry.OrElse(next.Remark, k.Row.Say))
			continue
		}
		more = append(more, next)
	}
	return more
}

// andStuff reads what else is found on the part just seen: "dish is dinged up,
// got a dent on the bottom lip". What is of the same meaning adds to its remark.
func (t *talker) andStuff() bool {
	n := len(t.entries)
	if n == 0 {
		return false
	}
	s, ok := t.entries[n-1].(entry.Sighting)
	if !ok {
		return false
	}
	next := entry.Sighting{Element: s.Element, Number: s.Number, Room: s.Room, At: s.At}
	from := t.i
	if t.take(vocab.Has); !t.is(vocab.Stuff) {
		t.degree(&next)
	}
	if !t.take(vocab.Stuff) {
		return false
	}
	if seeCondition(&next, t.last()); next.Condition != s.Condition && !(t.i-from > 1 || strings.Contains(t.skipped(from), "got")) {
		return false
	}
	if t.whereSeen(&next); !t.atEnd() {
		return false
	}
	if next.Condition == s.Condition {
		s.Remark = entry.List(s.Remark, t.words(from, t.i))
		t.entries = append(t.entries[:n-1:n-1], s)
		return true
	}
	t.entries = append(t.entries, next)
	return true
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
	if usesUp(k) || k.Means() != "missing" && s.Remark != "inside" && slices.Contains(strings.Fields(t.skipped(t.i)), "the") { // "cut the cable" may be a deed
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
	return strings.HasSuffix(k.Row.Say, " through") && k.Means() == "burnt"
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
	if t.is(vocab.Was) && strings.Contains(o.remark, "old") { // "the old cable was cut" is of one that is gone
		return false
	}
	t.take(vocab.Was)
	if t.degree(s); !t.take(vocab.Condition) {
		return false
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
	for t.isAt(i, vocab.Degree) || t.isAt(i, vocab.Some) && t.toks[i].Row.Say == "all" {
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

// lies takes where the stuff is: "in", "all over", "went clean through".
func (t *talker) lies(s *entry.Sighting) bool {
	from := t.i
	how := func(to int) { s.Remark = entry.List(s.Remark, t.words(from, to)) }
	t.take(vocab.Was)
	switch {
	case t.is(vocab.Used) && t.toks[t.i].Row.Say == "went through":
		t.i++
		how(t.i)
		return true
	case t.is(vocab.Condition) && t.isAt(t.i+1, vocab.Through) && (t.toks[t.i].Means() == "missing" || t.toks[t.i].Means() == "wet"): // "gone through", "dripping through"
		t.i++
	case t.is(vocab.Lies), t.is(vocab.Sits) && t.toks[t.i].Row.Say == "sitting in":
		if t.i++; strings.HasSuffix(t.last().Row.Say, " of") || strings.HasSuffix(t.last().Row.Say, " in") && !t.is(vocab.In, vocab.Through) {
			how(t.i)
			return true
		}
	case t.is(vocab.Side) && (t.toks[t.i].Row.Say == "coming out of" || t.toks[t.i].Row.Say == "out of") || t.is(vocab.Condition) && t.isAt(t.i+1, vocab.Side) && t.toks[t.i+1].Row.Say == "out of":
		for t.is(vocab.Condition, vocab.Side) {
			t.i++
		}
		how(t.i)
		return true
	case t.is(vocab.Runs, vocab.Ran, vocab.Put):
		if t.i++; !t.is(vocab.Through) {
			return false
		}
	}
	if t.take(vocab.Through) || t.is(vocab.Some) && t.isAt(t.i+1, vocab.Particle) && t.words(t.i, t.i+2) == "all over" {
		if t.last().Class != vocab.Through {
			t.i += 2
		}
		how(t.i)
		return true
	}
	if t.is(vocab.In, vocab.On, vocab.At) {
		if t.i > from {
			how(t.i)
		}
		t.i++
		return true
	}
	return false
}

// inTheWay: "trees in the way", "a branch is blocking the dish".
func (t *talker) inTheWay(s *entry.Sighting) bool {
	from := t.i
	for t.is(vocab.Degree, vocab.Old, vocab.New) {
		t.i++
	}
	if !t.is(vocab.Stuff) || t.toks[t.i].Means() != "blocked" {
		return false
	}
	if !inTheWay(strings.ToLower(t.words(t.i+1, len(t.toks)))) {
		return false
	}
	s.Element, s.Condition, s.Remark = entry.Dish, "blocked", t.words(from, t.i+1)
	t.i = len(t.toks)
	return true
}

// inTheWay reports that words say of something that the dish cannot see past it.
func inTheWay(said string) bool {
	for _, growing := range []string{"has ", "have ", "is ", "are ", "been ", "grown ", "growing ", "grew ", "hanging ", "hang ", "up ", "out ", "down ", "right ", "way "} {
		said = strings.TrimPrefix(said, growing)
	}
	switch said {
	case "in the way", "in front of the dish", "blocking the dish", "in the way of the dish", "are in the way", "is in the way", "is blocking the dish", "are blocking the dish", "in front of dish", "blocking dish", "over the dish", "grown over the dish", "grew over the dish", "grown in front of the dish", "across the dish", "over dish", "across the front of the dish", "of the dish", "blocks the dish", "block the dish", "covering the dish", "covers the dish", "shading the dish",
		"in the path of the dish", "in the dish's path", "in the line of sight", "into the line of sight", "in the dish's line of sight", "in the line of sight of the dish", "in the way of the signal",
		"blocking the signal", "blocking the line of sight", "blocking the view", "in the signal path", "into the signal path":
		return true
	}
	return false
}

// whereSeen takes the place of what was seen; a place that is none of the path
// stays in the remark, in the words said.
func (t *talker) whereSeen(s *entry.Sighting) {
	if t.take(vocab.Still) {
		s.Remark = entry.List(s.Remark, "still")
	}
	if t.is(vocab.In) && t.toks[t.i].Row.Say == "inside" && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk || t.isAt(t.i+1, vocab.And)) { // "soaking wet inside"
		s.Remark = entry.List(s.Remark, "inside")
		t.i++
	}
	if t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].Means() == string(entry.Fail) && !t.toks[t.i+1].Brk { // "corroded pretty bad"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
		t.i += 2
	}
	if t.is(vocab.By) && t.isAt(t.i+1, vocab.Agent) { // "cut by the mower"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
		t.i += 2
	}
	if t.is(vocab.With) && t.isAt(t.i+1, vocab.Agent, vocab.Item, vocab.Stuff) { // "cut with a shovel"
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
			switch {
			case p.Element == "" && p.Side == "":
				s.Room = entry.OrElse(s.Room, p.Room)
			case p.Element != s.Element || p.Side != "": // "lags were loose on the mount"
				s.At = &p.Point
			}
			return
		}
		t.i = i
	}
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() && t.i-i < mostPlaceWords && t.is(vocab.Unknown, vocab.Room, vocab.In, vocab.On, vocab.At, vocab.Behind, vocab.Numbered, vocab.Side, vocab.Floor, vocab.By, vocab.Element, vocab.To, vocab.From, vocab.Between, vocab.Particle, vocab.Cable, vocab.Index, vocab.Force, vocab.Facet, vocab.Agent, vocab.Through) {
		t.i++
	}
	if said := t.words(i, t.i); said != "" && startsPreposition(said) && !strays(said) {
		s.Remark = entry.List(s.Remark, said)
		return
	}
	t.i = i
}

// strays reports that words take back what stands before them, or are of another
// house, job or time.
func strays(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(said)) {
		switch strings.TrimRight(strings.NewReplacer("'", "", "’", "").Replace(w), ".,;s") {
		case "neighbor", "neighbour", "someday", "sometime", "eventually", "week", "month", "year", "visit", "job", "day", "or", "nextdoor":
			return true
		}
	}
	return lex.Turns(said) || strings.Contains(strings.ToLower(said), "next door")
}

// mostPlaceWords is how many words of one's own say where something was seen.
const mostPlaceWords = 6

func startsPreposition(said string) bool {
	first, rest, _ := strings.Cut(strings.ToLower(said), " ")
	switch first {
	case "to", "against", "under", "near", "by", "above", "below", "beside", "along", "over", "outside", "inside", "where", "next", "in", "on", "at", "behind", "around", "up", "down", "underneath", "beneath", "away", "across", "through", "clear", "past":
		return rest != ""
	}
	return false
}
