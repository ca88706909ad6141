package grammar

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// The talker reads what people say in their own words: clause by clause, each
// by its meaning and in any usual order. It runs where the speech grammar does
// not take a phrase. Every token must become part of an entry: what is left
// over makes the phrase one that was not understood.

// newTalkLexicon is the vocabulary of the talker: the table, and the words of
// vocab_talk.go before it. Remarks and troubles that are rows there are read
// word by word here.
func newTalkLexicon(rows []vocab.Row) *lexicon {
	l := &lexicon{kinds: newKindTable()}
	for _, c := range []vocab.Class{vocab.Level, vocab.BareLevel} {
		l.kinds[c].fraction = 2 // "minus forty four point two five"
	}
	l.rows = append(l.rows, vocab.OwnRows()...)
	for _, r := range rows {
		if r.Class != vocab.Remark && r.Class != vocab.Trouble && r.Class != vocab.Filler && r.Class != vocab.Not && r.Class != vocab.DishCheck {
			l.rows = append(l.rows, r)
		}
	}
	for i := range l.rows {
		l.trie.add(&l.rows[i]) // the first row of the same words stays
	}
	return l
}

// talker reads the clauses of one phrase.
type talker struct {
	l       *lexicon
	phrase  string
	toks    []token
	i       int
	entries []entry.Entry
	place   entry.Point // of the reading before, for a side by itself
	bare    bool        // a reading may leave out its place: the tool named one
	err     *Error      // what a clause that was understood lacks
}

// talk reads a phrase; false where some of it is no part of any entry.
func (p *Parser) talkOf(phrase string, words []word, bare bool) ([]entry.Entry, *Error) {
	t := &talker{l: p.talk(), phrase: phrase, bare: bare}
	t.toks = t.tokens(p.toPast(words))
	for t.i < len(t.toks) {
		if t.is(vocab.And) && len(t.entries) > 0 {
			t.i++
			continue
		}
		if !t.clause() {
			return nil, t.err
		}
	}
	return tidy(t.entries), nil
}

// tidy leaves out what the rest of a phrase says as well: where one stands
// before what was measured there, and an outcome said twice.
func tidy(list []entry.Entry) []entry.Entry {
	out := list[:0]
	for i, e := range list {
		switch e := e.(type) {
		case entry.Place:
			if i+1 < len(list) {
				if r, ok := list[i+1].(entry.Reading); ok && r.Point.Element == e.Point.Element && r.Point.Number == e.Point.Number && r.Point.Room == e.Point.Room {
					continue
				}
			}
		case entry.Time: // "gate's locked, can't get in"
			if i > 0 {
				if before, ok := list[i-1].(entry.Time); ok && before.Mark == e.Mark && e.At == "" {
					continue
				}
			}
		case entry.Outcome:
			if i > 0 {
				if o, ok := list[i-1].(entry.Outcome); ok && o.Outcome == e.Outcome && e.When == "" {
					continue
				}
			}
		}
		out = append(out, e)
	}
	return out
}

// tokens are the talker's tokens of a phrase: numbers joined, words without
// meaning gone.
func (t *talker) tokens(words []word) []token {
	raw := t.l.rawTokens(t.phrase, words)
	for i := range raw {
		if raw[i].brk && startsNumber(raw[i].class) && startsNumber(raw[i-1].class) && raw[i-1].class != vocab.Minus {
			raw[i].gap = true
		}
		if raw[i].brk && startsNumber(raw[i].class) && i+1 < len(raw) && isPart(raw[i-1].class) && isPart(raw[i+1].class) {
			raw[i].gap = true // "one ground block, four fittings"
		}
	}
	raw = t.halves(raw)
	out := raw[:0]
	for i := range raw {
		k := raw[i]
		next := cEOF
		if i+1 < len(raw) {
			next = raw[i+1].class
		}
		switch {
		case k.class == vocab.Was && len(out) > 0 && mends(out[0].class) && names(out[len(out)-1].class): // "oops, strength was eighty one"
			continue
		case k.class == vocab.Unknown && points(strings.ToLower(t.phrase[k.lo:k.hi])) && (next == vocab.Element || next == vocab.Old || next == vocab.Cable):
			continue
		case k.class == vocab.Been && (next == vocab.Condition || next == vocab.Symptom):
			continue
		case k.class == vocab.Has && next != vocab.Stuff && next != vocab.New && next != vocab.Degree,
			k.class == vocab.Verdict && (k.row.Say == "okay" || k.row.Say == "ok") && (len(out) == 0 || k.brk && i < len(raw)-1):
			continue
		case k.class == vocab.UnitFeet && k.row.Say == "foot" && (len(out) == 0 || !startsNumber(out[len(out)-1].class)): // "a foot of cable"
			k.class, k.value = vocab.Length, entry.Whole(1)
		case k.class == vocab.Ordinal && k.row.Say == "first" && next != vocab.Element: // "ground block first"
			continue
		case k.class == vocab.Ordinal && next == vocab.Element: // "the second receiver"
			raw[i+1].gap, raw[i+1].brk = k.gap, k.brk
			raw[i], raw[i+1] = raw[i+1], token{class: vocab.Digit, lo: k.lo, hi: k.hi, value: entry.Whole(int64(k.row.Num)), row: k.row}
			k = raw[i]
		}
		out = append(out, k)
	}
	return t.l.joinNumbers(out)
}

