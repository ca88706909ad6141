package diagnose

import (
	"fmt"

	"downlead/grammar"
)

// repair is the step of repairing an element.
func (p *planner) repair(element int) *Next {
	n := p.workAt(element)
	n.Code = WhyAtFault
	n.Why = fmt.Sprintf("the %s is at fault, %s (%s): repair it, then measure behind the receiver again%s",
		p.call.Path.name(element), oddsWords(p.marginals[element]), percent(p.marginals[element]), n.Why)
	return n
}

// weak is the step when every part measured loses what it should and the
// signal is still too low: the dish's aim, then the LNB, then there is nothing
// left to repair.
func (p *planner) weak() *Next {
	for _, kind := range []grammar.Element{grammar.Dish, grammar.LNB} {
		i := p.kind(kind)
		if i >= len(p.call.Path.Elements) || p.call.version(i) != 0 {
			continue
		}
		n := p.workAt(i)
		what := "check the aim of the dish"
		if kind == grammar.LNB {
			what = "replace the LNB"
		}
		n.Code = WhyWeak
		n.Why = "every part measured loses what it should, and the signal is weak from the start: " + what + n.Why
		return n
	}
	return &Next{Act: ActCall, Code: WhyTooWeak, Why: "every part measured loses what it should, and the dish and the LNB were seen to: the run is too long for the signal here"}
}

// wait is the step when only a point that the weather holds back would tell
// more; it has no point.
func (p *planner) wait() *Next {
	for x, s := range p.by {
		why := p.unsafe(s)
		if why == "" || p.worn[x] || p.bits(p.belief.p, x) < p.tables.Decide.LeastBits {
			continue
		}
		return &Next{Act: ActStep, Code: WhyWeather, Why: fmt.Sprintf("only a reading %s would tell more, and nobody goes up while there is %s: wait, or come back",
			atPoint(p.call.Path.PointAt(p.places[x])), why)}
	}
	return nil
}

// workAt is a step at an element, and what holds it back.
func (p *planner) workAt(element int) *Next {
	p.toRepair = element
	s := p.standAt(element)
	side := grammar.ReceiverSide
	n := &Next{
		Act: ActRepair, Point: p.call.Path.Point(element, side), ID: p.call.Path.Elements[element].ID,
		Minutes: p.tables.minutes(p.at, s) + p.tables.Minutes.Repair,
	}
	if why := p.unsafe(s); why != "" {
		n.Why = fmt.Sprintf("; not while there is %s: nobody goes up now", why)
	}
	return n
}

// splitWords says what a reading at joint k of a branch parts.
func (p *planner) splitWords(way []int, weight []float64, k int) string {
	before, all := 0.0, 0.0
	for i, w := range weight {
		all += w
		if i <= k {
			before += w
		}
	}
	return p.partWords(before / all)
}

// partWords says how a reading parts the odds.
func (p *planner) partWords(dishward float64) string {
	return fmt.Sprintf("it parts the odds: %.0f %% towards the dish, %.0f %% elsewhere", 100*dishward, 100*(1-dishward)) + p.heldBack()
}

func (p *planner) informationWords(x int) string {
	why := "of all points it tells most for the minutes"
	if len(p.spans) > 1 {
		why = "several branches fail, and of all points it tells most for the minutes"
	}
	return why + p.heldBack()
}

// heldBack says that points were left out because of the weather.
func (p *planner) heldBack() string {
	for _, s := range p.by {
		if why := p.unsafe(s); why != "" {
			return fmt.Sprintf("; the roof is left out while there is %s", why)
		}
	}
	return ""
}

func percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", p*100)
}

// oddsWords says a probability in words.
func oddsWords(p float64) string {
	switch {
	case p >= 0.95:
		return "almost certain"
	case p >= 0.75:
		return "very likely"
	case p >= 0.5:
		return "likely"
	case p >= 0.2:
		return "possible"
	case p >= 0.05:
		return "less likely"
	}
	return "unlikely"
}
