package grammar

import (
	"fmt"
	"slices"
	"strings"
)

// meaningOf works out the entries of a derivation by its productions alone.
func meaningOf(nodes []*node) []Entry {
	var out []Entry
	for _, n := range nodes {
		if n.rule == "Sentence" || n.rule == "Alone" || n.rule == "Clause" {
			out = append(out, meaningOf(n.kids)...)
			continue
		}
		out = append(out, statementOf(n)...)
	}
	return out
}

func statementOf(n *node) []Entry {
	all := leaves(n.kids)
	switch n.rule {
	case "Reading", "Lead":
		return readingsOf(n)
	case "Backward", "Anywhere":
		r := Reading{Point: placeOf(childrenOf(n, "Point", "Sided"))}
		showOf(&r, childrenOf(n, "Slotted", "Core", "Figures"))
		return []Entry{r}
	case "Path":
		return []Entry{pathOf(n)}
	case "Placed":
		return []Entry{placedOf(n)}
	case "Action":
		return []Entry{actionOf(n)}
	case "Both":
		var out []Entry
		for _, k := range n.kids {
			if k.rule == "Acted" {
				out = append(out, actionOf(&node{kids: []*node{n.kids[0], k}}))
			}
		}
		return out
	case "Material":
		var out []Entry
		for _, k := range n.kids {
			if k.rule == "Used" || k.rule == "Count" {
				out = append(out, partUsed(leaves(k.kids)))
			}
		}
		return out
	case "Stretch", "Miles":
		return []Entry{partUsed(all)}
	case "Check", "Tested", "CheckOf":
		return []Entry{checkMeant(n, all)}
	case "Setup":
		return []Entry{settingOf(all)}
	case "Mark":
		return []Entry{Time{Mark: all[0].row.means}}
	case "Coded":
		c := Code{}
		for _, l := range all {
			switch l.class {
			case cCodeDigits:
				c.Code = digitsOf(l)
			case cCodeName:
				c.Code = l.row.means
			case cUnitCount:
				c.Units = l.value()
			}
		}
		return []Entry{c}
	case "Opening":
		return []Entry{Job{Verb: "start", Number: digitsOf(all[1])}}
	case "Texted":
		var text string
		for _, l := range all[1:] {
			text = strings.TrimSpace(text + " " + strings.Join(l.says, " "))
		}
		if all[0].class == cNote {
			return []Entry{Note{Text: text}}
		}
		return []Entry{Job{Verb: all[0].row.means, Text: text}}
	case "Ask":
		q := Question{Question: all[0].row.means}
		for _, l := range all {
			if l.class == cOrbit {
				q.Slot = l.int()
			}
		}
		if at := childrenOf(n, "Spot"); len(at) > 0 {
			p := placeOf(at)
			q.Point = &p
		}
		return []Entry{q}
	case "Scratched", "Confirmed", "Corrected":
		return []Entry{correctionOf(n, all)}
	case "Single":
		if all[0].class == cControl {
			return []Entry{Control{Verb: all[0].row.means}}
		}
		return []Entry{Consent{Given: all[0].row.means == "yes"}}
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

func placeOf(ls []*node) Point {
	var p Point
	for i, l := range ls {
		switch l.class {
		case cElement:
			p.Element = Element(l.row.means)
		case cSide:
			p.Side = Side(l.row.means)
		case cOutput:
			p.Side = ReceiverSide
		case cBehind:
			p.Side = DishSide
		case cRoom, cNumbered:
			p.Room = l.row.means
		case cIndex:
			switch ls[i-1].class {
			case cElement:
				p.Number = l.int()
			case cOutput:
				p.Port = l.int()
			default:
				p.Room += fmt.Sprintf(" %d", l.int())
			}
		}
	}
	return p
}

func showOf(r *Reading, ls []*node) {
	for i, l := range ls {
		switch l.class {
		case cVerdict:
			r.Verdict = Verdict(l.row.means)
		case cLevel:
			r.Level = l.value()
		case cNoSignal:
			r.NoSignal = true
		case cNoVolts:
			r.Volts = NewDecimal(0, 0)
		case cVolts, cTension:
			r.Volts = l.value()
		case cShare:
			r.Strength = l.value()
		case cScore:
			if ls[i-1].class == cMER {
				r.MER = l.value()
			} else {
				r.Strength = l.value()
			}
		case cOrbit:
			r.Slot = l.int()
		case cChannel:
			r.Transponder = l.int()
		case cPolarity:
			r.Polarity = l.row.means
		}
	}
}

func readingsOf(n *node) []Entry {
	var out []Entry
	var at Point
	for _, k := range n.kids {
		switch k.rule {
		case "Point", "Sided", "Roomed":
			at = placeOf(leaves(k.kids))
		case "Shown":
			r := Reading{Point: at}
			showOf(&r, leaves(k.kids))
			out = append(out, r)
		case "Next":
			r := Reading{}
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
	if n.rule == "Reading" && len(ls) == 2 && ls[0].class == cElement && ls[0].row.means == "dish" && ls[1].class == cVerdict {
		return []Entry{Check{Check: "dish", Verdict: Verdict(ls[1].row.means)}}
	}
	return out
}

func elementSaid(ls []*node) PathElement {
	p := placeOf(ls)
	e := PathElement{Element: p.Element, Number: p.Number, Port: p.Port, Room: p.Room}
	for _, l := range ls {
		switch l.class {
		case cLength:
			e.Element, e.LengthFt = Cable, l.value()
		case cCable:
			if e.Element == "" {
				e.Element = Cable
			}
		case cCableType:
			e.Cable = l.row.means
			if e.Element == "" {
				e.Element = Cable
			}
		case cWays:
			e.Ways = l.int()
		}
	}
	return e
}

func pathOf(n *node) Entry {
	var out Path
	bare := false
	var parts [][]*node
	for _, k := range n.kids[1:] {
		ls := leaves(k.kids)
		for i, l := range ls {
			if l.class == cCable && i > 0 && ls[0].class != cLength && elementSaid(ls).Element != Jumper {
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
			if e.Element == Jumper && bare {
				e.LengthFt = last.LengthFt
				*last, bare = e, false
				continue
			}
			if e.LengthFt.Said() && last.Element == Cable && !last.LengthFt.Said() && (last.Cable == "" || e.Cable == "") {
				last.LengthFt = e.LengthFt
				if last.Cable == "" {
					last.Cable = e.Cable
				}
				continue
			}
		}
		bare = len(ls) == 1 && ls[0].class == cLength
		out.Elements = append(out.Elements, e)
	}
	return out
}

func placedOf(n *node) Entry {
	var targets []PathElement
	var subject, cable PathElement
	var extras []PathElement
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
	if n.kids[0].class == cCable {
		cable.Element = Cable
		return Path{Elements: []PathElement{targets[0], cable, targets[1]}}
	}
	for _, k := range n.kids {
		switch k.class {
		case cBetween:
			return Path{Verb: "insert", Elements: []PathElement{targets[0], subject, targets[1]}}
		case cAfter:
			return Path{Verb: "insert", Elements: []PathElement{targets[0], subject}}
		}
	}
	out := Path{Elements: targets}
	for _, e := range extras {
		if e.Element == Cable {
			out.Elements = append(out.Elements, e)
		} else {
			subject.Room = e.Room
		}
	}
	out.Elements = append(out.Elements, subject)
	return out
}

func actionOf(n *node) Entry {
	out := Action{Action: n.kids[0].row.means}
	var ends []Point
	for i, k := range n.kids {
		switch {
		case k.rule == "Acted":
			ls := leaves(k.kids)
			e := elementSaid(ls)
			out.Element, out.Number, out.Room, out.LengthFt = e.Element, e.Number, e.Room, e.LengthFt
			for _, l := range ls {
				switch l.class {
				case cCount:
					out.Quantity = l.int()
				case cItem:
					out.Element = Element(l.row.means)
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
		case k.class == cIn && k.rule == "":
			out.Room = placeOf(n.kids[i+1:]).Room
		}
	}
	if len(ends) == 2 {
		for i := range ends { // the ends of a relation have ports, not sides
			if ends[i].Port > 0 {
				ends[i].Side = ReceiverSide
			}
		}
		out.At, out.To = &ends[0], &ends[1]
	}
	return out
}

func partUsed(ls []*node) Entry {
	var m Material
	plural := false
	for _, l := range ls {
		switch l.class {
		case cDistance:
			return Miles{Value: l.value()}
		case cLength:
			m.LengthFt = l.value()
		case cCount:
			m.Quantity = l.int()
		case cElement, cItem:
			m.Item, plural = l.row.means, l.row.plural
		case cCable, cCableType:
			m.Item = "cable"
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

func checkMeant(n *node, all []*node) Entry {
	var c Check
	var place []*node
	for _, l := range all {
		switch l.class {
		case cCheck, cDishCheck, cInputTest:
			c.Check = l.row.means
		case cVerdict, cDone, cNA:
			c.Verdict = Verdict(l.row.means)
		case cRemark:
			c.Remark = l.row.say
		case cElement, cRoom, cNumbered, cIndex:
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

func settingOf(all []*node) Entry {
	s := Setting{Name: map[class]string{cThreshold: "threshold", cFloor: "floor_dbm", cTemperature: "temperature_f", cWeather: "weather"}[all[0].class]}
	for _, l := range all {
		switch l.class {
		case cScore, cLimit, cLevel, cWarmth:
			s.Value = l.value()
		case cOrbit:
			s.Slot = l.int()
		case cWeather:
			s.Text = l.row.means
		}
	}
	return s
}

func digitsOf(l *node) string {
	s := ""
	for _, r := range l.parts {
		s += fmt.Sprint(r.num)
	}
	return s
}

func correctionOf(n *node, all []*node) Entry {
	c := Correction{Verb: map[string]string{"Scratched": "scratch", "Confirmed": "confirm", "Corrected": "change"}[n.rule]}
	if n.rule == "Scratched" {
		c.Count = 1
	}
	for _, l := range all {
		switch l.class {
		case cEntryNumber:
			c.Count, c.Entry = 0, int64(l.int())
		case cCount:
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
	var r Reading
	showOf(&r, childrenOf(n, "Shown", "Core"))
	c.Verdict, c.Level, c.Strength, c.MER, c.Volts = r.Verdict, r.Level, r.Strength, r.MER, r.Volts
	c.NoSignal, c.Slot, c.Transponder, c.Polarity = r.NoSignal, r.Slot, r.Transponder, r.Polarity
	return c
}
