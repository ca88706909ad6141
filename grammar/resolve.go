package grammar

import (
	"strconv"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// assembly turns the clauses of one phrase into entries. What one clause
// leaves unsaid and the next takes up is kept here.
type assembly struct {
	phrase  string
	toks    []lex.Token
	entries []entry.Entry
	// reading is the index of the reading that later figures belong to, or -1.
	reading int
	place   entry.Point // of the last reading with an element
}

func (a *assembly) tok(t lexer.Token) *lex.Token { return &a.toks[t.Pos.Line] }

func (a *assembly) class(t lexer.Token) vocab.Class { return vocab.Class(t.Type) }

func (a *assembly) add(e entry.Entry) { a.entries, a.reading = append(a.entries, e), -1 }

// assumed collects what had to be assumed to read the tokens.
func (a *assembly) assumed(tokens []lexer.Token) []string {
	var out []string
	for _, t := range tokens {
		out = a.tok(t).Notes(out)
	}
	return out
}

func (a *assembly) number(t lexer.Token) int {
	return int(a.tok(t).Value.Micro() / entry.DecimalScale)
}

// pointOf reads the tokens of a place.
func (a *assembly) pointOf(tokens []lexer.Token) entry.Point {
	var p entry.Point
	last := vocab.Class(0)
	for _, t := range tokens {
		switch c := a.class(t); c {
		case vocab.Behind:
			p.Side = entry.DishSide
		case vocab.Element:
			p.Element = entry.Element(a.tok(t).Means())
		case vocab.Side:
			p.Side = entry.Side(a.tok(t).Means())
		case vocab.Output:
			p.Side = entry.ReceiverSide
		case vocab.Room, vocab.Numbered:
			p.Room = a.tok(t).Means()
		case vocab.Index:
			switch last {
			case vocab.Element:
				p.Number = a.number(t)
			case vocab.Output:
				p.Port = a.number(t)
			case vocab.Numbered:
				p.Room += " " + strconv.Itoa(a.number(t))
			}
		}
		last = a.class(t)
	}
	return p
}

// showInto writes what a meter showed into r. A figure that is there already,
// with another value, is an error: nobody can say which was meant.
func (a *assembly) showInto(r *entry.Reading, tokens []lexer.Token) error {
	last, quiet := vocab.Class(0), false
	for _, t := range tokens {
		k := a.tok(t)
		ok := true
		switch c := a.class(t); c {
		case vocab.Verdict:
			ok = set(&r.Verdict, entry.Verdict(k.Means()))
		case vocab.NoSignal:
			r.NoSignal = true
			quiet = quiet || k.Means() != ""
		case vocab.Level:
			ok = set(&r.Level, k.Value)
		case vocab.Volts, vocab.Tension:
			ok = set(&r.Volts, k.Value)
		case vocab.NoVolts:
			ok = set(&r.Volts, entry.NewDecimal(0, 0))
		case vocab.Share:
			ok = set(&r.Strength, k.Value)
		case vocab.Score:
			if last == vocab.MER {
				ok = set(&r.MER, k.Value)
			} else {
				ok = set(&r.Strength, k.Value)
			}
		case vocab.Orbit:
			ok = set(&r.Slot, a.slot(t))
		case vocab.Channel:
			ok = set(&r.Transponder, a.number(t))
		case vocab.Polarity:
			ok = set(&r.Polarity, k.Means())
		}
		if !ok {
			return a.twice(k)
		}
		r.Assumed = k.Notes(r.Assumed)
		last = a.class(t)
	}
	if quiet && r.Verdict == "" { // "no lock" is a fail where nothing else is said
		r.Verdict = entry.Fail
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
	if k.Value.Micro()%entry.DecimalScale != 0 {
		k.Note = "slot"
	}
	return int(k.Value.Micro() / entry.DecimalScale)
}

func (a *assembly) twice(k *lex.Token) error {
	w := a.phrase[k.Lo:k.Hi]
	return &Error{Message: "two different values for one figure: " + strconv.Quote(w) + " comes second; say each once", At: k.Lo, Word: w}
}

// addReading stores a reading at a point and makes it the one that sides and
// figures to come refer to.
func (a *assembly) addReading(p entry.Point, tokens []lexer.Token, noted []lexer.Token) error {
	r := entry.Reading{Point: p, Assumed: a.assumed(noted)}
	if p.Element == "" && a.place != (entry.Point{}) {
		r.Point.Element, r.Point.Number = a.place.Element, a.place.Number
		r.Point.Room = entry.OrElse(r.Point.Room, a.place.Room)
		r.Assumed = entry.AddNote(r.Assumed, "element")
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
	r := a.entries[a.reading].(entry.Reading)
	first := a.class(tokens[0])
	newSlot := (first == vocab.Slot || first == vocab.Transponder || first == vocab.Polarity || first == vocab.For) && len(tokens) > 2
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
		a.add(entry.Check{Check: string(entry.Dish), Verdict: entry.Verdict(a.tok(v.Shown.Tokens[0]).Means()), Assumed: a.assumed(v.Shown.Tokens)})
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
	return len(v.Point.Tokens) == 1 && a.tok(v.Point.Tokens[0]).Means() == string(entry.Dish) &&
		len(v.Shown.Tokens) == 1 && a.class(v.Shown.Tokens[0]) == vocab.Verdict && len(v.Next) == 0
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
		case vocab.Behind, vocab.Element, vocab.Side, vocab.Output, vocab.Room, vocab.Numbered, vocab.Index:
			place = append(place, t)
		default:
			shown = append(shown, t)
		}
	}
	return a.addReading(a.pointOf(place), shown, place)
}
