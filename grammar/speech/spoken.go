package speech

import (
	"slices"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// The spoken language: the grammar's tree with every class replaced by what
// can be said for it. What may repeat, repeats a few times; only the parts of a
// path go on for as long as somebody says them.

// MostSaid is how often a production may repeat in one spoken phrase.
func MostSaid(rule string) int {
	if rule == "Next" {
		return 1
	}
	return 2
}

// Endless reports that a production may repeat without end.
func Endless(rule string) bool { return rule == "Part" }

// Spoken turns the tree of a rule from classes into rules and words; nil where
// nothing of it can be said.
func (l *Language) Spoken(e *Expr, rule string) *Expr {
	switch e.Op {
	case OpClass:
		if e.Class == vocab.Text || !l.Speakable(e.Class) {
			return nil
		}
		return Decorated(e.Class, rule)
	case OpRule:
		return e
	case OpWords:
		return e
	case OpOpt:
		if k := l.Spoken(e.Kids[0], rule); k != nil {
			return opt(k)
		}
		return Seq()
	case OpStar, OpPlus:
		k := l.Spoken(e.Kids[0], rule)
		if k == nil {
			return nil
		}
		kid := e.Kids[0].Name
		many := repeat(k, MostSaid(kid))
		if Endless(kid) {
			many = &Expr{Op: OpPlus, Kids: []*Expr{k}}
		}
		if e.Op == OpStar {
			return opt(many)
		}
		return many
	case OpAlt:
		var kids []*Expr
		for _, k := range e.Kids {
			if s := l.Spoken(k, rule); s != nil {
				kids = append(kids, s)
			}
		}
		if len(kids) == 0 {
			return nil
		}
		return alt(kids...)
	}
	var kids []*Expr
	for _, k := range e.Kids {
		s := l.Spoken(k, rule)
		if s == nil {
			return nil
		}
		if s.Op == OpSeq && len(s.Kids) == 0 {
			continue
		}
		// Noise in a reading sounds like "port": a reading that goes on needs its number.
		if rule == "Next" && k.Op == OpOpt {
			s = s.Kids[0]
		}
		kids = append(kids, s)
	}
	return Seq(kids...)
}

// repeat is e up to n times, nested, without stars: the recogniser's compiler
// leaks out of those into what may stand in their place.
func repeat(e *Expr, n int) *Expr {
	if n == 1 {
		return e
	}
	return Seq(e, opt(repeat(e, n-1)))
}

// Speakable reports that some row or number of a class can be said.
func (l *Language) Speakable(c vocab.Class) bool {
	if l.Lexicon.Kinds[c] != nil {
		return true
	}
	for i := range l.Lexicon.Rows {
		if r := &l.Lexicon.Rows[i]; r.Class == c && r.Spoken {
			return true
		}
	}
	return false
}

// Decorated is a class with the little words people put before or after it in
// a rule; the lexer drops them. Every one makes the recogniser's work harder,
// so they stand only where people say them.
func Decorated(c vocab.Class, rule string) *Expr {
	e := ofClass(c)
	the := opt(words("the"))
	switch c {
	case vocab.Element:
		switch rule {
		case "Sided":
			return Seq(opt(words("of")), the, e)
		case "Point", "Spot", "Target", "Acted", "Tested":
			return Seq(the, e)
		case "Used":
			return Seq(opt(words("a")), e)
		}
	case vocab.Room, vocab.Numbered:
		if rule == "Point" || rule == "Spot" || rule == "Action" || rule == "Roomed" || rule == "Texted" || rule == "AnyRoom" {
			return Seq(the, e)
		}
	case vocab.Cable, vocab.CableType:
		if rule != "Placed" && rule != "Target" {
			return Seq(opt(words("of")), e)
		}
	case vocab.Item:
		return Seq(opt(words("a")), e)
	case vocab.Length:
		if rule == "Run" {
			return Seq(opt(words("is")), e)
		}
	case vocab.Limit: // without "is" it could be a part of the slot's number
		return Seq(words("is"), e)
	case vocab.EntryNumber:
		return Seq(e, opt(words("was")))
	}
	return e
}

// NumberTree is how a number of a kind is said.
func (l *Language) NumberTree(k *lex.NumberKind) *Expr {
	switch k.Class {
	case vocab.Digits:
		one := alt(ofClass(vocab.Digit), ofClass(vocab.Zero))
		two := alt(ofClass(vocab.Teen), ofClass(vocab.Tens))
		return alt(repeat(one, maxSpelled), repeat(two, maxSpelled/2))
	case vocab.CodeDigits:
		return alt(repeat(alt(ofClass(vocab.Digit), ofClass(vocab.Zero)), 3), ofClass(vocab.Teen))
	case vocab.Channel: // as many as the plan has
		kids := []*Expr{ofClass(vocab.Digit), ofClass(vocab.Teen)}
		for i := range l.Lexicon.Rows {
			if r := &l.Lexicon.Rows[i]; r.Class == vocab.Tens && r.Spoken && r.Num <= lex.MostTransponders {
				kids = append(kids, &Expr{Op: OpClass, Class: vocab.Tens, Name: r.Say})
			}
		}
		return alt(kids...)
	case vocab.Level:
		return alt(l.valueTree(k), l.valueTree(l.Lexicon.Kinds[vocab.BareLevel]))
	}
	return l.valueTree(k)
}

// maxSpelled is how many digits an identifier may have when it is spoken.
const maxSpelled = 8

func (l *Language) valueTree(k *lex.NumberKind) *Expr {
	kids := []*Expr{}
	switch k.Sign {
	case lex.Optional:
		kids = append(kids, opt(ofClass(vocab.Minus)))
	case lex.Required:
		kids = append(kids, ofClass(vocab.Minus))
	}
	shapes, round := k.Shapes, []lex.Shape(nil)
	if k.Max == 100_00 { // a hundred at most: no fraction after it
		shapes = slices.DeleteFunc(slices.Clone(shapes), func(s lex.Shape) bool { return s[len(s)-1] == vocab.Hundred })
		round = slices.DeleteFunc(slices.Clone(k.Shapes), func(s lex.Shape) bool { return s[len(s)-1] != vocab.Hundred })
	}
	number := shapeTree(k, shapes, true)
	if k.Fraction > 0 {
		place := alt(ofClass(vocab.Digit), ofClass(vocab.Zero))
		number = Seq(number, opt(Seq(ofClass(vocab.Point), repeat(place, k.Fraction))))
	}
	if len(round) > 0 {
		number = alt(number, shapeTree(k, round, true))
	}
	kids = append(kids, number)
	if k.Unit != 0 {
		kids = append(kids, ofClass(k.Unit))
	} else if len(k.Swallow) > 0 {
		kids = append(kids, opt(ofClass(k.Swallow[0])))
	}
	return Seq(kids...)
}

// shapeTree is all shapes at once, sharing their beginnings: one way to say each
// number.
func shapeTree(k *lex.NumberKind, shapes []lex.Shape, first bool) *Expr {
	type branch struct {
		class vocab.Class
		rest  []lex.Shape
		end   bool
	}
	var branches []*branch
	for _, s := range shapes {
		if s[0] == vocab.Numeral || first && k.OneFirst && s.Hundreds() {
			continue
		}
		var b *branch
		for _, have := range branches {
			if have.class == s[0] {
				b = have
			}
		}
		if b == nil {
			b = &branch{class: s[0]}
			branches = append(branches, b)
		}
		if len(s) == 1 {
			b.end = true
		} else {
			b.rest = append(b.rest, s[1:])
		}
	}
	var kids []*Expr
	for _, b := range branches {
		e := ofClass(b.class)
		if b.class == vocab.Hundred && first { // "one hundred", or "a hundred": the word by itself could end another number
			e = Seq(words("a"), e)
		}
		if len(b.rest) > 0 {
			rest := shapeTree(k, b.rest, false)
			if b.end {
				rest = opt(rest)
			}
			e = Seq(e, rest)
		}
		kids = append(kids, e)
	}
	if first && k.OneFirst {
		kids = append(kids, hundredsTree(k, shapes)...)
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return alt(kids...)
}

// hundredsTree is the shapes whose first digit can only be one.
func hundredsTree(k *lex.NumberKind, shapes []lex.Shape) []*Expr {
	var rest []lex.Shape
	for _, s := range shapes {
		if s.Hundreds() {
			rest = append(rest, s[1:])
		}
	}
	if len(rest) == 0 {
		return nil
	}
	one := &Expr{Op: OpClass, Class: vocab.Digit, Name: entry.DigitWord(1)}
	return []*Expr{Seq(one, shapeTree(k, rest, false))}
}
