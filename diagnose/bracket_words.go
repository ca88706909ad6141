package diagnose

import (
	"fmt"
	"strings"

	"downlead/grammar"
)

// spanText says a bracket as a technician would.
func (c Call) spanText(s span) string {
	fail := c.point(s.fail)
	if c.atDish(s) {
		if s.fail.reach > 1 {
			return fmt.Sprintf("The fault is at the dish: its aim, the dish, the LNB or the supply to it. It fails %s.", atPoint(fail))
		}
		return "It already fails at the LNB. The fault is at the dish: its aim, the dish, the LNB or the supply to it."
	}
	if s.pass == nil {
		return fmt.Sprintf("Nothing passes yet, and it fails %s. The fault is between the dish and there: %s.", atPoint(fail), c.nameAll(s.elements))
	}
	pass := c.point(*s.pass)
	if len(s.elements) == 1 {
		return fmt.Sprintf("It passes %s, and fails %s. The fault is in the %s or its fittings.", atPoint(pass), atPoint(fail), c.Path.name(s.elements[0]))
	}
	reason := ""
	if s.across {
		reason = fmt.Sprintf(", so the signal is good as far as the %s", c.lastGood(s))
	}
	return fmt.Sprintf("It passes %s%s, and fails %s. The fault is between: %s.", atPoint(pass), reason, atPoint(fail), c.nameAll(s.elements))
}

// atDish reports whether a bracket holds the dish and the LNB alone.
func (c Call) atDish(s span) bool {
	return s.pass == nil && c.narrowed(s)
}

// lastGood names the last part that a pass on another branch vouches for.
func (c Call) lastGood(s span) string {
	if up := c.Path.Parent[s.elements[0]]; up >= 0 {
		return c.Path.name(up)
	}
	return "dish"
}

// sharedText says that one fault would explain several failing branches.
func (c Call) sharedText(g shared) string {
	var fails []string
	for _, b := range g.branches {
		fails = append(fails, atPoint(c.point(b.fail)))
	}
	return fmt.Sprintf("It fails %s. One fault in what they share explains all of it; look there first: %s.", list(fails, "and"), c.nameAll(g.elements))
}

// nameAll lists elements; a long run by its ends.
func (c Call) nameAll(elements []int) string {
	const most = 7
	var names []string
	for _, e := range elements {
		names = append(names, c.Path.name(e))
	}
	if len(names) > most {
		return fmt.Sprintf("%s to %s, %d parts", names[0], names[len(names)-1], len(names))
	}
	return list(names, "or")
}

// between says where the fault is in one clause, from a bracket's points.
func between(b Bracket) string {
	switch {
	case b.Pass == nil && onlyDish(b):
		return "Fault is at the dish or the LNB"
	case b.Pass == nil:
		return fmt.Sprintf("Fault is between the dish and %s", theEnd(b.Fail))
	case len(b.Elements) == 1 && b.Pass.Element == b.Fail.Element && b.Pass.Number == b.Fail.Number && b.Fail.Element != grammar.Receiver:
		return fmt.Sprintf("Fault is in the %s or its fittings", partWords(b.Fail))
	case len(b.Elements) == 1:
		kind, _, _ := strings.Cut(b.Elements[0], " ")
		return fmt.Sprintf("Fault is in the %s between %s and %s, or its fittings", kindWords(grammar.Element(kind)), theEnd(*b.Pass), theEnd(b.Fail))
	}
	return fmt.Sprintf("Fault is between %s and %s", endWords(*b.Pass), endWords(b.Fail))
}

// endWords names one end of a bracket; the side where it tells.
func endWords(p grammar.Point) string {
	if p.Port > 0 {
		return pointWords(p)
	}
	return theEnd(p)
}

func onlyDish(b Bracket) bool {
	for _, id := range b.Elements {
		if !strings.HasPrefix(id, string(grammar.Dish)+" ") && !strings.HasPrefix(id, string(grammar.LNB)+" ") {
			return false
		}
	}
	return true
}
