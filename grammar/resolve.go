package grammar

import (
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// assembly turns the clauses of one phrase into entries. What one clause
// leaves unsaid and the next takes up is kept here.
type assembly struct {
	phrase  string
	toks    []token
	entries []Entry
	// reading is the index of the reading that later figures belong to, or -1.
	reading int
	place   Point // of the last reading with an element
}

func (a *assembly) tok(t lexer.Token) *token { return &a.toks[t.Pos.Line] }

func (a *assembly) class(t lexer.Token) class { return class(t.Type) }

func (a *assembly) add(e Entry) { a.entries, a.reading = append(a.entries, e), -1 }

// assumed collects what had to be assumed to read the tokens.
func (a *assembly) assumed(tokens []lexer.Token) []string {
	var out []string
	for _, t := range tokens {
		out = a.tok(t).notes(out)
	}
	return out
}

// notes adds what had to be assumed to read the token.
func (t *token) notes(list []string) []string {
	list = addNote(list, t.note)
	if t.sound {
		list = addNote(list, "sound")
	}
	return list
}

func addNote(list []string, note string) []string {
	if note == "" {
		return list
	}
	for _, have := range list {
		if have == note {
			return list
		}
	}
	return append(list, note)
}

func (a *assembly) number(t lexer.Token) int {
	return int(a.tok(t).value.micro / decimalScale)
}

// pointOf reads the tokens of a place.
func (a *assembly) pointOf(tokens []lexer.Token) Point {
	var p Point
	last := class(0)
	for _, t := range tokens {
		switch c := a.class(t); c {
		case cBehind:
			p.Side = DishSide
		case cElement:
			p.Element = Element(a.tok(t).means())
		case cSide:
			p.Side = Side(a.tok(t).means())
		case cOutput:
			p.Side = ReceiverSide
		case cRoom, cNumbered:
			p.Room = a.tok(t).means()
		case cIndex:
			switch last {
			case cElement:
				p.Number = a.number(t)
			case cOutput:
				p.Port = a.number(t)
			case cNumbered:
				p.Room += " " + strconv.Itoa(a.number(t))
			}
		}
		last = a.class(t)
	}
	return p
}

// showInto writes what a meter showed into r. A figure that is there already,
// with another value, is an error: nobody can say which was meant.
func (a *assembly) showInto(r *Reading, tokens []lexer.Token) error {
	last := class(0)
	for _, t := range tokens {
		k := a.tok(t)
		ok := true
		switch c := a.class(t); c {
		case cVerdict:
			ok = set(&r.Verdict, Verdict(k.means()))
		case cNoSignal:
			r.NoSignal = true
		case cLevel:
			ok = set(&r.Level, k.value)
		case cVolts, cTension:
			ok = set(&r.Volts, k.value)
		case cNoVolts:
			ok = set(&r.Volts, NewDecimal(0, 0))
		case cShare:
			ok = set(&r.Strength, k.value)
		case cScore:
			if last == cMER {
				ok = set(&r.MER, k.value)
			} else {
				ok = set(&r.Strength, k.value)
			}
		case cOrbit:
			ok = set(&r.Slot, a.slot(t))
		case cChannel:
			ok = set(&r.Transponder, a.number(t))
		case cPolarity:
			ok = set(&r.Polarity, k.means())
		}
		if !ok {
			return a.twice(k)
		}
		r.Assumed = k.notes(r.Assumed)
		last = a.class(t)
	}
	return nil
}

// set puts v where nothing, or the same, is.
func set[T comparable](to *T, v T) bool {
	var none T
	if *to != none && *to != v {
		return false
	}
	*to = v
	return true
}

// slot reads an orbital slot. A slot goes by its whole degrees: the fraction
// of "sixty one point five" names no other one.
func (a *assembly) slot(t lexer.Token) int {
	k := a.tok(t)
	if k.value.micro%decimalScale != 0 {
		k.note = "slot"
	}
	return int(k.value.micro / decimalScale)
}

func (a *assembly) twice(k *token) error {
	w := a.phrase[k.lo:k.hi]
	return &Error{Message: "two different values for one figure: " + strconv.Quote(w) + " comes second; say each once", At: k.lo, Word: w}
}

// addReading stores a reading at a point and makes it the one that sides and
// figures to come refer to.
func (a *assembly) addReading(p Point, tokens []lexer.Token, noted []lexer.Token) error {
	r := Reading{Point: p, Assumed: a.assumed(noted)}
	if p.Element == "" && a.place != (Point{}) {
		r.Point.Element, r.Point.Number = a.place.Element, a.place.Number
		r.Point.Room = orElse(r.Point.Room, a.place.Room)
		r.Assumed = addNote(r.Assumed, "element")
	}
	if err := a.showInto(&r, tokens); err != nil {
		return err
	}
	a.entries = append(a.entries, r)
	a.reading = len(a.entries) - 1
	a.place = r.Point
	return nil
}

// more adds figures that follow a reading to it: word order is free.
func (a *assembly) more(tokens []lexer.Token) error {
	r := a.entries[a.reading].(Reading)
	first := a.class(tokens[0])
	newSlot := (first == cSlot || first == cTransponder || first == cPolarity || first == cFor) && len(tokens) > 2
	before := r
	if err := a.showInto(&r, tokens); err != nil {
		if !newSlot {
			return err
		}
		return a.addReading(before.Point, tokens, nil)
	}
	a.entries[a.reading] = r
	return nil
}

func (a *assembly) doReading(v *reading) error {
	if a.isDishCheck(v) {
		a.add(Check{Check: string(Dish), Verdict: Verdict(a.tok(v.Shown.Tokens[0]).means()), Assumed: a.assumed(v.Shown.Tokens)})
		return nil
	}
	p := a.pointOf(v.Point.Tokens)
	if err := a.addReading(p, v.Shown.Tokens, v.Point.Tokens); err != nil {
		return err
	}
	return a.doNext(v.Next)
}

// isDishCheck: "dish pass" and no more is the inspection of the dish; with a
// figure it is a reading there.
func (a *assembly) isDishCheck(v *reading) bool {
	return len(v.Point.Tokens) == 1 && a.tok(v.Point.Tokens[0]).means() == string(Dish) &&
		len(v.Shown.Tokens) == 1 && a.class(v.Shown.Tokens[0]) == cVerdict && len(v.Next) == 0
}

func (a *assembly) doLead(v *lead) error {
	tokens := []lexer.Token(nil)
	switch {
	case v.Point != nil:
		tokens = v.Point.Tokens
	case v.Sided != nil:
		tokens = v.Sided.Tokens
	case v.Room != nil:
		tokens = v.Room.Tokens
	default:
		tokens = v.Side.Tokens
	}
	if err := a.addReading(a.pointOf(tokens), v.Shown.Tokens, tokens); err != nil {
		return err
	}
	return a.doNext(v.Next)
}

func (a *assembly) doNext(list []*next) error {
	for _, n := range list {
		here := n.Tokens[:len(n.Tokens)-len(n.Shown.Tokens)]
		if err := a.addReading(a.pointOf(here), n.Shown.Tokens, here); err != nil {
			return err
		}
	}
	return nil
}

// doFlat is a reading whose place may stand anywhere among its tokens.
func (a *assembly) doFlat(tokens []lexer.Token) error {
	var place, shown []lexer.Token
	for _, t := range tokens {
		switch a.class(t) {
		case cBehind, cElement, cSide, cOutput, cRoom, cNumbered, cIndex:
			place = append(place, t)
		default:
			shown = append(shown, t)
		}
	}
	return a.addReading(a.pointOf(place), shown, place)
}

func (a *assembly) doMaterial(v *material) {
	lists := [][]lexer.Token{v.A.Tokens}
	for _, u := range v.B {
		lists = append(lists, u.Tokens)
	}
	for _, u := range v.C {
		lists = append(lists, u.Tokens)
	}
	slices.SortFunc(lists, func(x, y []lexer.Token) int { return x[0].Pos.Line - y[0].Pos.Line })
	for _, tokens := range lists {
		a.add(a.materialOf(tokens))
	}
}

func (a *assembly) materialOf(tokens []lexer.Token) Entry {
	m := Material{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case cLength:
			m.LengthFt = k.value
			m.Item = orElse(m.Item, string(Cable))
		case cCount:
			m.Quantity = a.number(t)
		case cDistance:
			return Miles{Value: k.value, Assumed: m.Assumed}
		case cCable:
			m.Item = string(Cable)
		case cElement, cItem:
			m.Item = k.means()
			if m.Quantity == 0 && !m.LengthFt.Said() && !k.row.plural {
				m.Quantity = 1
			}
		}
	}
	if m.LengthFt.Said() && m.Item != string(Cable) {
		m.Quantity = 1 // "a six foot jumper"
	}
	return m
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func (a *assembly) doAction(v *action) {
	out := Action{Action: a.tok(v.Verb).means(), Assumed: a.assumed(v.Tokens)}
	last := class(0)
	for _, t := range v.Target.Tokens {
		switch a.class(t) {
		case cLength:
			out.LengthFt = a.tok(t).value
		case cCount:
			out.Quantity = a.number(t)
		case cElement, cItem:
			out.Element = Element(a.tok(t).means())
		case cCable:
			out.Element = Cable
		case cRoom:
			out.Room = a.tok(t).means()
		case cIndex:
			if last == cElement {
				out.Number = a.number(t)
			}
		}
		last = a.class(t)
	}
	switch {
	case v.Between != nil:
		from, to := a.pointOf(v.Between.Tokens), a.pointOf(v.And.Tokens)
		out.At, out.To = &from, &to
	case v.At != nil:
		at := a.pointOf(v.At.Tokens)
		if at.Element == "" {
			at.Element, at.Number = out.Element, out.Number
		}
		out.At = &at
	default:
		for _, t := range v.Tokens {
			if a.class(t) == cIn {
				out.Room = a.pointOf(v.Tokens).Room
			}
		}
	}
	a.add(out)
}

func (a *assembly) doCheck(tokens []lexer.Token, at *spot) {
	out := Check{Assumed: a.assumed(tokens)}
	var place []lexer.Token
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case cCheck, cDishCheck, cInputTest:
			out.Check = k.means()
		case cVerdict, cDone, cNA:
			out.Verdict = Verdict(k.means())
		case cRemark:
			out.Remark = k.words()
		case cElement, cIndex, cRoom, cNumbered:
			if at == nil {
				place = append(place, t)
			}
		}
	}
	if at != nil {
		place = at.Tokens
	}
	if len(place) > 0 {
		p := a.pointOf(place)
		out.Point = &p
	}
	a.add(out)
}

