package entry

import (
	"strings"

	"downlead/grammar/vocab"
)

func saySighting(s Sighting) string {
	part := Join(beforeRoom(s.Room), elementName(s.Element), sayIndex(s.Number))
	at := ""
	if s.At != nil {
		at = sayAt(*s.At)
	}
	return List(Join(part, "is", named(vocab.Condition, s.Condition), at), s.Remark)
}

// sayAt says a place after what is there: "at the wall plate", "behind
// receiver two".
func sayAt(p Point) string {
	if p.Side == DishSide && p.Element == Receiver {
		return SayPoint(p)
	}
	return "at the " + SayPoint(p)
}

func saySymptom(s Symptom) string {
	on := ""
	if s.Point != nil {
		on = "on " + SayPoint(*s.Point)
	}
	return List(Join(named(vocab.Symptom, s.Symptom), named(vocab.When, s.When), on), s.Remark)
}

func sayTime(t Time) string {
	said := named(vocab.Time, t.Mark)
	if t.At == "" {
		return said
	}
	return said + " at " + t.At
}

func sayOutcome(o Outcome) string {
	return List(Join(named(vocab.Outcome, o.Outcome), o.When), o.Remark)
}

// which says a choice of receivers: "both receivers", "receivers one and three".
func (w Which) say(name, plural string) string {
	if n := w.Numbers(); len(n) > 0 {
		said := make([]string, len(n))
		for i := range n {
			said[i] = sayIndex(n[i])
		}
		return plural + " " + strings.Join(said, " and ")
	}
	word, count := w.Word()
	switch word {
	case WhichBoth:
		return "both " + plural
	case WhichOthers:
		return "the other " + plural
	}
	return Join("all", sayIndex(count), plural)
}
