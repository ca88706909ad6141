package grammar

import (
	"slices"
	"strconv"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// partOf reads one element of a path, or a length of cable.
func (a *assembly) partOf(tokens []lexer.Token) entry.PathElement {
	var p entry.PathElement
	last := vocab.Class(0)
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case vocab.Length:
			p.Element, p.LengthFt = entry.Cable, k.Value
		case vocab.Cable:
			p.Element = orCable(p.Element)
		case vocab.CableType: // "jumper cable of R G six" is one thing
			p.Element, p.Cable = orCable(p.Element), k.Means()
		case vocab.Ways:
			p.Ways = a.number(t)
		case vocab.Element:
			p.Element = entry.Element(k.Means())
		case vocab.Room, vocab.Numbered:
			p.Room = k.Means()
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

func orCable(e entry.Element) entry.Element {
	if e == "" {
		return entry.Cable
	}
	return e
}

// doPath joins the parts of a path: a length right before a jumper is the
// jumper's, and one right after "cable" is that cable's.
func (a *assembly) doPath(v *path) {
	out := entry.Path{Assumed: a.assumed(v.Tokens)}
	lengthOnly := false
	var parts [][]lexer.Token
	for _, part := range v.Parts {
		cable := slices.IndexFunc(part.Tokens, func(t lexer.Token) bool { return a.class(t) == vocab.Cable })
		if cable > 0 && a.class(part.Tokens[0]) != vocab.Length && a.partOf(part.Tokens).Element != entry.Jumper { // an element, and the cable after it
			parts = append(parts, part.Tokens[:cable], part.Tokens[cable:])
			continue
		}
		parts = append(parts, part.Tokens)
	}
	for _, tokens := range parts {
		p := a.partOf(tokens)
		if n := len(out.Elements); n > 0 {
			last := &out.Elements[n-1]
			if p.Element == entry.Jumper && lengthOnly {
				p.LengthFt = last.LengthFt
				*last = p
				lengthOnly = false
				continue
			}
			if p.LengthFt.Said() && last.Element == entry.Cable && !last.LengthFt.Said() && (last.Cable == "" || p.Cable == "") {
				last.LengthFt, last.Cable = p.LengthFt, entry.OrElse(last.Cable, p.Cable)
				continue
			}
		}
		lengthOnly = len(tokens) == 1 && a.class(tokens[0]) == vocab.Length
		out.Elements = append(out.Elements, p)
	}
	a.add(out)
}

// doPlaced: one statement about how elements hang together.
func (a *assembly) doPlaced(v *placed) {
	out := entry.Path{Assumed: a.assumed(v.Tokens)}
	if v.Cable != nil {
		cable := entry.PathElement{Element: entry.Cable}
		if v.Run != nil {
			cable = a.partOf(v.Run.Tokens)
		}
		out.Elements = []entry.PathElement{a.partOf(v.Cable.Tokens), cable, a.partOf(v.Cable2.Tokens)}
		a.add(out)
		return
	}
	subject := a.partOf(v.Subject.Tokens)
	switch {
	case v.Between != nil:
		out.Verb = "insert"
		out.Elements = []entry.PathElement{a.partOf(v.Between.Tokens), subject, a.partOf(v.And.Tokens)}
	case v.After != nil:
		out.Verb = "insert"
		out.Elements = []entry.PathElement{a.partOf(v.After.Tokens), subject}
	case subject.Element == entry.Jumper && a.partOf(v.On.Tokens).Element == entry.Receiver: // "jumper on receiver one is six feet"
		on := a.partOf(v.On.Tokens)
		for _, x := range v.Extra {
			p := a.partOf(x.Tokens)
			if p.LengthFt.Said() {
				subject.LengthFt, subject.Cable = p.LengthFt, p.Cable
			}
			on.Room = entry.OrElse(on.Room, p.Room)
		}
		out.Verb, out.Elements = "before", []entry.PathElement{subject, on}
	default:
		out.Elements = []entry.PathElement{a.partOf(v.On.Tokens)}
		for _, x := range v.Extra {
			p := a.partOf(x.Tokens)
			if p.Element == entry.Cable {
				out.Elements = append(out.Elements, p)
			} else {
				subject.Room = p.Room
			}
		}
		out.Elements = append(out.Elements, subject)
	}
	a.add(out)
}