// words returns a token's own words: a remark, a complaint, a note.
func (t *token) words() string {
	if t.row != nil {
		return t.row.say
	}
	return t.text
}

func (a *assembly) doSetting(tokens []lexer.Token) {
	out := Setting{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case cThreshold:
			out.Name = "threshold"
		case cFloor:
			out.Name = "floor_dbm"
		case cTemperature:
			out.Name = "temperature_f"
		case cWeather:
			out.Name, out.Text = "weather", k.means()
		case cScore, cLimit, cLevel, cWarmth:
			out.Value = k.value
		case cOrbit:
			out.Slot = a.slot(t)
			out.Assumed = addNote(out.Assumed, k.note)
		}
	}
	a.add(out)
}

func (a *assembly) doCode(tokens []lexer.Token) {
	out := Code{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		switch a.class(t) {
		case cCodeDigits, cCodeName:
			out.Code = orElse(a.tok(t).text, a.tok(t).means())
		case cUnitCount:
			out.Units = a.tok(t).value
		}
	}
	a.add(out)
}

func (a *assembly) doTexted(tokens []lexer.Token) error {
	k, text := a.tok(tokens[0]), ""
	if len(tokens) > 1 {
		text = a.tok(tokens[1]).words()
	}
	switch k.class {
	case cNote:
		a.add(Note{Text: text})
	case cJobComplaint, cJobClose, cJobReopen:
		a.add(Job{Verb: k.means(), Text: text})
	default:
		site, err := a.siteOf(k, text)
		if err != nil {
			return err
		}
		a.add(site)
	}
	return nil
}

