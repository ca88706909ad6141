package grammar

import (
	"slices"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// The spoken language: the grammar's tree with every class replaced by what
// can be said for it. What may repeat, repeats a few times; only the parts of a
// path go on for as long as somebody says them.

// mostSaid is how often a production may repeat in one spoken phrase.
func mostSaid(rule string) int {
	if rule == "Next" {
		return 1
	}
	return 2
}

// endless reports that a production may repeat without end.
func endless(rule string) bool { return rule == "Part" }

// spoken turns the tree of a rule from classes into rules and words; nil where
// nothing of it can be said.
func (l *language) spoken(e *expr, rule string) *expr {
	switch e.op {
	case opClass:
		if e.class == vocab.Text || !l.speakable(e.class) {
			return nil
		}
		return decorated(e.class, rule)
	case opRule:
		return e
	case opWords:
		return e
	case opOpt:
		if k := l.spoken(e.kids[0], rule); k != nil {
			return opt(k)
		}
		return seq()
	case opStar, opPlus:
		k := l.spoken(e.kids[0], rule)
		if k == nil {
			return nil
		}
		kid := e.kids[0].name
		many := repeat(k, mostSaid(kid))
		if endless(kid) {
			many = &expr{op: opPlus, kids: []*expr{k}}
		}
		if e.op == opStar {
			return opt(many)
		}
		return many
	case opAlt:
		var kids []*expr
		for _, k := range e.kids {
			if s := l.spoken(k, rule); s != nil {
				kids = append(kids, s)
			}
		}
		if len(kids) == 0 {
			return nil
		}
		return alt(kids...)
	}
	var kids []*expr
	for _, k := range e.kids {
		s := l.spoken(k, rule)
		if s == nil {
			return nil
		}
		if s.op == opSeq && len(s.kids) == 0 {
			continue
		}
		// Noise in a reading sounds like "port": a reading that goes on needs its number.
		if rule == "Next" && k.op == opOpt {
			s = s.kids[0]
		}
		kids = append(kids, s)
	}
	return seq(kids...)
}

// repeat is e up to n times, nested, without stars: the recogniser's compiler
// leaks out of those into what may stand in their place.
func repeat(e *expr, n int) *expr {
	if n == 1 {
		return e
	}
	return seq(e, opt(repeat(e, n-1)))
}

// speakable reports that some row or number of a class can be said.
func (l *language) speakable(c vocab.Class) bool {
	if l.lexicon.kinds[c] != nil {
		return true
	}
	for i := range l.lexicon.rows {
		if r := &l.lexicon.rows[i]; r.Class == c && r.Spoken {
			return true
		}
	}
	return false
}

// decorated is a class with the little words people put before or after it in
// a rule; the lexer drops them. Every one makes the recogniser's work harder,
// so they stand only where people say them.
func decorated(c vocab.Class, rule string) *expr {
	e := ofClass(c)
	the := opt(words("the"))
	switch c {
	case vocab.Element:
		switch rule {
		case "Sided":
			return seq(opt(words("of")), the, e)
		case "Point", "Spot", "Target", "Acted", "Tested":
			return seq(the, e)
		case "Used":
			return seq(opt(words("a")), e)
		}
	case vocab.Room, vocab.Numbered:
		if rule == "Point" || rule == "Spot" || rule == "Action" || rule == "Roomed" || rule == "Texted" || rule == "AnyRoom" {
			return seq(the, e)
		}
	case vocab.Cable, vocab.CableType:
		if rule != "Placed" && rule != "Target" {
			return seq(opt(words("of")), e)
		}
	case vocab.Item:
		return seq(opt(words("a")), e)
	case vocab.Length:
		if rule == "Run" {
			return seq(opt(words("is")), e)
		}
	case vocab.Limit: // without "is" it could be a part of the slot's number
		return seq(words("is"), e)
	case vocab.EntryNumber:
		return seq(e, opt(words("was")))
	}
	return e
}

// numberTree is how a number of a kind is said.
func (l *language) numberTree(k *numberKind) *expr {
	switch k.class {
	case vocab.Digits:
		one := alt(ofClass(vocab.Digit), ofClass(vocab.Zero))
		two := alt(ofClass(vocab.Teen), ofClass(vocab.Tens))
		return alt(repeat(one, maxSpelled), repeat(two, maxSpelled/2))
	case vocab.CodeDigits:
		return alt(repeat(alt(ofClass(vocab.Digit), ofClass(vocab.Zero)), 3), ofClass(vocab.Teen))
	case vocab.Channel: // as many as the plan has
		kids := []*expr{ofClass(vocab.Digit), ofClass(vocab.Teen)}
		for i := range l.lexicon.rows {
			if r := &l.lexicon.rows[i]; r.Class == vocab.Tens && r.Spoken && r.Num <= mostTransponders {
				kids = append(kids, &expr{op: opClass, class: vocab.Tens, name: r.Say})
			}
		}
		return alt(kids...)
	case vocab.Level:
		return alt(l.valueTree(k), l.valueTree(l.lexicon.kinds[vocab.BareLevel]))
	}
	return l.valueTree(k)
}

// maxSpelled is how many digits an identifier may have when it is spoken.
const maxSpelled = 8

func (l *language) valueTree(k *numberKind) *expr {
	kids := []*expr{}
	switch k.sign {
	case optional:
		kids = append(kids, opt(ofClass(vocab.Minus)))
	case required:
		kids = append(kids, ofClass(vocab.Minus))
	}
	shapes, round := k.shapes, []shape(nil)
	if k.max == 100_00 { // a hundred at most: no fraction after it
		shapes = slices.DeleteFunc(slices.Clone(shapes), func(s shape) bool { return s[len(s)-1] == vocab.Hundred })
		round = slices.DeleteFunc(slices.Clone(k.shapes), func(s shape) bool { return s[len(s)-1] != vocab.Hundred })
	}
	number := k.tree(shapes, true)
	if k.fraction > 0 {
		place := alt(ofClass(vocab.Digit), ofClass(vocab.Zero))
		number = seq(number, opt(seq(ofClass(vocab.Point), repeat(place, k.fraction))))
	}
	if len(round) > 0 {
		number = alt(number, k.tree(round, true))
	}
	kids = append(kids, number)
	if k.unit != 0 {
		kids = append(kids, ofClass(k.unit))
	} else if len(k.swallow) > 0 {
		kids = append(kids, opt(ofClass(k.swallow[0])))
	}
	return seq(kids...)
}

// tree is all shapes at once, sharing their beginnings: one way to say each
// number.
func (k *numberKind) tree(shapes []shape, first bool) *expr {
	type branch struct {
		class vocab.Class
		rest  []shape
		end   bool
	}
	var branches []*branch
	for _, s := range shapes {
		if s[0] == vocab.Numeral || first && k.oneFirst && s.hundreds() {
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
	var kids []*expr
	for _, b := range branches {
		e := ofClass(b.class)
		if b.class == vocab.Hundred && first { // "one hundred", or "a hundred": the word by itself could end another number
			e = seq(words("a"), e)
		}
		if len(b.rest) > 0 {
			rest := k.tree(b.rest, false)
			if b.end {
				rest = opt(rest)
			}
			e = seq(e, rest)
		}
		kids = append(kids, e)
	}
	if first && k.oneFirst {
		kids = append(kids, k.hundredsTree(shapes)...)
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return alt(kids...)
}

// hundredsTree is the shapes whose first digit can only be one.
func (k *numberKind) hundredsTree(shapes []shape) []*expr {
	var rest []shape
	for _, s := range shapes {
		if s.hundreds() {
			rest = append(rest, s[1:])
		}
	}
	if len(rest) == 0 {
		return nil
	}
	one := &expr{op: opClass, class: vocab.Digit, name: entry.DigitWord(1)}
	return []*expr{seq(one, k.tree(rest, false))}
}
