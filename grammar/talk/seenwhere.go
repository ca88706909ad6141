package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Where on a part, or before the dish, something is seen.

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
	if strings.HasSuffix(strings.ToLower(t.phrase), "lnb") {
		s.Element = entry.LNB
	}
	t.i = len(t.toks)
	return true
}

// inTheWay reports that words say of something that the dish cannot see past it.
func inTheWay(said string) bool {
	for before := ""; before != said; {
		before = said
		for _, growing := range []string{"'s ", "has ", "have ", "is ", "are ", "been ", "grown ", "growing ", "grew ", "hanging ", "hang ", "hangs ", "sticking ", "leaning ", "standing ", "sitting ", "up ", "out ", "down ", "right ", "way ", "smack ", "directly ", "straight ", "now "} {
			said = strings.TrimPrefix(said, growing)
		}
	}
	switch said {
	case "in the way", "in front of the dish", "blocking the dish", "in the way of the dish", "are in the way", "is in the way", "is blocking the dish", "are blocking the dish", "in front of dish", "blocking dish", "over the dish", "grown over the dish", "grew over the dish", "grown in front of the dish", "across the dish", "over dish", "across the front of the dish", "of the dish", "blocks the dish", "block the dish", "covering the dish", "covers the dish", "shading the dish",
		"in the path of the dish", "in the dish's path", "in the line of sight", "into the line of sight", "in the dish's line of sight", "in the line of sight of the dish", "in the way of the signal",
		"blocking the signal", "blocking the line of sight", "blocking the view", "in the signal path", "into the signal path",
		"in front", "in front of", "in front of it", "blocking it", "over it", "blocking the lnb", "in front of the lnb", "over the lnb", "covering the lnb", "across the lnb":
		return true
	}
	return false
}

// lies takes where the stuff is: "in", "all over", "went clean through".
func (t *talker) lies(s *entry.Sighting) bool {
	from := t.i
	how := func(to int) { s.Remark = entry.List(s.Remark, t.words(from, to)) }
	t.take(vocab.Was)
	if t.is(vocab.Been) && t.isAt(t.i+1, vocab.Through, vocab.Lies) { // "water has gotten into"
		t.i++
	}
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
	if t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "bad" && !t.toks[t.i].Brk && t.isAt(t.i-1, vocab.Condition) { // "corroded bad"
		s.Remark = entry.List(s.Remark, "bad")
		t.i++
	}
	if t.is(vocab.By) && t.isAt(t.i+1, vocab.Agent) { // "cut by the mower"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
		t.i += 2
	}
	t.betweenParts(s)
	if t.is(vocab.When) { // "wobbles in the wind"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+1))
		t.i++
	}
	if i := t.i; t.is(vocab.About, vocab.Length) { // "about two feet from the wall plate"
		t.take(vocab.About)
		if t.take(vocab.Length) && t.take(vocab.From) {
			if _, ok := t.end(); ok {
				s.Remark = entry.List(s.Remark, t.words(i, t.i))
				return
			}
		}
		t.i = i
	}
	if k := &t.toks[t.i-1]; t.is(vocab.Particle) && k.Class == vocab.Condition && !t.toks[t.i].Brk && !t.isAt(t.i+1, vocab.Element) && strings.Contains(" up out off down ", " "+t.toks[t.i].Row.Say+" ") { // "all rusted up"
		s.Remark = entry.List(s.Remark, t.words(t.i, t.i+1))
		t.i++
	}
	if k := &t.toks[t.i-1]; s.Element == entry.Fitting && t.is(vocab.Cable) && k.Class == vocab.Condition && strings.HasSuffix(k.Row.Say, " off") { // "fitting came off the cable"
		s.Remark = entry.List(s.Remark, "cable")
		t.i++
	}
	if k := &t.toks[t.i-1]; s.At == nil && t.is(vocab.Element) && k.Class == vocab.Condition && (strings.HasSuffix(k.Row.Say, " off") || strings.HasSuffix(k.Row.Say, " out")) { // "came off the ground block"
		if p, ok := t.point(); ok && p.Which == "" && p.Element.InPath() {
			s.At = &p.Point
		}
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
			case s.Element == entry.Mount && p.Element != entry.Mount && p.Element != entry.Dish && p.Element != entry.LNB: // "the nut is loose on the fitting"
				t.i = i
			case p.Element == "" && s.Element.InPath() && s.Element != entry.Fitting && s.Element != entry.Cable: // "splitter is corroded on output two"
				p.Element, p.Number = s.Element, s.Number
				s.At = &p.Point
			case p.Element != s.Element || p.Side != "": // "lags were loose on the mount"
				s.At = &p.Point
			default:
				s.Room, s.Number = entry.OrElse(s.Room, p.Room), max(s.Number, p.Number)
			}
			return
		}
		t.i = i
	}
	i := t.i
	for t.i < len(t.toks) && !t.atEnd() && t.i-i < mostPlaceWords && t.is(vocab.Unknown, vocab.Room, vocab.In, vocab.On, vocab.At, vocab.Behind, vocab.Numbered, vocab.Side, vocab.Floor, vocab.By, vocab.Element, vocab.To, vocab.From, vocab.Between, vocab.Particle, vocab.Cable, vocab.Index, vocab.Force, vocab.Facet, vocab.Agent, vocab.Through, vocab.Degree, vocab.Ends, vocab.Output) {
		t.i++
	}
	of := i > 0 && t.isAt(i, vocab.Unknown) && t.isAt(i-1, vocab.Condition) && strings.HasSuffix(t.toks[i-1].Row.Say, " out") && strings.HasPrefix(strings.TrimSpace(t.skipped(i)), "of") // "is pulled out of the roof"
	if said := t.words(i, t.i); said != "" && (of || startsPreposition(said)) && !strays(said) {
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

func startsPreposition(said string) bool {
	first, rest, _ := strings.Cut(strings.ToLower(said), " ")
	switch first {
	case "to", "against", "under", "near", "by", "above", "below", "beside", "along", "over", "outside", "inside", "where", "next", "in", "on", "at", "behind", "around", "up", "down", "underneath", "beneath", "away", "across", "through", "clear", "past", "from":
		return rest != ""
	}
	return false
}

// betweenParts takes "between the splitter and the wall plate" of a cable, in
// the words said.
func (t *talker) betweenParts(s *entry.Sighting) {
	from := t.i
	if s.Element != entry.Cable && s.Element != entry.Jumper || !t.take(vocab.Between, vocab.From) {
		return
	}
	a, ok := t.end()
	if ok && t.take(vocab.And, vocab.To) {
		if b, also := t.end(); also && a != b {
			s.Remark = entry.List(s.Remark, t.words(from, t.i))
			return
		}
	}
	t.i = from
}
