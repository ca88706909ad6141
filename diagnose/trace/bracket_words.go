package trace

import (
	"fmt"
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// spanText says a bracket as a technician would.
func (c Call) spanText(s Span) string {
	fail := c.PointOfSpot(s.Fail)
	if c.atDish(s) {
		if s.Fail.Reach > 1 {
			return fmt.Sprintf("The fault is at the dish: its aim, the dish, the LNB or the supply to it. It fails %s.", path.AtPoint(fail))
		}
		return "It already fails at the LNB. The fault is at the dish: its aim, the dish, the LNB or the supply to it."
	}
	if s.pass == nil {
		return fmt.Sprintf("Nothing passes yet, and it fails %s. The fault is between the dish and there: %s.", path.AtPoint(fail), c.nameAll(s.Elements))
	}
	pass := c.PointOfSpot(*s.pass)
	if c.OneOutput(s) {
		return fmt.Sprintf("It passes %s, and fails %s, while another output passes. The fault is at %s or its fitting.", path.AtPoint(pass), path.AtPoint(fail), path.PointWords(fail))
	}
	if len(s.Elements) == 1 {
		return fmt.Sprintf("It passes %s, and fails %s. The fault is in %s or its fittings.", path.AtPoint(pass), path.AtPoint(fail), c.Path.The(s.Elements[0]))
	}
	reason := ""
	if s.across {
		reason = fmt.Sprintf(", so the signal is good as far as %s", c.lastGood(s))
	}
	return fmt.Sprintf("It passes %s%s, and fails %s. The fault is between: %s.", path.AtPoint(pass), reason, path.AtPoint(fail), c.nameAll(s.Elements))
}

// atDish reports whether a bracket holds the dish and the LNB alone.
func (c Call) atDish(s Span) bool {
	return s.pass == nil && c.Narrowed(s)
}

// lastGood names the last part that a pass on another branch vouches for.
func (c Call) lastGood(s Span) string {
	if up := c.Path.Parent[s.Elements[0]]; up >= 0 {
		return c.Path.The(up)
	}
	return "the dish"
}

// sharedText says that one fault would explain several failing branches.
func (c Call) sharedText(g Shared) string {
	var fails []string
	for _, b := range g.branches {
		fails = append(fails, path.AtPoint(c.PointOfSpot(b.Fail)))
	}
	return fmt.Sprintf("It fails %s. One fault in what they share explains all of it; look there first: %s.", path.List(fails, "and"), c.nameAll(g.Elements))
}

// nameAll lists elements; a long run by its ends.
func (c Call) nameAll(elements []int) string {
	const most = 7
	var names []string
	for _, e := range elements {
		names = append(names, c.Path.Name(e))
	}
	if len(names) > most {
		return fmt.Sprintf("%s to %s, %d parts", names[0], names[len(names)-1], len(names))
	}
	return path.List(names, "or")
}

// SpanEnds says between which readings a bracket lies: what the trace found,
// without what follows from it.
func (c Call) SpanEnds(s Span) string {
	fails := "fails " + path.AtPoint(c.PointOfSpot(s.Fail))
	if s.pass == nil {
		return fails
	}
	return "passes " + path.AtPoint(c.PointOfSpot(*s.pass)) + ", " + fails
}

// SpanClause says where the fault is in one clause.
func (c Call) SpanClause(s Span) string {
	fail := c.PointOfSpot(s.Fail)
	first := s.Elements[0]
	switch {
	case c.atDish(s):
		return "Fault is at the dish or the LNB"
	case s.pass == nil:
		return "Fault is between the dish and " + path.TheEnd(fail)
	case len(s.Elements) == 1 && path.IsRun(c.Path.Elements[first].Element) && !s.across:
		return fmt.Sprintf("Fault is in the %s between %s and %s, or its fittings", path.KindWords(c.Path.Elements[first].Element), endWords(c.PointOfSpot(*s.pass)), path.TheEnd(fail))
	case c.OneOutput(s):
		return fmt.Sprintf("Fault is at %s or its fitting", path.PointWords(fail))
	case len(s.Elements) == 1:
		return fmt.Sprintf("Fault is in %s or its fittings", c.Path.The(first))
	case s.across:
		return fmt.Sprintf("Fault is from %s on, towards %s", c.Path.The(first), path.TheEnd(fail))
	}
	return fmt.Sprintf("Fault is between %s and %s", endWords(c.PointOfSpot(*s.pass)), endWords(fail))
}

// OneOutput reports that a bracket is a part with several outputs of which one
// fails, another passes, and no other fails.
func (c Call) OneOutput(s Span) bool {
	if len(s.Elements) != 1 || s.pass == nil || s.Fail.Port == 0 || s.Fail.Last().Element != s.Elements[0] || !c.Path.Multi(s.Elements[0]) {
		return false
	}
	passes := false
	for _, o := range c.Spots() {
		port := c.outputTo(s.Elements[0], o.JointKey)
		if o.Stale || port == 0 || port == s.Fail.Port {
			continue
		}
		switch o.Verdict {
		case entry.Fail:
			if o.Port > 0 && o.Last().Element == s.Elements[0] { // at the output itself: further down it may be another fault
				return false
			}
		case entry.Pass:
			passes = true
		}
	}
	return passes
}

// outputTo is the output of element i through which the signal comes to a
// place, 0 where it comes through none or nobody knows which.
func (c Call) outputTo(i int, j JointKey) int {
	way := c.Path.Branch(j.Reach)
	k := slices.Index(way, i)
	switch {
	case k < 0:
		return 0
	case k+1 < len(way):
		return c.Path.Elements[way[k+1]].Port
	}
	return j.Port
}

// sharedClause says what several failing branches have in common.
func (c Call) sharedClause(g Shared) string {
	var ends []string
	for _, b := range g.branches {
		ends = append(ends, endWords(c.PointOfSpot(b.Fail)))
	}
	receiver := func(b Span) bool {
		return c.Path.Elements[b.Fail.Reach].Element == entry.Receiver || c.PointOfSpot(b.Fail).Element == entry.Receiver
	}
	names := path.List(ends, "and")
	switch all := !slices.ContainsFunc(g.branches, func(b Span) bool { return !receiver(b) }); {
	case len(ends) > 2 && all:
		names = fmt.Sprintf("the %s receivers that fail", path.Numeral(len(ends)))
	case len(ends) > 2:
		names = fmt.Sprintf("the %s points that fail", path.Numeral(len(ends)))
	}
	where := c.Path.The(g.Elements[0])
	if len(g.Elements) == 1 {
		return fmt.Sprintf("Fault is likely in %s, which %s share", where, names)
	}
	if last := g.Elements[len(g.Elements)-1]; len(g.Elements) > 1 {
		where = fmt.Sprintf("from %s to %s", where, c.Path.The(last))
	}
	return fmt.Sprintf("Fault is likely in what %s share, %s", names, where)
}

// endWords names one end of a bracket; the side where it tells.
func endWords(p entry.Point) string {
	if p.Port > 0 {
		return path.PointWords(p)
	}
	return path.TheEnd(p)
}