func (a *assembly) doAsk(v *ask) {
	out := Question{Question: a.tok(v.Tokens[0]).means()}
	for _, t := range v.Tokens {
		if a.class(t) == cOrbit {
			out.Slot = a.slot(t)
		}
	}
	if v.At != nil {
		p := a.pointOf(v.At.Tokens)
		out.Point = &p
	}
	a.add(out)
}

func (a *assembly) doScratch(tokens []lexer.Token) {
	out := Correction{Verb: "scratch", Count: 1, Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		switch a.class(t) {
		case cCount:
			out.Count = a.number(t)
		case cEntryNumber:
			out.Count, out.Entry = 0, int64(a.number(t))
		}
	}
	a.add(out)
}

func (a *assembly) doCorrect(tokens []lexer.Token) error {
	var place, shown []lexer.Token
	out := Correction{Verb: "change"}
	for _, t := range tokens {
		switch a.class(t) {
		case cCorrect, cEntry, cConfirm, cNo:
		case cEntryNumber:
			out.Entry = int64(a.number(t))
		case cBehind, cElement, cSide, cOutput, cRoom, cNumbered, cIndex, cIn, cAt, cOn:
			place = append(place, t)
		default:
			shown = append(shown, t)
		}
	}
	r := Reading{Assumed: a.assumed(tokens)}
	if err := a.showInto(&r, shown); err != nil {
		return err
	}
	if len(place) > 0 {
		p := a.pointOf(place)
		out.Point = &p
	}
	out.Verdict, out.Level, out.Strength, out.MER, out.Volts = r.Verdict, r.Level, r.Strength, r.MER, r.Volts
	out.NoSignal, out.Slot, out.Transponder, out.Polarity, out.Assumed = r.NoSignal, r.Slot, r.Transponder, r.Polarity, r.Assumed
	a.add(out)
	return nil
}

