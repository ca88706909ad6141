package diagnose

import (
	"fmt"

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
		return fmt.Sprintf("It passes %s, and fails %s. The fault is in %s or its fittings.", atPoint(pass), atPoint(fail), c.Path.the(s.elements[0]))
	}
	reason := ""
	if s.across {
		reason = fmt.Sprintf(", so the signal is good as far as %s", c.lastGood(s))
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
		return c.Path.the(up)
	}
	return "the dish"
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

// spanClause says where the fault is in one clause.
func (c Call) spanClause(s span) string {
	fail := c.point(s.fail)
	first := s.elements[0]
	switch {
	case c.atDish(s):
		return "Fault is at the dish or the LNB"
	case s.pass == nil:
		return "Fault is between the dish and " + theEnd(fail)
	case len(s.elements) == 1 && isRun(c.Path.Elements[first].Element) && !s.across:
		return fmt.Sprintf("Fault is in the %s between %s and %s, or its fittings", kindWords(c.Path.Elements[first].Element), endWords(c.point(*s.pass)), theEnd(fail))
	case len(s.elements) == 1:
		return fmt.Sprintf("Fault is in %s or its fittings", c.Path.the(first))
	case s.across:
		return fmt.Sprintf("Fault is from %s on, towards %s", c.Path.the(first), theEnd(fail))
	}
	return fmt.Sprintf("Fault is between %s and %s", endWords(c.point(*s.pass)), endWords(fail))
}

// sharedClause says what several failing branches have in common.
func (c Call) sharedClause(g shared) string {
	var ends []string
	for _, b := range g.branches {
		ends = append(ends, theEnd(c.point(b.fail)))
	}
	where := c.Path.the(g.elements[0])
	if last := g.elements[len(g.elements)-1]; len(g.elements) > 1 {
		where = fmt.Sprintf("from %s to %s", where, c.Path.the(last))
	}
	return fmt.Sprintf("Fault is likely in what %s share, %s", list(ends, "and"), where)
}

// endWords names one end of a bracket; the side where it tells.
func endWords(p grammar.Point) string {
	if p.Port > 0 {
		return pointWords(p)
	}
	return theEnd(p)
}
