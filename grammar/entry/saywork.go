package entry

import (
	"fmt"
	"strings"

	"downlead/grammar/vocab"
)

func sayAction(a Action) string {
	what, room := elementName(a.Element), ""
	if a.At != nil {
		room = beforeRoom(a.Room) // a room after it would be the place's
	}
	if a.Element == Cable && a.Cable != "" && a.LengthFt.Said() {
		what = named(vocab.CableType, a.Cable) + " " + what
	}
	switch {
	case a.LengthFt.Said():
		what = SayNumber(a.LengthFt) + " feet of " + what
	case a.Quantity == 1:
		what = Join("one", room, what)
	case a.Quantity > 1:
		what = Join(SayNumber(Whole(int64(a.Quantity))), room, pluralName(string(a.Element)))
	default:
		what = Join(room, what)
	}
	where := ""
	switch {
	case a.At != nil && a.To != nil:
		where = "between " + sayTarget(ElementOf(*a.At)) + " and " + sayTarget(ElementOf(*a.To))
	case a.At != nil:
		if where = SayPoint(*a.At); !strings.HasPrefix(where, "behind ") {
			where = "at " + where
		}
	case a.Room != "":
		where = inRoom(a.Room)
	}
	with, by := "", ""
	if a.With != nil && !(*a.With == Point{Element: a.Element} && strings.HasPrefix(a.Remark, "with ")) {
		with = "with " + Join(beforeRoom(a.With.Room), elementName(a.With.Element), sayIndex(a.With.Number))
	}
	if a.To != nil && a.At == nil {
		with = Join("to", strings.TrimPrefix(SayPoint(*a.To), "in "))
	}
	if a.By != "" {
		by = "by the " + a.By
	}
	return List(Join(named(vocab.Action, a.Action), what, sayIndex(a.Number), where, with, by), a.Remark)
}

func ElementOf(p Point) PathElement {
	return PathElement{Element: p.Element, Number: p.Number, Port: p.Port, Room: p.Room}
}

// sayTarget says one end of a relation: the room first, because a room after
// it could be anyone's.
func sayTarget(p PathElement) string {
	port := ""
	if p.Port > 0 {
		port = "output " + sayIndex(p.Port)
	}
	return Join(beforeRoom(p.Room), elementName(p.Element), sayIndex(p.Number), port)
}

func sayMaterial(m Material) string {
	switch {
	case m.LengthFt.Said() && m.Item == string(Cable):
		return Join("used", SayNumber(m.LengthFt), "feet of", OrElse(namedIf(vocab.CableType, m.Cable), "cable"))
	case m.LengthFt.Said():
		return "used " + SayNumber(m.LengthFt) + " foot " + elementName(Element(m.Item))
	case m.Quantity == 0:
		return "used " + pluralName(m.Item)
	case m.Quantity == 1:
		return "used one " + elementName(Element(m.Item))
	}
	return "used " + SayNumber(Whole(int64(m.Quantity))) + " " + pluralName(m.Item)
}

// namedIf is the name of what was said, and "" where nothing was.
func namedIf(c vocab.Class, means string) string {
	if means == "" {
		return ""
	}
	return named(c, means)
}

func sayCheck(c Check) string {
	name := named(vocab.Check, c.Check)
	if c.Check == "input_test" {
		name = named(vocab.InputTest, c.Check)
	}
	verdict := string(c.Verdict)
	switch {
	case c.Verdict == NotApplicable:
		verdict = named(vocab.NA, "na")
	case c.Verdict == Pass && c.Check == "education":
		verdict = named(vocab.Done, "pass")
	}
	if c.Point == nil {
		return Join(name, verdict, c.Remark)
	}
	p := *c.Point
	switch {
	case p == Point{Element: p.Element, Number: p.Number}:
		return Join(name, elementName(p.Element), sayIndex(p.Number), verdict, c.Remark)
	case p == Point{Room: p.Room}:
		return Join(name, inRoom(p.Room), verdict, c.Remark)
	}
	return Join(name, verdict, c.Remark, "at", SayPoint(p))
}

