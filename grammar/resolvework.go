package grammar

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
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

func (a *assembly) materialOf(tokens []lexer.Token) entry.Entry {
	m := entry.Material{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case vocab.Length:
			m.LengthFt = k.Value
			m.Item = entry.OrElse(m.Item, string(entry.Cable))
		case vocab.Count:
			m.Quantity = a.number(t)
		case vocab.Distance:
			return entry.Miles{Value: k.Value, Assumed: m.Assumed}
		case vocab.Cable:
			m.Item = string(entry.Cable)
		case vocab.CableType:
			m.Item, m.Cable = string(entry.Cable), k.Means()
		case vocab.Element, vocab.Item:
			m.Item = k.Means()
			if m.Quantity == 0 && !m.LengthFt.Said() && !k.Row.Plural {
				m.Quantity = 1
			}
		}
	}
	if m.LengthFt.Said() && m.Item != string(entry.Cable) {
		m.Quantity = 1 // "a six foot jumper"
	}
	return m
}

// acted reads what an action was done to.
func (a *assembly) acted(verb lexer.Token, tokens []lexer.Token) entry.Action {
	out := entry.Action{Action: a.tok(verb).Means()}
	last := vocab.Class(0)
	for _, t := range tokens {
		switch a.class(t) {
		case vocab.Length:
			out.LengthFt = a.tok(t).Value
		case vocab.CableType:
			out.Cable = a.tok(t).Means()
		case vocab.Count:
			out.Quantity = a.number(t)
		case vocab.Element, vocab.Item:
			out.Element = entry.Element(a.tok(t).Means())
		case vocab.Cable:
			out.Element = entry.Cable
		case vocab.Room:
			out.Room = a.tok(t).Means()
		case vocab.Index:
			if last == vocab.Element {
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
			if a.class(t) == vocab.In {
				out.Room = a.pointOf(v.Tokens).Room
			}
		}
	}
	a.add(out)
}

func (a *assembly) doCheck(tokens []lexer.Token, at *spot) {
	out := entry.Check{Assumed: a.assumed(tokens)}
	var place []lexer.Token
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case vocab.Check, vocab.DishCheck, vocab.InputTest:
			out.Check = k.Means()
		case vocab.Verdict, vocab.Done, vocab.NA:
			out.Verdict = entry.Verdict(k.Means())
		case vocab.Remark:
			out.Remark = k.Words()
		case vocab.Element, vocab.Index, vocab.Room, vocab.Numbered:
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
	out := entry.Setting{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		k := a.tok(t)
		switch a.class(t) {
		case vocab.Threshold:
			out.Name = "threshold"
		case vocab.Floor:
			out.Name = "floor_dbm"
		case vocab.Temperature:
			out.Name = "temperature_f"
		case vocab.Weather:
			out.Name, out.Text = "weather", k.Means()
		case vocab.Score, vocab.Limit, vocab.Level, vocab.Warmth:
			out.Value = k.Value
		case vocab.Orbit:
			out.Slot = a.slot(t)
			out.Assumed = entry.AddNote(out.Assumed, k.Note)
		}
	}
	a.add(out)
}

func (a *assembly) doCode(tokens []lexer.Token) {
	out := entry.Code{Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		switch a.class(t) {
		case vocab.CodeDigits, vocab.CodeName:
			out.Code = entry.OrElse(a.tok(t).Text, a.tok(t).Means())
		case vocab.UnitCount:
			out.Units = a.tok(t).Value
		}
	}
	a.add(out)
}
