package closeout

import (
	"fmt"
	"strings"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// Namer puts points and elements into words. It numbers an element only where
// the job has more than one of its kind.
type Namer struct {
	many map[entry.Element]bool
	room map[string]string // element id to room
}

func NewNamer(path []path.PathElement) Namer {
	count := map[entry.Element]int{}
	n := Namer{many: map[entry.Element]bool{}, room: map[string]string{}}
	for _, e := range path {
		count[e.Element]++
		n.many[e.Element] = count[e.Element] > 1
		if e.Room != "" {
			n.room[e.ID] = e.Room
		}
	}
	return n
}

// Element returns "ground block", "splitter 2", "kitchen wall plate",
// "receiver 1 (kitchen)".
func (n Namer) Element(e entry.Element, number int, room string) string {
	s := Plain(string(e))
	if e == entry.LNB {
		s = "LNB"
	}
	numbered := number > 1 || number == 1 && n.many[e]
	switch {
	case room != "" && numbered && e == entry.Receiver:
		return fmt.Sprintf("%s %d (%s)", s, number, room)
	case room != "":
		return room + " " + s
	case numbered:
		return fmt.Sprintf("%s %d", s, number)
	}
	return s
}

// Point returns "behind receiver 2", "ground block, dish side",
// "splitter, output 2".
func (n Namer) Point(p entry.Point, id string) string {
	room := p.Room
	if room == "" {
		room = n.room[id]
	}
	number := p.Number
	if number == 0 {
		number = NumberOf(id)
	}
	s := n.Element(p.Element, number, room)
	switch {
	case p.Element == "" && p.Room != "":
		s = p.Room
	case p.Element == "":
		s = "point without an element"
	case p.Element == entry.Receiver && p.Side != entry.ReceiverSide:
		return "behind " + s
	}
	return strings.TrimSuffix(s+", "+Side("", p), ", ")
}

// Side names the side of an element: "dish side", "output 2", "behind it".
func Side(e entry.Element, p entry.Point) string {
	switch {
	case e == entry.Receiver && p.Side == entry.DishSide:
		return "behind it"
	case p.Port > 0:
		return fmt.Sprintf("output %d", p.Port)
	case p.Side == "":
		return ""
	}
	return string(p.Side) + " side"
}

// NumberOf returns the number in an element's id, "ground_block 2".
func NumberOf(id string) int {
	_, tail, ok := strings.Cut(id, " ")
	n := 0
	if ok {
		if _, err := fmt.Sscanf(tail, "%d", &n); err != nil {
			return 0
		}
	}
	return n
}

// Plain turns a name of the machine form into words: "ground_block".
func Plain(name string) string {
	if name == "re_aimed" || name == "re_terminated" {
		return strings.Replace(name, "_", "-", 1)
	}
	return strings.ReplaceAll(name, "_", " ")
}

// action returns "replaced ground block", "replaced 30 ft of cable between …".
func (n Namer) action(a entry.Action) string {
	var b strings.Builder
	b.WriteString(Plain(a.Action))
	if a.LengthFt.Said() {
		fmt.Fprintf(&b, " %s ft of", a.LengthFt)
	}
	what := n.Element(a.Element, a.Number, a.Room)
	if a.Quantity > 1 {
		what = fmt.Sprintf("%d %ss", a.Quantity, what)
	}
	if a.Element != "" {
		b.WriteString(" " + what)
	}
	switch {
	case a.At != nil && a.To != nil:
		fmt.Fprintf(&b, " between %s and %s", n.Point(*a.At, ""), n.Point(*a.To, ""))
	case a.At != nil:
		fmt.Fprintf(&b, " at %s", n.Point(*a.At, ""))
	}
	return b.String()
}

// what puts slot, transponder and polarity into words.
func what(r entry.Reading) string {
	return strings.Join(r.Signal(), " ")
}

// VerdictWord is the word printed for a verdict.
func VerdictWord(v entry.Verdict) string {
	switch v {
	case entry.Pass:
		return "pass"
	case entry.Fail:
		return "FAIL"
	case entry.NotApplicable:
		return "n/a"
	}
	return "not given"
}

// OutcomeWord is the word printed for an outcome.
func OutcomeWord(o Outcome) string {
	switch o {
	case Fixed:
		return "fixed"
	case FixedUnread:
		return "fixed, not every receiver read since"
	case Unexplained:
		return "passes, unexplained"
	case NotReproduced:
		return "could not be made to fail"
	case Rescheduled:
		return "rescheduled"
	case NeedsHelp:
		return "needs a second technician"
	case NotFixed:
		return "not fixed"
	case NoFault:
		return "no fault found"
	case NoAccess:
		return "no access"
	}
	return "job still open"
}
