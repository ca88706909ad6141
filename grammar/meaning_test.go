package grammar

import (
	"fmt"
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// meaningOf works out the entries of a derivation by its productions alone.
func meaningOf(nodes []*node) []entry.Entry {
	var out []entry.Entry
	for _, n := range nodes {
		if n.rule == "Sentence" || n.rule == "Alone" || n.rule == "Clause" {
			out = append(out, meaningOf(n.kids)...)
			continue
		}
		out = append(out, statementOf(n)...)
	}
	return out
}

func statementOf(n *node) []entry.Entry {
	all := leaves(n.kids)
	switch n.rule {
	case "Reading", "Lead":
		return readingsOf(n)
	case "Backward", "Anywhere":
		r := entry.Reading{Point: placeOf(childrenOf(n, "Point", "Sided"))}
		showOf(&r, childrenOf(n, "Slotted", "Core", "Figures"))
		return []entry.Entry{r}
	case "Standing":
		return []entry.Entry{entry.Place{Point: placeOf(childrenOf(n, "Point", "Sided"))}}
	case "Path":
		return []entry.Entry{pathOf(n)}
	case "Placed":
		return []entry.Entry{placedOf(n)}
	case "Action":
		return []entry.Entry{actionOf(n)}
	case "Both":
		var out []entry.Entry
		for _, k := range n.kids {
			if k.rule == "Acted" {
				out = append(out, actionOf(&node{kids: []*node{n.kids[0], k}}))
			}
		}
		return out
	case "Material":
		var out []entry.Entry
		for _, k := range n.kids {
			if k.rule == "Used" || k.rule == "Count" {
				out = append(out, partUsed(leaves(k.kids)))
			}
		}
		return out
	case "Stretch", "Miles":
		return []entry.Entry{partUsed(all)}
	case "Check", "Tested", "CheckOf":
		return []entry.Entry{checkMeant(n, all)}
	case "Setup":
		return []entry.Entry{settingOf(all)}
	case "Mark":
		return []entry.Entry{entry.Time{Mark: all[0].row.Means}}
	case "Coded":
		c := entry.Code{}
		for _, l := range all {
			switch l.class {
			case vocab.CodeDigits:
				c.Code = digitsOf(l)
			case vocab.CodeName:
				c.Code = l.row.Means
			case vocab.UnitCount:
				c.Units = l.value()
			}
		}
		return []entry.Entry{c}
	case "Opening":
		return []entry.Entry{entry.Job{Verb: "start", Number: digitsOf(all[1])}}
	case "Texted":
		var text string
		for _, l := range all[1:] {
			text = strings.TrimSpace(text + " " + strings.Join(l.says, " "))
		}
		if all[0].class == vocab.Note {
			return []entry.Entry{entry.Note{Text: text}}
		}
		return []entry.Entry{entry.Job{Verb: all[0].row.Means, Text: text}}
	case "Ask":
		q := entry.Question{Question: all[0].row.Means}
		for _, l := range all {
			if l.class == vocab.Orbit {
				q.Slot = l.int()
			}
		}
		if at := childrenOf(n, "Spot"); len(at) > 0 {
			p := placeOf(at)
			q.Point = &p
		}
		return []entry.Entry{q}
	case "Scratched", "Confirmed", "Corrected":
		return []entry.Entry{correctionOf(n, all)}
	case "Single":
		if all[0].class == vocab.Control {
			return []entry.Entry{entry.Control{Verb: all[0].row.Means}}
		}
		return []entry.Entry{entry.Consent{Given: all[0].row.Means == "yes"}}
	}
	panic("no meaning for " + n.rule)
}

// childrenOf returns the leaves below the kids with one of the rules.
func childrenOf(n *node, rules ...string) []*node {
	var out []*node
	for _, k := range n.kids {
		if slices.Contains(rules, k.rule) {
			out = append(out, leaves(k.kids)...)
		}
	}
	return out
}

func placeOf(ls []*node) entry.Point {
	var p entry.Point
	for i, l := range ls {
		switch l.class {
		case vocab.Element:
			p.Element = entry.Element(l.row.Means)
		case vocab.Side:
			p.Side = entry.Side(l.row.Means)
		case vocab.Output:
			p.Side = entry.ReceiverSide
		case vocab.Behind:
			p.Side = entry.DishSide
		case vocab.Room, vocab.Numbered:
			p.Room = l.row.Means
		case vocab.Index:
			switch ls[i-1].class {
			case vocab.Element:
				p.Number = l.int()
			case vocab.Output:
				p.Port = l.int()
			default:
				p.Room += fmt.Sprintf(" %d", l.int())
			}
		}
	}
	return p
}

func showOf(r *entry.Reading, ls []*node) {
	for i, l := range ls {
		switch l.class {
		case vocab.Verdict:
			r.Verdict = entry.Verdict(l.row.Means)
		case vocab.Level:
			r.Level = l.value()
		case vocab.NoSignal:
			r.NoSignal = true
			if l.row.Means != "" && !slices.ContainsFunc(ls, func(n *node) bool { return n.class == vocab.Verdict }) {
				r.Verdict = entry.Verdict(l.row.Means)
			}
		case vocab.NoVolts:
			r.Volts = entry.NewDecimal(0, 0)
		case vocab.Volts, vocab.Tension:
			r.Volts = l.value()
		case vocab.Share:
			r.Strength = l.value()
		case vocab.Score:
			if ls[i-1].class == vocab.MER {
				r.MER = l.value()
			} else {
				r.Strength = l.value()
			}
		case vocab.Orbit:
			r.Slot = l.int()
		case vocab.Channel:
			r.Transponder = l.int()
		case vocab.Polarity:
			r.Polarity = l.row.Means
		}
	}
}

func readingsOf(n *node) []entry.Entry {
	var out []entry.Entry
	var at entry.Point
	for _, k := range n.kids {
		switch k.rule {
		case "Point", "Sided", "Roomed":
			at = placeOf(leaves(k.kids))
		case "Shown":
			r := entry.Reading{Point: at}
			showOf(&r, leaves(k.kids))
			out = append(out, r)
		case "Next":
			r := entry.Reading{}
			for j, kk := range k.kids {
				if kk.rule == "Shown" {
					r.Point = placeOf(k.kids[:j])
					showOf(&r, leaves(kk.kids))
				}
			}
			r.Point.Element, r.Point.Number = at.Element, at.Number
			r.Point.Room = at.Room // a side has no room of its own
			out = append(out, r)
		}
	}
	ls := leaves(n.kids)
	if n.rule == "Reading" && len(ls) == 2 && ls[0].class == vocab.Element && ls[0].row.Means == "dish" && ls[1].class == vocab.Verdict {
		return []entry.Entry{entry.Check{Check: "dish", Verdict: entry.Verdict(ls[1].row.Means)}}
	}
	return out
}

func elementSaid(ls []*node) entry.PathElement {
	p := placeOf(ls)
	e := entry.PathElement{Element: p.Element, Number: p.Number, Port: p.Port, Room: p.Room}
	for _, l := range ls {
		switch l.class {
		case vocab.Length:
			e.Element, e.LengthFt = entry.Cable, l.value()
		case vocab.Cable:
			if e.Element == "" {
				e.Element = entry.Cable
			}
		case vocab.CableType:
			e.Cable = l.row.Means
			if e.Element == "" {
				e.Element = entry.Cable
			}
		case vocab.Ways:
			e.Ways = l.int()
		}
	}
	return e
}

func pathOf(n *node) entry.Entry {
	var out entry.Path
	bare := false
	var parts [][]*node
	for _, k := range n.kids[1:] {
		ls := leaves(k.kids)
		for i, l := range ls {
			if l.class == vocab.Cable && i > 0 && ls[0].class != vocab.Length && elementSaid(ls).Element != entry.Jumper {
				parts = append(parts, ls[:i])
				ls = ls[i:]
				break
			}
		}
		parts = append(parts, ls)
	}
	for _, ls := range parts {
		e := elementSaid(ls)
		if len(out.Elements) > 0 {
			last := &out.Elements[len(out.Elements)-1]
			if e.Element == entry.Jumper && bare {
				e.LengthFt = last.LengthFt
				*last, bare = e, false
				continue
			}
			if e.LengthFt.Said() && last.Element == entry.Cable && !last.LengthFt.Said() && (last.Cable == "" || e.Cable == "") {
				last.LengthFt = e.LengthFt
				if last.Cable == "" {
					last.Cable = e.Cable
				}
				continue
			}
		}
		bare = len(ls) == 1 && ls[0].class == vocab.Length
		out.Elements = append(out.Elements, e)
	}
	return out
}

func placedOf(n *node) entry.Entry {
	var targets []entry.PathElement
	var subject, cable entry.PathElement
	var extras []entry.PathElement
	for _, k := range n.kids {
		switch k.rule {
		case "Target":
			targets = append(targets, elementSaid(leaves(k.kids)))
		case "Subject":
			subject = elementSaid(leaves(k.kids))
		case "Run":
			cable = elementSaid(leaves(k.kids))
		case "Extra":
			extras = append(extras, elementSaid(leaves(k.kids)))
		}
	}
	if n.kids[0].class == vocab.Cable {
		cable.Element = entry.Cable
		return entry.Path{Elements: []entry.PathElement{targets[0], cable, targets[1]}}
	}
	for _, k := range n.kids {
		switch k.class {
		case vocab.Between:
			return entry.Path{Verb: "insert", Elements: []entry.PathElement{targets[0], subject, targets[1]}}
		case vocab.After:
			return entry.Path{Verb: "insert", Elements: []entry.PathElement{targets[0], subject}}
		}
	}
	if subject.Element == entry.Jumper && targets[0].Element == entry.Receiver { // the jumper behind a receiver
		for _, e := range extras {
			if e.LengthFt.Said() {
				subject.LengthFt, subject.Cable = e.LengthFt, e.Cable
			}
			targets[0].Room = entry.OrElse(targets[0].Room, e.Room)
		}
		return entry.Path{Verb: "before", Elements: []entry.PathElement{subject, targets[0]}}
	}
	out := entry.Path{Elements: targets}
	for _, e := range extras {
		if e.Element == entry.Cable {
			out.Elements = append(out.Elements, e)
		} else {
			subject.Room = e.Room
		}
	}
	out.Elements = append(out.Elements, subject)
	return out
}

func actionOf(n *node) entry.Entry {
	out := entry.Action{Action: n.kids[0].row.Means}
	var ends []entry.Point
	for i, k := range n.kids {
		switch {
		case k.rule == "Acted":
			ls := leaves(k.kids)
			e := elementSaid(ls)
			out.Element, out.Number, out.Room, out.LengthFt = e.Element, e.Number, e.Room, e.LengthFt
			for _, l := range ls {
				switch l.class {
				case vocab.Count:
					out.Quantity = l.int()
				case vocab.Item:
					out.Element = entry.Element(l.row.Means)
				case vocab.CableType:
					out.Cable = l.row.Means
				}
			}
		case k.rule == "Target":
			ends = append(ends, placeOf(leaves(k.kids)))
		case k.rule == "Spot":
			p := placeOf(leaves(k.kids))
			if p.Element == "" {
				p.Element, p.Number = out.Element, out.Number
			}
			out.At = &p
		case k.class == vocab.In && k.rule == "":
			out.Room = placeOf(n.kids[i+1:]).Room
		}
	}
	if len(ends) == 2 {
		for i := range ends { // the ends of a relation have ports, not sides
			if ends[i].Port > 0 {
				ends[i].Side = entry.ReceiverSide
			}
		}
		out.At, out.To = &ends[0], &ends[1]
	}
	return out
}

func partUsed(ls []*node) entry.Entry {
	var m entry.Material
	plural := false
	for _, l := range ls {
		switch l.class {
		case vocab.Distance:
			return entry.Miles{Value: l.value()}
		case vocab.Length:
			m.LengthFt = l.value()
		case vocab.Count:
			m.Quantity = l.int()
		case vocab.Element, vocab.Item:
			m.Item, plural = l.row.Means, l.row.Plural
		case vocab.Cable:
			m.Item = "cable"
		case vocab.CableType:
			m.Item, m.Cable = "cable", l.row.Means
		}
	}
	if m.Item == "" {
		m.Item = "cable"
	}
	if m.Item != "cable" && (m.LengthFt.Said() || m.Quantity == 0 && !plural) {
		m.Quantity = 1
	}
	return m
}

func checkMeant(n *node, all []*node) entry.Entry {
	var c entry.Check
	var place []*node
	for _, l := range all {
		switch l.class {
		case vocab.Check, vocab.DishCheck, vocab.InputTest:
			c.Check = l.row.Means
		case vocab.Verdict, vocab.Done, vocab.NA:
			c.Verdict = entry.Verdict(l.row.Means)
		case vocab.Remark:
			c.Remark = l.row.Say
		case vocab.Element, vocab.Room, vocab.Numbered, vocab.Index:
			place = append(place, l)
		}
	}
	if at := childrenOf(n, "Spot"); len(at) > 0 {
		place = at
	}
	if len(place) > 0 {
		p := placeOf(place)
		c.Point = &p
	}
	return c
}

func settingOf(all []*node) entry.Entry {
	s := entry.Setting{Name: map[vocab.Class]string{vocab.Threshold: "threshold", vocab.Floor: "floor_dbm", vocab.Temperature: "temperature_f", vocab.Weather: "weather"}[all[0].class]}
	for _, l := range all {
		switch l.class {
		case vocab.Score, vocab.Limit, vocab.Level, vocab.Warmth:
			s.Value = l.value()
		case vocab.Orbit:
			s.Slot = l.int()
		case vocab.Weather:
			s.Text = l.row.Means
		}
	}
	return s
}

func digitsOf(l *node) string {
	s := ""
	for _, r := range l.parts {
		s += fmt.Sprint(r.Num)
	}
	return s
}

func correctionOf(n *node, all []*node) entry.Entry {
	c := entry.Correction{Verb: map[string]string{"Scratched": "scratch", "Confirmed": "confirm", "Corrected": "change"}[n.rule]}
	if n.rule == "Scratched" {
		c.Count = 1
	}
	for _, l := range all {
		switch l.class {
		case vocab.EntryNumber:
			c.Count, c.Entry = 0, int64(l.int())
		case vocab.Count:
			c.Count = l.int()
		}
	}
	if n.rule != "Corrected" {
		return c
	}
	if at := childrenOf(n, "Point", "Sided", "AnyRoom"); len(at) > 0 {
		p := placeOf(at)
		c.Point = &p
	}
	var r entry.Reading
	showOf(&r, childrenOf(n, "Shown", "Core"))
	c.Verdict, c.Level, c.Strength, c.MER, c.Volts = r.Verdict, r.Level, r.Strength, r.MER, r.Volts
	c.NoSignal, c.Slot, c.Transponder, c.Polarity = r.NoSignal, r.Slot, r.Transponder, r.Polarity
	return c
}
