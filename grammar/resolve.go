package grammar

import (
	"strconv"

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

func (a *assembly) number(t lexer.Token) int {
	return int(a.tok(t).value.Micro() / decimalScale)
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
	if k.value.Micro()%decimalScale != 0 {
		k.note = "slot"
	}
	return int(k.value.Micro() / decimalScale)
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