// mends reports a word that begins a correction.
func mends(c vocab.Class) bool { return c == vocab.Repair || c == vocab.No || c == vocab.Correct }

// names reports the name of a figure.
func names(c vocab.Class) bool {
	return c == vocab.Strength || c == vocab.MER || c == vocab.Voltage || c == vocab.Slot || c == vocab.Transponder
}

// points reports a word that points at a part: "that splitter".
func points(w string) bool { return w == "that" || w == "this" }

// halves makes "and a half" after a number a point and a five.
func (t *talker) halves(toks []token) []token {
	for i := 1; i+1 < len(toks); i++ {
		and, half := &toks[i], &toks[i+1]
		if and.class != vocab.And || half.row == nil || half.row.Say != "half" || !startsNumber(toks[i-1].class) || and.brk || half.brk {
			continue
		}
		and.class, and.row, and.gap = vocab.Point, nil, false
		half.class, half.row, half.gap, half.value = vocab.Digit, nil, false, entry.Whole(5)
	}
	return toks
}

func (t *talker) is(classes ...vocab.Class) bool { return t.isAt(t.i, classes...) }

func (t *talker) isAt(i int, classes ...vocab.Class) bool {
	if i < 0 || i >= len(t.toks) {
		return false
	}
	for _, c := range classes {
		if t.toks[i].class == c {
			return true
		}
	}
	return false
}

// take consumes a token of a class.
func (t *talker) take(classes ...vocab.Class) bool {
	if !t.is(classes...) {
		return false
	}
	t.i++
	return true
}

// last is the token consumed last.
func (t *talker) last() *token { return &t.toks[t.i-1] }

func (t *talker) number(k *token) int { return int(k.value.Micro() / entry.DecimalScale) }

// clause reads one statement: the first reading by meaning that reaches a
// place where a statement may end.
func (t *talker) clause() bool {
	start, n, place := t.i, len(t.entries), t.place
	for _, read := range []func() bool{
		t.told, t.turn, t.address, t.corrected, t.standing, t.checked, t.taught, t.noticed, t.seen, t.harmed, t.done, t.passive, t.renewed, t.laid, t.hung, t.used, t.shown, t.coded, t.setting, t.driven, t.single,
	} {
		if read() && t.i > start && t.atEnd() {
			for i := n; i < len(t.entries); i++ {
				t.entries[i] = withNotes(t.entries[i], t.toks[start:t.i])
			}
			return true
		}
		t.i, t.entries, t.place = start, t.entries[:n], place
	}
	return false
}

// atEnd reports that a statement may end here.
func (t *talker) atEnd() bool {
	return t.i >= len(t.toks) || t.is(vocab.And) || t.toks[t.i].brk
}

// missing says what a statement that was understood lacks.
func (t *talker) missing(message string) bool {
	if t.err == nil {
		lo := t.toks[min(t.i, len(t.toks)-1)].lo
		t.err = &Error{Message: message, At: lo}
	}
	return false
}

