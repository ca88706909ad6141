package grammar

import (
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What is seen of a part, and what the people of the house notice.

func (t *talker) seen() bool {
	looks := ""
	if t.take(vocab.Found) && t.last().means() == "looks" {
		looks = t.last().row.Say
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
func seeCondition(s *entry.Sighting, k *token) {
	s.Condition = k.means()
	if say := k.row.Say; !strings.HasPrefix(s.Condition, say) && say != "water" {
		s.Remark = entry.List(s.Remark, say)
	}
	switch {
	case s.Condition == "dented" && (s.Element == entry.Cable || s.Element == entry.Jumper):
		s.Condition = "kinked" // a bent cable
	case s.Condition == "kinked" && (s.Element == entry.Dish || s.Element == entry.Mount):
		s.Condition = "dented" // a twisted dish
	case s.Condition == "cut" && k.row.Chat && s.Element != entry.Cable && s.Element != entry.Jumper && s.Element != entry.GroundWire:
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
			s.Remark = entry.List(s.Remark, t.toks[t.i].row.Say)
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
		s.At = &entry.Point{Element: s.Element, Number: s.Number, Side: entry.Side(t.toks[t.i].means())}
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
		s.Remark = entry.List(s.Remark, t.toks[t.i].row.Say)
		t.i++
	}
}

// noWire: "no ground wire on the ground block". Of no other part does it say
// that one is missing: there may never have been one.
func (t *talker) noWire(s *entry.Sighting) bool {
	if !t.is(vocab.No) || !t.isAt(t.i+1, vocab.Element) || t.toks[t.i+1].means() != string(entry.GroundWire) {
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
		if how = t.toks[t.i].row.Say; t.is(vocab.Verdict) && t.toks[t.i].means() != string(entry.Fail) {
			return false
		}
		t.i++
	}
	if !t.take(vocab.Stuff) {
		return false
	}
	k := t.last()
	s.Remark = entry.List(s.Remark, how)
	if t.is(vocab.At) && t.isAt(t.i+1, vocab.Element) && t.toks[t.i+1].means() == string(entry.Receiver) {
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
	return k.means() != "blocked" || s.Element == entry.Dish
}

func through(k token, phrase string) bool {
	switch strings.ToLower(phrase[k.lo:k.hi]) {
	case "through", "inside", "into", "all", "under":
		return true
	}
	return false
}

// inTheWay: "trees in the way", "a branch is blocking the dish".
func (t *talker) inTheWay(s *entry.Sighting) bool {
	if !t.is(vocab.Stuff) || t.toks[t.i].means() != "blocked" {
		return false
	}
	rest := strings.ToLower(t.words(t.i+1, len(t.toks)))
	for _, growing := range []string{"has ", "have ", "is ", "are ", "been ", "grown ", "growing ", "grew ", "hanging ", "hang ", "up ", "out ", "down ", "right ", "way "} {
		rest = strings.TrimPrefix(rest, growing)
	}
	for _, said := range []string{"in the way", "in front of the dish", "blocking the dish", "in the way of the dish", "are in the way", "is in the way", "is blocking the dish", "are blocking the dish", "in front of dish", "blocking dish", "over the dish", "grown over the dish", "grew over the dish", "grown in front of the dish", "across the dish", "over dish", "across the front of the dish", "of the dish", "blocks the dish", "block the dish", "covering the dish", "covers the dish", "shading the dish"} {
		if rest == said {
			s.Element, s.Condition, s.Remark = entry.Dish, "blocked", t.toks[t.i].row.Say
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
	if t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].means() == string(entry.Fail) && !t.toks[t.i+1].brk { // "corroded pretty bad"
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
		if t.is(vocab.Particle) && t.toks[t.i].row.Say == "off" { // "missing off the ground block"
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
	if said := t.words(i, t.i); said != "" && startsPreposition(said) && !turns(said) {
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

// turns reports that words take back, or make depend, what stands before them.
func turns(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(strings.NewReplacer(",", " ", "'", "", "’", "").Replace(said))) {
		switch w {
		case "if", "unless", "should", "could", "would", "might", "may", "maybe", "perhaps", "probably", "think", "guess", "suppose", "supposed", "was", "were", "wasnt", "werent",
			"yesterday", "tomorrow", "will", "wont", "said", "says", "told", "claims", "until", "when", "last", "ago", "before", "anymore", "later", "soon", "almost", "nearly", "but", "though", "except":
			return true
		}
	}
	return false
}

// noticed reads a symptom, when it comes and where it shows, in any order.
func (t *talker) noticed() bool {
	var s entry.Symptom
	for t.i < len(t.toks) {
		switch {
		case t.take(vocab.Subject):
		case t.is(vocab.Symptom) && s.Symptom == "":
			s.Symptom = t.toks[t.i].means()
			t.i++
		case t.is(vocab.NoSignal) && s.Symptom == "" && (t.isAt(t.i+1, vocab.When) || s.When != ""): // "loses signal when it storms"
			s.Symptom, s.Remark = "dropouts", entry.List(s.Remark, t.toks[t.i].row.Say)
			t.i++
		case t.is(vocab.When) && s.When == "":
			s.When = t.toks[t.i].means()
			t.i++
		case t.is(vocab.Degree, vocab.Force) && s.Symptom != "" && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].row.Say == "bad": // "pixelates real bad"
			s.Remark = entry.List(s.Remark, t.words(t.i, t.i+2))
			t.i += 2
		case t.is(vocab.Still), t.is(vocab.Degree, vocab.Force) && s.Symptom != "":
			s.Remark = entry.List(s.Remark, t.toks[t.i].row.Say)
			t.i++
		case t.is(vocab.On) && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit) && s.Point == nil:
			s.Point = &entry.Point{Element: entry.Receiver, Number: t.number(&t.toks[t.i+1])}
			t.i += 2
		case t.is(vocab.On, vocab.At, vocab.In, vocab.Element, vocab.Room, vocab.Numbered, vocab.Some, vocab.Behind) && s.Point == nil:
			t.take(vocab.On, vocab.At)
			p, ok := t.point()
			if !ok || p.Element != "" && !p.Element.InPath() || p.plural && p.Which == "" {
				return false
			}
			s.Point = &p.Point
		default:
			return t.symptom(&s)
		}
	}
	return t.symptom(&s)
}

func (t *talker) symptom(s *entry.Symptom) bool {
	if s.Symptom == "" {
		return false
	}
	t.entries = append(t.entries, *s)
	return true
}

// Symptoms reads what is noticed out of the free words of a complaint.
func (p *Parser) Symptoms(complaint string) []entry.Symptom {
	t := &talker{l: p.talk(), phrase: complaint}
	t.toks = t.tokens(splitWords(complaint))
	var out []entry.Symptom
	var at *entry.Point
	when := ""
	for t.i = 0; t.i < len(t.toks); {
		k := &t.toks[t.i]
		switch {
		case t.is(vocab.Symptom):
			if t.i == 0 || !t.isAt(t.i-1, vocab.Not, vocab.No) {
				out = append(out, entry.Symptom{Symptom: k.means()})
			}
			t.i++
		case t.is(vocab.When):
			when = k.means()
			t.i++
		case t.is(vocab.Element, vocab.Room, vocab.Numbered):
			start := t.i
			if pt, ok := t.point(); ok && pt.Element == entry.Receiver && pt.Which == "" && at == nil {
				at = &pt.Point
			}
			t.i = max(t.i, start+1)
		default:
			t.i++
		}
	}
	for i := range out {
		out[i].When, out[i].Point = when, at
	}
	return out
}

// checked reads a check in any order: "the input test passes on the bedroom
// box", "receiver one fails the input test", "customer refused education".
func (t *talker) checked() bool {
	var c entry.Check
	t.checkLead(&c)
	also := t.checkList()
	for t.i < len(t.toks) {
		k := &t.toks[t.i]
		switch {
		case t.is(vocab.And) && c.Check != "" && c.Verdict == "" && len(also) == 0 && t.isAt(t.i+1, vocab.Verdict, vocab.Looked): // "ran the input test and it passed"
			t.i++
		case t.is(vocab.Remark) && k.means() == "wired" && c.Check == "outlet" && (c.Verdict == "" || c.Verdict == entry.Pass),
			t.is(vocab.Remark) && k.means() == "sound" && (c.Check == "mount" || c.Check == "dish") && (c.Verdict == "" || c.Verdict == entry.Pass):
			c.Verdict, c.Remark = entry.Pass, entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Remark) && k.means() == "outlet" && c.Check == "" && c.Verdict == "" && t.isAt(t.i+1, vocab.At, vocab.On, vocab.In) && t.isAt(t.i+2, vocab.Check) && t.toks[t.i+2].means() == "outlet": // "open ground at the outlet"
			c.Check, c.Verdict, c.Remark = "outlet", entry.Fail, entry.List(c.Remark, k.row.Say)
			t.i += 3
		case t.is(vocab.Time) && k.means() == "training" && c.Check == "" && c.Verdict == entry.NotApplicable: // "customer didn't want the training"
			c.Check, c.Remark = "education", entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Some) && k.means() != string(entry.WhichOthers) && (len(also) > 0 || k.row.Say == "all" && (c.Check == "components" || c.Check == "cabling")) && c.Check != "" && c.Verdict == "":
			t.i++
		case t.is(vocab.Check, vocab.InputTest) && c.Check == "":
			c.Check = k.means()
			t.i++
		case t.is(vocab.Element) && (k.means() == string(entry.Mount)) && c.Check == "":
			c.Check = string(entry.Mount)
			t.i++
		case t.is(vocab.Element) && k.means() == string(entry.Dish) && c.Check == "" && (c.Verdict == "" && t.isAt(t.i+1, vocab.Verdict, vocab.Done, vocab.NA) || c.Verdict != "" && t.i+1 == len(t.toks)):
			c.Check = string(entry.Dish)
			t.i++
		case t.is(vocab.Verdict, vocab.Done, vocab.NA) && c.Verdict == "":
			c.Verdict = entry.Verdict(k.means())
			t.i++
		case t.is(vocab.Not) && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].means() == string(entry.Pass) && c.Verdict == "":
			c.Verdict = entry.Fail
			t.i += 2
		case t.is(vocab.Remark, vocab.NoSignal) && k.means() != "wired" && k.means() != "sound" && c.Check == "outlet" && c.Verdict == "":
			c.Verdict, c.Remark = entry.Fail, entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Looked) && c.Check != "" && t.isAt(t.i+1, vocab.Verdict, vocab.Degree): // "outlet checks good"
			t.i++
		case t.is(vocab.Condition) && c.Check != "" && c.Verdict == "" && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].means() == string(entry.Fail): // "mount's loose, fail"
			c.Verdict, c.Remark = entry.Fail, entry.List(c.Remark, k.row.Say)
			t.i += 2
		case t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Verdict):
			c.Remark = entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Refused) && c.Verdict == "":
			c.Verdict, c.Remark = entry.NotApplicable, entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Still):
			c.Remark = entry.List(c.Remark, k.row.Say)
			t.i++
		case t.is(vocab.Looked) && c.Check == "" && c.Verdict == "" && c.Point == nil:
			t.i++
		case t.is(vocab.On, vocab.At, vocab.In, vocab.Element, vocab.Room, vocab.Numbered, vocab.Behind, vocab.Some) && c.Point == nil:
			t.take(vocab.On, vocab.At)
			p, ok := t.point()
			if ok && p.Element == entry.Receiver && (p.Which != "" || p.plural) && c.Check == "input_test" && c.Verdict != "" {
				return t.missing("which receiver was tested? Say one at a time, such as: input test pass receiver two")
			}
			if !ok || p.Which != "" || p.plural || p.Element != "" && p.Element != entry.Receiver {
				return false
			}
			c.Point = &p.Point
		default:
			return t.checks(&c, also)
		}
	}
	return t.checks(&c, also)
}

