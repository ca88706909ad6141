package next

import (
	"fmt"
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// repair is the step of repairing an element.
func (p *planner) repair(element int) *Next {
	n := p.workAt(element)
	n.Code = WhyAtFault
	n.Why = fmt.Sprintf("the %s is at fault, %s (%s)%s",
		p.Call.Path.Name(element), OddsWords(p.Marginals[element]), Percent(p.Marginals[element]), n.Why)
	return n
}

// mendFirst is the step of repairing an element before anything more is read.
func (p *planner) mendFirst(element int) *Next {
	n := p.workAt(element)
	n.Code = WhyCheaper
	what := "the " + p.Call.Path.Name(element)
	if p.unit(element) > p.Marginals[element] {
		what += " or a fitting of it"
	}
	n.Why = fmt.Sprintf("%s is at fault, %s (%s), and mending it costs less than the best reading%s",
		what, OddsWords(p.unit(element)), Percent(p.unit(element)), n.Why)
	return n
}

// again is why a reading that stands is taken once more.
func (p *planner) again() (code, why string) {
	if len(p.Call.Contradictions()) > 0 {
		return WhyDisagree, "read again: two readings disagree" + p.heldBack()
	}
	return WhyConfirm, "read again: much rests on one reading" + p.heldBack()
}

// weak is the step when every part measured loses what it should and the
// signal is still too low: the dish's aim, then the LNB, then there is nothing
// left to repair.
func (p *planner) weak() *Next {
	if p.startsWell() {
		return &Next{Act: ActCall, Code: WhyTooWeak, Why: "the signal is as it should be at the LNB, and every part measured loses what it should"}
	}
	for _, kind := range []entry.Element{entry.Dish, entry.LNB} {
		i := p.Kind(kind)
		if i >= len(p.Call.Path.Elements) || fault.Version(p.Call, i) != 0 {
			continue
		}
		n := p.workAt(i)
		what := "check the aim of the dish"
		if kind == entry.LNB {
			what = "replace the LNB"
		}
		n.Code = WhyWeak
		n.Why = "every part measured loses what it should, and the signal is weak from the start: " + what + n.Why
		return n
	}
	return &Next{Act: ActCall, Code: WhyTooWeak, Why: "every part measured loses what it should, and the dish and the LNB were seen to"}
}

// startsWell reports whether the last level read at the LNB is no weaker than
// what a healthy one gives, within two spreads of the meter: then neither it
// nor the aim of the dish is why too little arrives.
func (p *planner) startsWell() bool {
	for _, o := range slices.Backward(p.Call.Observations) {
		if p.Call.Path.Elements[o.Element].Element == entry.LNB && o.Reading.Level.Said() && o.Round == p.Call.Round(p.Call.JointOf(o)) {
			mean, _ := level.ExpectedLevel(p.Call, p.Tables, o)
			return o.Reading.Level.Float() > mean-2*p.Tables.Meter.LevelSD
		}
	}
	return false
}

// wait is the step when only a point that the weather holds back would tell
// more; it has no point.
func (p *planner) wait() *Next {
	for x, s := range p.By {
		why := unsafe(p.Model, s)
		if why == "" || p.worn[x] || p.bits(p.Belief.P, x) < p.Tables.Decide.LeastBits {
			continue
		}
		return &Next{Act: ActStep, Code: WhyWeather, Why: fmt.Sprintf("wait, or come back: only a reading %s would tell more, and nobody goes up while there is %s",
			path.AtPoint(p.Call.Path.PointAt(p.Places[x])), why)}
	}
	return nil
}

// workAt is a step at an element, and what holds it back.
func (p *planner) workAt(element int) *Next {
	p.toRepair = element
	s := standAt(p.Model, element)
	side := entry.ReceiverSide
	n := &Next{
		Act: ActRepair, Point: p.Call.Path.Point(element, side), ID: p.Call.Path.Elements[element].ID,
		Minutes: Minutes(p.Tables, p.At, s) + p.Tables.Minutes.Repair,
	}
	if why := unsafe(p.Model, s); why != "" {
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
	if len(p.Spans) > 1 {
		why = "several branches fail, and of all points it tells most for the minutes"
	}
	return why + p.heldBack()
}

// heldBack says that points were left out because of the weather.
func (p *planner) heldBack() string {
	for _, s := range p.By {
		if why := unsafe(p.Model, s); why != "" {
			return fmt.Sprintf("; the roof is left out while there is %s", why)
		}
	}
	return ""
}

func Percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", p*100)
}

// OddsWords says a probability in words.
func OddsWords(p float64) string {
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