// words are the words of tokens i to j, as typed.
func (t *talker) words(i, j int) string {
	if j = min(j, len(t.toks)); i >= j {
		return ""
	}
	return trimEnd(clean(t.phrase[t.toks[i].lo:t.toks[j-1].hi]))
}

func trimEnd(s string) string { return strings.TrimRight(s, " .,;") }

// laid reads how much cable lies between two parts: "twenty feet of R G six
// from the ground block to the splitter".
func (t *talker) laid() bool {
	run := entry.PathElement{Element: entry.Cable}
	begin := t.i
	take := func() {
		for t.is(vocab.Length, vocab.Cable, vocab.CableType) {
			switch k := &t.toks[t.i]; k.class {
			case vocab.Length:
				run.LengthFt = k.value
			case vocab.CableType:
				run.Cable = k.means()
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

// coded reads a work code with its units before or after it.
func (t *talker) coded() bool {
	var c entry.Code
	if t.take(vocab.UnitCount) {
		c.Units = t.last().value
	}
	if !t.take(vocab.Code) || !t.take(vocab.CodeDigits, vocab.CodeName) {
		return false
	}
	c.Code = entry.OrElse(t.last().text, t.last().means())
	switch {
	case c.Units.Said():
	case t.take(vocab.UnitCount):
		c.Units = t.last().value
	case t.is(vocab.Times) && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit):
		t.i += 2
		c.Units = t.last().value
	}
	t.entries = append(t.entries, c)
	return true
}

// setting reads a limit, the weather or the temperature.
func (t *talker) setting() bool {
	var s entry.Setting
	switch {
	case t.take(vocab.Weather):
		s = entry.Setting{Name: "weather", Text: t.last().means()}
		for t.is(vocab.Force, vocab.Degree, vocab.Output) && !t.toks[t.i].brk {
			s.Remark = entry.List(s.Remark, t.words(t.i, t.i+1))
			t.i++
		}
	case t.is(vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(t.i+1, vocab.UnitDegrees), t.words(t.i, t.i+1) == "about" && t.isAt(t.i+2, vocab.UnitDegrees):
		from := t.i
		for !t.is(vocab.UnitDegrees) {
			t.i++
		}
		s = entry.Setting{Name: "temperature_f", Value: t.last().value}
		if t.i-from > 1 {
			s.Remark = t.words(from, from+1)
		}
		if t.i++; !t.take(vocab.Output, vocab.Force, vocab.Weather) || !strings.HasPrefix(t.last().row.Say, "out") {
			return false
		}
	case t.is(vocab.Begun) && t.isAt(t.i+1, vocab.Weather):
		t.i += 2
		s = entry.Setting{Name: "weather", Text: t.last().means()}
	case t.is(vocab.Threshold) && t.isAt(t.i+1, vocab.Score):
		t.i += 2
		s = entry.Setting{Name: "threshold", Value: t.last().value}
		if t.is(vocab.For, vocab.On) && t.isAt(t.i+1, vocab.Slot) || t.is(vocab.Slot) {
			t.take(vocab.For, vocab.On)
			if t.i++; !t.take(vocab.Orbit) {
				return false
			}
			s.Slot = t.number(t.last())
		}
	case t.is(vocab.Floor) && t.isAt(t.i+1, vocab.Level):
		t.i += 2
		s = entry.Setting{Name: "floor_dbm", Value: t.last().value}
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Force) && t.isAt(t.i+2, vocab.Figure, vocab.Level, vocab.Warmth):
		t.i += 3
		s = entry.Setting{Name: "temperature_f", Value: t.last().value}
		t.take(vocab.UnitDegrees)
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Warmth):
		t.i += 2
		s = entry.Setting{Name: "temperature_f", Value: t.last().value}
	default:
		return false
	}
	t.entries = append(t.entries, s)
	return true
}

// withNotes puts into an entry what had to be assumed to read the tokens.
func withNotes(e entry.Entry, toks []token) entry.Entry {
	var notes []string
	for i := range toks {
		notes = toks[i].notes(notes)
	}
	if len(notes) == 0 {
		return e
	}
	add := func(list []string) []string {
		for _, n := range notes {
			list = entry.AddNote(list, n)
		}
		return list
	}
	switch v := e.(type) {
	case entry.Reading:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Action:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Material:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Check:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Sighting:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Symptom:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Place:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Time:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Outcome:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Correction:
		v.Assumed = add(v.Assumed)
		return v
	}
	return e
}

// point reads a place: an element, its number, its side and its room, in any
// order, each once. from says where each part began, for repairs.
type pointParts struct {
	entry.Point
	lo      int // byte of the first part
	said    [4]int
	plural  bool
	none    bool     // "neither receiver": what is said is not so of any
	ports   []int    // of whichPorts
	inRooms []string // of whichRooms
}

const (
	partElement = iota
	partNumber
	partSide
	partRoom
)

// startsPlace reports that a place starts at token i.
func (t *talker) startsPlace(i int) bool {
	return t.isSeveral(i) || t.isAt(i, vocab.Element, vocab.Side, vocab.Behind, vocab.Some, vocab.Room, vocab.Numbered) || t.isAt(i, vocab.Output) ||
		t.isAt(i, vocab.In) && (t.isAt(i+1, vocab.Room, vocab.Numbered) || t.isAt(i+1, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV))
}

// isSeveral reports "the three receivers are all": a number of receivers, and
// that it is of all of them.
func (t *talker) isSeveral(i int) bool {
	return t.isAt(i, vocab.Count, vocab.Figure, vocab.Digit) && t.isAt(i+1, vocab.Element) && t.toks[i+1].row.Plural && t.toks[i+1].means() == string(entry.Receiver) &&
		t.isAt(i+2, vocab.Some) && t.toks[i+2].row.Say == "all"
}

func (t *talker) point() (pointParts, bool) {
	var p pointParts
	start := t.i
	p.said = [4]int{-1, -1, -1, -1}
	for t.i < len(t.toks) {
		k := &t.toks[t.i]
		if t.i > start && k.brk && !t.continues(&p) {
			break
		}
		if !t.pointPart(&p, k) {
			break
		}
	}
	if t.i == start {
		return p, false
	}
	p.lo = t.toks[start].lo
	return p, true
}

// continues reports that the token after a comma can only be of the place
// before it: "ground block, dish side".
func (t *talker) continues(p *pointParts) bool {
	switch {
	case t.is(vocab.Side, vocab.Output):
		return p.Side == ""
	case t.is(vocab.Behind): // "in the kitchen, behind the receiver"
		return p.Side == "" && p.Element == "" && p.Room != ""
	case t.is(vocab.Element):
		return p.Element == "" && p.Side == ""
	case t.is(vocab.In, vocab.Room, vocab.Numbered):
		return p.Room == "" && p.Element != "" && !t.isAt(t.i+1, vocab.Element) && !t.isAt(t.i+2, vocab.Element)
	}
	return false
}

// pointPart takes one part of a place.
func (t *talker) pointPart(p *pointParts, k *token) bool {
	switch k.class {
	case vocab.Count, vocab.Figure, vocab.Digit:
		if p.Which != "" || p.Element != "" || !t.isSeveral(t.i) {
			return false
		}
		p.Which, p.Element, p.said[partElement] = entry.WhichAll+entry.Which(" "+k.value.String()), entry.Receiver, t.i+1
		t.i += 3
	case vocab.Behind:
		if p.Side != "" || !t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered, vocab.Some) {
			return false
		}
		p.Side, p.said[partSide] = entry.DishSide, t.i
		t.i++
	case vocab.Some:
		if p.Which != "" || p.Element != "" {
			return false
		}
		return t.some(p)
	case vocab.Element:
		if p.Element != "" || k.row == nil {
			return false
		}
		t.element(p)
	case vocab.Side:
		if p.Side != "" || p.Which != "" {
			return false
		}
		if k.means() == "both" {
			p.Which = whichSides
			t.i++
			break
		}
		p.Side, p.said[partSide] = entry.Side(k.means()), t.i
		t.i++
	case vocab.Output:
		if p.Side != "" && !(p.Side == entry.ReceiverSide && p.Port == 0 && p.Element != "" && t.isAt(t.i+1, vocab.Index)) {
			return false
		}
		p.Side, p.said[partSide] = entry.ReceiverSide, t.i
		t.i++
		if t.take(vocab.Index) {
			p.Port = t.number(t.last())
		}
		t.ports(p, k)
	case vocab.In:
		return t.inPart(p)
	case vocab.Room, vocab.Numbered:
		if p.Room != "" || p.Which == whichRooms {
			return false
		}
		if t.rooms(p) {
			break
		}
		t.room(p)
	case vocab.On, vocab.At:
		if k.class == vocab.On && p.Element.InPath() && p.Element != "" && p.Element != entry.Receiver && t.isAt(t.i+1, vocab.Output) && t.isAt(t.i+2, vocab.Index) {
			t.i++ // "the splitter on port two"
			break
		}
		if p.Element != "" || p.Side == "" && p.Which != whichSides || !t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered) {
			return false
		}
		t.i++
	default:
		return false
	}
	return true
}