func (a *assembly) doConfirm(tokens []lexer.Token) {
	out := Correction{Verb: "confirm", Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		if a.class(t) == cEntryNumber {
			out.Entry = int64(a.number(t))
		}
	}
	a.add(out)
}

func (a *assembly) doSingle(tokens []lexer.Token) {
	k := a.tok(tokens[0])
	if k.class == cControl {
		a.add(Control{Verb: k.means()})
		return
	}
	a.add(Consent{Given: k.means() == "yes"})
}

// siteOf reads the free words after "site", "location" and "reported at".
func (a *assembly) siteOf(k *token, text string) (Entry, error) {
	fail := func(msg string) (Entry, error) {
		return nil, &Error{Message: msg, At: k.hi, Word: text}
	}
	switch k.class {
	case cLocation:
		lat, lon, ok := coordinates(text)
		if !ok {
			return fail("a location is two numbers in degrees, such as: location 35.1 north 100.2 west")
		}
		return Site{Lat: lat, Lon: lon}, nil
	case cReported:
		clock, ok := clockTime(text)
		if !ok {
			return fail("a time of day was expected, such as: reported at eight ten, or reported at 14:30")
		}
		return Site{Reported: clock}, nil
	}
	if text == "" {
		return fail("the address was expected after site, such as: site 12 quarry lane")
	}
	return Site{Text: strings.TrimSpace(text)}, nil
}