func sayPath(p Path) string {
	if p.Verb == "insert" && len(p.Elements) == 3 {
		return Join(sayPart(p.Elements[1]), "between", sayTarget(p.Elements[0]), "and", sayTarget(p.Elements[2]))
	}
	if p.Verb == "insert" && len(p.Elements) == 2 {
		return Join(sayPart(p.Elements[1]), "after", sayTarget(p.Elements[0]))
	}
	if p.Verb == "before" && len(p.Elements) == 2 {
		return Join(sayPart(p.Elements[0]), "before", sayTarget(p.Elements[1]))
	}
	if len(p.Elements) == 3 && p.Elements[1].Element == Cable && isTarget(p.Elements[0]) && isTarget(p.Elements[2]) {
		run := ""
		if p.Elements[1].LengthFt.Said() {
			run = "is " + sayPart(p.Elements[1])
		}
		if run != "" || p.Elements[1].Cable == "" {
			return Join("cable from", sayTarget(p.Elements[0]), "to", sayTarget(p.Elements[2]), run)
		}
	}
	parts := make([]string, len(p.Elements))
	for i, e := range p.Elements {
		parts[i] = sayPart(e)
	}
	return "path " + List(parts...)
}

// isTarget reports that an element can be named as one end of a relation.
func isTarget(p PathElement) bool {
	return p.Element != Cable && p.Ways == 0 && !p.LengthFt.Said() && p.Cable == ""
}

func sayPart(p PathElement) string {
	if p.Element == Cable {
		name := elementName(Cable)
		if p.Cable != "" {
			name = named(vocab.CableType, p.Cable)
		}
		if p.LengthFt.Said() {
			return SayNumber(p.LengthFt) + " feet of " + name
		}
		if p.Cable != "" {
			return elementName(Cable) + " " + name
		}
		return name
	}
	length, ways, port, made := "", "", "", ""
	if p.Cable != "" {
		made = "cable of " + named(vocab.CableType, p.Cable)
	}
	if p.LengthFt.Said() {
		length = SayNumber(p.LengthFt) + " foot"
	}
	if p.Ways > 0 {
		ways = sayIndex(p.Ways) + " way"
	}
	if p.Port > 0 {
		port = "output " + sayIndex(p.Port)
	}
	return Join(length, ways, beforeRoom(p.Room), elementName(p.Element), sayIndex(p.Number), port, made)
}

func sayCorrection(c Correction) string {
	which := ""
	if c.Entry > 0 {
		which = "entry " + sayEntryNumber(c.Entry)
	}
	switch c.Verb {
	case "scratch":
		if c.Entry > 0 {
			return "scratch " + which
		}
		if c.Count > 1 {
			return "scratch last " + sayIndex(c.Count)
		}
		return "scratch that"
	case "confirm":
		return Join("confirm", which)
	}
	if len(c.Replace) > 0 {
		said := make([]string, len(c.Replace))
		for i, e := range c.Replace {
			said[i] = Say(e)
		}
		return fmt.Sprintf("%s is now: %s", OrElse(which, "that"), List(said...))
	}
	if c.At != "" {
		return Join(OrElse(which, named(vocab.Time, c.Mark)), "was at", c.At)
	}
	point := ""
	if c.Point != nil {
		point = SayPoint(*c.Point)
	}
	shown := sayShown(Reading{
		Verdict: c.Verdict, Level: c.Level, Strength: c.Strength, MER: c.MER, Volts: c.Volts,
		NoSignal: c.NoSignal, Slot: c.Slot, Transponder: c.Transponder, Polarity: c.Polarity,
	})
	return List(OrElse(which, "correct that"), point, shown, c.Remark)
}

func sayQuestion(q Question) string {
	slot, at := "", ""
	if q.Slot > 0 {
		slot = "for slot " + saySlot(q.Slot)
	}
	if q.Point != nil {
		at = "at the " + SayPoint(*q.Point)
		if q.Point.Side == DishSide && q.Point.Element == Receiver {
			at = "at " + SayPoint(*q.Point)
		}
	}
	switch q.Question {
	case "margin":
		return Join(named(vocab.Margin, "margin"), slot, at)
	case "aim":
		return Join(named(vocab.Aim, "aim"), slot)
	}
	return named(vocab.Question, q.Question)
}

func OrElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