// Choices of several sides or outputs. They never leave the reading that they
// are of: it becomes one a place.
const (
	whichRooms entry.Which = "rooms"
	whichSides entry.Which = "sides"
	whichPorts entry.Which = "ports"
)

// ports takes further numbers after "outputs one".
func (t *talker) ports(p *pointParts, k *token) {
	if p.Port == 0 || p.Which != "" || k.row == nil || !k.row.Plural {
		return
	}
	numbers := []int{p.Port}
	for {
		i := t.i
		if t.isAt(i, vocab.And) {
			i++
		} else if i >= len(t.toks) || !t.toks[i].brk {
			break
		}
		if !t.isAt(i, vocab.Index, vocab.Count, vocab.Figure, vocab.Digit) {
			break
		}
		numbers = append(numbers, t.number(&t.toks[i]))
		t.i = i + 1
	}
	if len(numbers) > 1 {
		p.Which, p.ports = whichPorts, numbers
		t.takeBoth(len(numbers))
	}
}

// rooms takes two rooms of one kind of part: "kitchen and den receivers".
func (t *talker) rooms(p *pointParts) bool {
	if p.Element != "" || p.Which != "" || !t.isAt(t.i, vocab.Room, vocab.Numbered) || !t.isAt(t.i+1, vocab.And) || !t.isAt(t.i+2, vocab.Room, vocab.Numbered) || !t.isAt(t.i+3, vocab.Element) || !t.toks[t.i+3].row.Plural {
		return false
	}
	p.Which, p.inRooms = whichRooms, []string{t.toks[t.i].means(), t.toks[t.i+2].means()}
	p.Element, p.said[partElement] = entry.Element(t.toks[t.i+3].means()), t.i+3
	if t.i += 4; t.is(vocab.Some) && t.toks[t.i].means() == string(entry.WhichBoth) {
		t.i++
	}
	return true
}

