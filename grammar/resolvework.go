package grammar

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"
)

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

// acted reads what an action was done to.
func (a *assembly) acted(verb lexer.Token, tokens []lexer.Token) Action {
	out := Action{Action: a.tok(verb).means()}
	last := class(0)
	for _, t := range tokens {
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
	return out
}

func (a *assembly) doBoth(v *both) {
	for _, target := range []*acted{v.A, v.B} {
		out := a.acted(v.Verb, target.Tokens)
		out.Assumed = a.assumed(v.Tokens)
		a.add(out)
	}
}

func (a *assembly) doAction(v *action) {
	out := a.acted(v.Verb, v.Target.Tokens)
	out.Assumed = a.assumed(v.Tokens)
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
