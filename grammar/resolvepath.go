package grammar

import (
	"slices"
	"strconv"

	"github.com/alecthomas/participle/v2/lexer"
)

// partOf reads one element of a path, or a length of cable.
func (a *assembly) partOf(tokens []lexer.Token) PathElement {
	var p PathElement
	last := class(0)
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case cLength:
			p.Element, p.LengthFt = Cable, k.value
		case cCable:
			p.Element = orCable(p.Element)
		case cCableType: // "jumper cable of R G six" is one thing
			p.Element, p.Cable = orCable(p.Element), k.means()
		case cWays:
			p.Ways = a.number(t)
		case cElement:
			p.Element = Element(k.means())
		case cRoom, cNumbered:
			p.Room = k.means()
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

func orCable(e Element) Element {
	if e == "" {
		return Cable
	}
	return e
}

// doPath joins the parts of a path: a length right before a jumper is the
// jumper's, and one right after "cable" is that cable's.
func (a *assembly) doPath(v *path) {
	out := Path{Assumed: a.assumed(v.Tokens)}
	lengthOnly := false
	var parts [][]lexer.Token
	for _, part := range v.Parts {
		cable := slices.IndexFunc(part.Tokens, func(t lexer.Token) bool { return a.class(t) == cCable })
		if cable > 0 && a.class(part.Tokens[0]) != cLength && a.partOf(part.Tokens).Element != Jumper { // an element, and the cable after it
			parts = append(parts, part.Tokens[:cable], part.Tokens[cable:])
			continue
		}
		parts = append(parts, part.Tokens)
	}
	for _, tokens := range parts {
		p := a.partOf(tokens)
		if n := len(out.Elements); n > 0 {
			last := &out.Elements[n-1]
			if p.Element == Jumper && lengthOnly {
				p.LengthFt = last.LengthFt
				*last = p
				lengthOnly = false
				continue
			}
			if p.LengthFt.Said() && last.Element == Cable && !last.LengthFt.Said() && (last.Cable == "" || p.Cable == "") {
				last.LengthFt, last.Cable = p.LengthFt, orElse(last.Cable, p.Cable)
				continue
			}
		}
		lengthOnly = len(tokens) == 1 && a.class(tokens[0]) == cLength
		out.Elements = append(out.Elements, p)
	}
	a.add(out)
}

// doPlaced: one statement about how elements hang together.
func (a *assembly) doPlaced(v *placed) {
	out := Path{Assumed: a.assumed(v.Tokens)}
	if v.Cable != nil {
		cable := PathElement{Element: Cable}
		if v.Run != nil {
			cable = a.partOf(v.Run.Tokens)
		}
		out.Elements = []PathElement{a.partOf(v.Cable.Tokens), cable, a.partOf(v.Cable2.Tokens)}
		a.add(out)
		return
	}
	subject := a.partOf(v.Subject.Tokens)
	switch {
	case v.Between != nil:
		out.Verb = "insert"
		out.Elements = []PathElement{a.partOf(v.Between.Tokens), subject, a.partOf(v.And.Tokens)}
	case v.After != nil:
		out.Verb = "insert"
		out.Elements = []PathElement{a.partOf(v.After.Tokens), subject}
	default:
		out.Elements = []PathElement{a.partOf(v.On.Tokens)}
		for _, x := range v.Extra {
			p := a.partOf(x.Tokens)
			if p.Element == Cable {
				out.Elements = append(out.Elements, p)
			} else {
				subject.Room = p.Room
			}
		}
		out.Elements = append(out.Elements, subject)
	}
	a.add(out)
}