func (t *talker) room(p *pointParts) {
	k := &t.toks[t.i]
	p.Room, p.said[partRoom] = k.means(), t.i
	t.i++
	if (p.Room == "upstairs" || p.Room == "downstairs" || p.Room == "basement") && t.is(vocab.Room, vocab.Numbered) && !t.toks[t.i].brk { // "the upstairs bedroom"
		k = &t.toks[t.i]
		p.Room = entry.Join(p.Room, k.means())
		t.i++
	}
	if k.class == vocab.Numbered && t.take(vocab.Index) {
		p.Room = entry.Join(p.Room, t.last().value.String())
	}
}

// inPart takes "in the kitchen", or "in" for the input.
func (t *talker) inPart(p *pointParts) bool {
	if t.isAt(t.i+1, vocab.Room, vocab.Numbered) {
		if p.Room != "" {
			return false
		}
		t.i++
		t.room(p)
		return true
	}
	if p.Side != "" || p.Element == "" && t.place.Element == "" || p.Element == entry.Receiver {
		return false
	}
	if t.i+1 < len(t.toks) && !t.isAt(t.i+1, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV, vocab.Still, vocab.Volts, vocab.Strength, vocab.At, vocab.And) {
		return false
	}
	p.Side, p.said[partSide] = entry.DishSide, t.i
	t.i++
	return true
}