// checkLead takes what may stand before the name of a check: "ran the input
// test", "no problems with the cabling".
func (t *talker) checkLead(c *entry.Check) {
	// What was done before the name of what was looked at.
	switch {
	case t.is(vocab.Ran) && t.toks[t.i].row.Say == "ran" && t.isAt(t.i+1, vocab.Check, vocab.InputTest):
		t.i++
	case t.is(vocab.Unknown, vocab.Done) && t.isAt(t.i+1, vocab.Check, vocab.InputTest):
		switch t.words(t.i, t.i+1) {
		case "did", "performed", "completed":
			t.i++
		}
	case (t.is(vocab.Outcome) && t.toks[t.i].means() == "no_fault_found" || t.is(vocab.Verdict) && t.toks[t.i].row.Say == "no issues") && t.isAt(t.i+1, vocab.With, vocab.On, vocab.In, vocab.At) && (t.isAt(t.i+2, vocab.Check) ||
		t.isAt(t.i+2, vocab.Element) && (t.toks[t.i+2].means() == string(entry.Mount) || t.toks[t.i+2].means() == string(entry.Dish))):
		c.Verdict, c.Remark = entry.Pass, t.toks[t.i].row.Say
		t.i += 2
	}
}

// checkList takes the names before the last of a list of checks: "dish, mount
// and" of "dish, mount and cabling pass".
func (t *talker) checkList() []string {
	start := t.i
	var out []string
	for {
		k := t.i
		switch {
		case t.is(vocab.Check):
		case t.is(vocab.Element) && (t.toks[k].means() == string(entry.Mount) || t.toks[k].means() == string(entry.Dish)):
		default:
			t.i = start
			return nil
		}
		if t.isAt(k+1, vocab.And) {
			t.i += 2
			return append(out, t.toks[k].means())
		}
		if k+1 >= len(t.toks) || !t.toks[k+1].brk {
			t.i = start
			return nil
		}
		out = append(out, t.toks[k].means())
		t.i++
	}
}

