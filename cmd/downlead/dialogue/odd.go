package dialogue

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// odd finds what must be asked about an entry that is no reading, and about a
// reading that says too little.
func odd(e entry.Entry, call trace.Call) *question {
	switch e := e.(type) {
	case entry.Reading:
		return oddReading(e, call)
	case entry.Action:
		return oddAction(e, call)
	}
	return nil
}

func oddReading(r entry.Reading, call trace.Call) *question {
	shows := r.Verdict != "" || r.NoSignal || r.Level.Said() || r.Strength.Said() || r.MER.Said() || r.Volts.Said()
	if !shows {
		return &question{kind: askResult, blocks: true, text: sentence(entry.SayPoint(r.Point)+", "+r.Remark) + " Pass or fail?"}
	}
	found := call.Path.Find(r.Point)
	receivers := call.Path.Receivers()
	there := slices.ContainsFunc(found, func(i int) bool { return call.Path.Elements[i].Room == r.Point.Room })
	if r.Point.Element == entry.Receiver && r.Point.Room != "" && r.Point.Number == 0 && !there && len(receivers) > 1 {
		q := &question{kind: askPoint, blocks: true}
		for _, i := range receivers {
			q.add(call.Path, i, r.Point)
		}
		q.text = fmt.Sprintf("No receiver of this path is in the %s. Which one: %s?", r.Point.Room, strings.Join(q.names, ", or "))
		return q
	}
	if r.Point.Side != entry.ReceiverSide || r.Point.Port != 0 || len(found) != 1 {
		return nil
	}
	return askOutput(r.Point, call.Path, found[0])
}

// askOutput asks which output of a part was read, where it has several in use.
func askOutput(p entry.Point, path path.Path, i int) *question {
	var ports []int
	for _, e := range path.Elements {
		if e.Parent == path.Elements[i].ID && !e.Removed && e.Port > 0 && !slices.Contains(ports, e.Port) {
			ports = append(ports, e.Port)
		}
	}
	if len(ports) < 2 {
		return nil
	}
	slices.Sort(ports)
	q := &question{kind: askPoint, blocks: true}
	for _, port := range ports {
		choice := p
		choice.Port = port
		q.choices, q.rooms = append(q.choices, choice), append(q.rooms, "")
		q.names = append(q.names, "output "+entry.SayNumber(entry.NewDecimal(int64(port), 0)))
	}
	q.text = fmt.Sprintf("Which output of the %s: %s?", entry.SayPoint(entry.Point{Element: p.Element, Number: p.Number}), strings.Join(q.names, ", or "))
	return q
}

// oddAction asks which part was worked on, where the path has several.
func oddAction(a entry.Action, call trace.Call) *question {
	if ways := tooFewOutputs(a, call.Path); ways > 0 {
		return &question{kind: askWords, blocks: true, text: fmt.Sprintf("That has only %s outputs. Did you say: %s?", entry.SayNumber(entry.NewDecimal(int64(ways), 0)), entry.Say(a))}
	}
	switch a.Element {
	case entry.Fitting, entry.Cable, entry.Jumper, entry.Barrel, entry.Mount, entry.GroundWire, entry.Dish:
		return nil
	}
	if a.Action == "added" || a.At != nil || a.Quantity > 1 {
		return nil
	}
	said := entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}
	found := call.Path.Find(said)
	if len(found) < 2 {
		return nil
	}
	q := &question{kind: askPart, blocks: true}
	for _, i := range found {
		q.add(call.Path, i, said)
	}
	q.text = "Which one: " + strings.Join(q.names, ", or ") + "?"
	return q
}

// tooFewOutputs is how many outputs the part has on which something was said to
// be hung, where they are fewer than the output that was said; else 0.
func tooFewOutputs(a entry.Action, coax path.Path) int {
	found := coax.Find(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	if a.Action != "moved" || a.To == nil || a.To.Port == 0 || len(found) != 1 {
		return 0
	}
	for i := found[0]; i >= 0; i = coax.Parent[i] {
		if coax.Multi(i) {
			if ways := coax.Elements[i].SaidWays; ways > 0 && a.To.Port > ways {
				return ways
			}
			return 0
		}
	}
	return 0
}

// item asks whether what was seen is a fail of the inspection, once a check.
func item(e entry.Entry, before []record.Record) *question {
	s, ok := e.(entry.Sighting)
	if !ok {
		return nil
	}
	check := "components"
	switch s.Element {
	case entry.Dish:
		check = "dish"
	case entry.Mount:
		check = "mount"
	case entry.Cable, entry.Jumper:
		check = "cabling"
	case entry.GroundWire, entry.GroundBlock:
		check = "grounding"
	}
	for _, r := range before {
		if c, ok := r.Entry.(entry.Check); ok && c.Check == check {
			return nil
		}
		if other, ok := r.Entry.(entry.Sighting); ok && (other.Element == s.Element) {
			return nil
		}
	}
	return &question{kind: askItem, check: entry.Check{Check: check, Verdict: entry.Fail, Remark: entry.Say(s)}, text: "Is that a fail of the " + check + " check?"}
}