// some takes "both", "all", "all four", "the other".
func (t *talker) some(p *pointParts) bool {
	k := &t.toks[t.i]
	i := t.i + 1
	which := entry.Which(k.means())
	if which == entry.WhichAll && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].value.String())
		i++
	}
	if which == entry.WhichOthers && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].value.String())
		i++
	}
	if t.isAt(i, vocab.Room, vocab.Numbered) || !t.isAt(i, vocab.Element) || entry.Element(t.toks[i].means()) != entry.Receiver {
		return false
	}
	switch which {
	case "neither":
		which, p.none = entry.WhichBoth, true
	case "none":
		which, p.none = entry.WhichAll, true
	}
	if which == entry.WhichOthers && !t.toks[i].row.Plural && i == t.i+1 {
		which += " 1"
	}
	p.Which, t.i = which, i
	if t.isAt(i, vocab.Element) && t.toks[i].row.Plural && t.isAt(i+1, vocab.Some) && t.toks[i+1].row.Say == "all" && !t.toks[i+1].brk { // "the other receivers all pass"
		t.toks = append(t.toks[:i+1:i+1], t.toks[i+2:]...)
	}
	return true
}

// element takes an element and the number, or numbers, after it.
func (t *talker) element(p *pointParts) {
	k := &t.toks[t.i]
	p.Element, p.said[partElement], p.plural = entry.Element(k.means()), t.i, k.row.Plural
	t.i++
	if !t.take(vocab.Index) {
		return
	}
	p.Number, p.said[partNumber] = t.number(t.last()), t.i-1
	if p.Element != entry.Receiver && !p.plural {
		return
	}
	numbers := []int{p.Number}
	for {
		i := t.i
		joined := t.isAt(i, vocab.And)
		if joined {
			i++
		}
		if t.isAt(i, vocab.Element) && joined && t.toks[i].means() == string(entry.Receiver) && t.isAt(i+1, vocab.Index) && !p.plural {
			i++
		} else if !p.plural && !joined {
			break
		}
		if !t.isAt(i, vocab.Index, vocab.Count, vocab.Figure, vocab.Digit) || !joined && !t.toks[i].brk || !p.plural && t.isAt(i+1, vocab.Element, vocab.Item, vocab.Cable) {
			break
		}
		numbers = append(numbers, t.number(&t.toks[i]))
		t.i = i + 1
	}
	if len(numbers) > 1 {
		p.Number, p.Which = 0, entry.WhichOf(numbers)
	}
	t.takeBoth(len(numbers))
}

// takeBoth takes a "both" or "all" behind n numbers: "receivers one and two
// both".
func (t *talker) takeBoth(n int) {
	if n == 2 && t.is(vocab.Some) && !t.toks[t.i].brk && t.toks[t.i].means() == string(entry.WhichBoth) ||
		n > 2 && t.is(vocab.Some) && t.toks[t.i].row.Say == "all" {
		t.i++
	}
}

// single reads statements that are one row of the table.
func (t *talker) single() bool {
	if t.take(vocab.Consent) {
		t.entries = append(t.entries, entry.Consent{Given: t.last().means() == "yes"})
		return true
	}
	if t.take(vocab.Scratch) {
		c := entry.Correction{Verb: "scratch", Count: 1}
		switch {
		case t.take(vocab.Last):
			if t.take(vocab.Count, vocab.Figure) {
				c.Count = t.number(t.last())
			}
			switch t.words(t.i, t.i+1) {
			case "readings", "reading", "entries", "entry", "ones", "one", "things":
				t.i++
			}
		case t.is(vocab.Entry) && t.isAt(t.i+1, vocab.EntryNumber):
			t.i += 2
			c.Count, c.Entry = 0, int64(t.number(t.last()))
		}
		t.entries = append(t.entries, c)
		return c.Count > 0 || c.Entry > 0
	}
	if t.take(vocab.Margin) {
		q := entry.Question{Question: t.last().means()}
		t.take(vocab.At, vocab.On)
		if p, ok := t.point(); ok && p.Element != "" && p.Which == "" {
			q.Point = &p.Point
		}
		t.entries = append(t.entries, q)
		return true
	}
	if t.take(vocab.Question) {
		t.entries = append(t.entries, entry.Question{Question: t.last().means()})
		return true
	}
	if t.take(vocab.Control) {
		t.entries = append(t.entries, entry.Control{Verb: t.last().means()})
		return true
	}
	return false
}