// checks makes an entry of each check of a list with the result said for all.
func (t *talker) checks(c *entry.Check, also []string) bool {
	n := len(t.entries)
	for _, name := range also {
		if c.Point != nil || name == c.Check {
			return false
		}
		t.entries = append(t.entries, entry.Check{Check: name, Verdict: c.Verdict, Remark: c.Remark})
	}
	if len(also) > 0 && (c.Verdict == entry.Fail || !t.check(c)) || len(also) == 0 && !t.check(c) {
		return false
	}
	last := t.entries[len(t.entries)-1].(entry.Check)
	return len(also) == 0 || last.Remark == t.entries[n].(entry.Check).Remark
}

func (t *talker) check(c *entry.Check) bool {
	if c.Check == "" || c.Verdict == "" {
		return false
	}
	if c.Check == string(entry.Dish) && t.i < len(t.toks) && !t.toks[t.i].brk && t.is(vocab.Level, vocab.Strength) {
		return false
	}
	t.remarkOf(c)
	t.entries = append(t.entries, *c)
	return true
}

// remarkOf takes the words after a check's result as its remark: to the next
// comma, where they are no statement of their own.
func (t *talker) remarkOf(c *entry.Check) {
	start, n := t.i, len(t.entries)
	if start >= len(t.toks) || t.is(vocab.And) {
		return
	}
	if t.toks[start].brk && t.clause() {
		_, seen := t.entries[n].(entry.Sighting)
		one := len(t.entries) == n+1
		t.i, t.entries = start, t.entries[:n]
		if c.Verdict != entry.Fail || !seen || !one { // what is seen says why the check fails
			return
		}
	}
	t.i, t.err = start+1, nil
	for t.i < len(t.toks) && !t.toks[t.i].brk {
		t.i++
	}
	said := t.words(start, t.i)
	for _, k := range t.toks[start:t.i] {
		if isMeasure(k.class) && k.class != vocab.Polarity && k.class != vocab.For || k.class == vocab.Action || k.class == vocab.Time {
			t.i = start
			return
		}
	}
	if turns(said) && c.Verdict != entry.NotApplicable {
		t.i = start
		return
	}
	c.Remark = entry.List(c.Remark, said)
}
