package diagnose

import (
	"strings"

	"downlead/grammar"
)

// inspectionStep is a closing check and what to look at.
type inspectionStep struct{ check, detail string }

// inspectionSteps returns the closing checks, in order.
func inspectionSteps() []inspectionStep {
	return []inspectionStep{
		{"dish", "look at the dish: surface, aim, anything in its way"},
		{"mount", "look at the mount: plumb, tight, sealed"},
		{"cabling", "look at the cable runs: no sharp bend, no damage, fastened"},
		{"components", "look at every block, barrel, splitter and wall plate"},
		{"grounding", "look at the grounding and report it; it is never certified here"},
		{"education", "show the customer what was done and what to watch"},
	}
}

// roofStep reports a check done on a ladder or a roof.
func roofStep(check string) bool { return check == "dish" || check == "mount" }

// inspection returns the closing checks and the explanation.
func (p *progress) inspection() []item {
	var out []item
	for _, s := range inspectionSteps() {
		i := item{step: s.check, phase: Inspection, state: stepMissing, detail: s.detail}
		c, ok := p.checks[s.check] // its last result
		switch {
		case ok && c.Verdict == grammar.NotApplicable:
			i.state, i.detail = stepNA, strings.TrimPrefix(remark(c.Check), ", ")
		case ok:
			i.state, i.detail = stepDone, checkWords(c.Check)
		case roofStep(s.check) && badOnRoof(p.call.Settings.Weather) != "":
			i.held = true
			i.detail = "held back: no climbing in " + badOnRoof(p.call.Settings.Weather) + "; look from the ground, or say it is not applicable"
		}
		out = append(out, i)
	}
	explain := item{step: "explanation", phase: Inspection, state: stepMissing, detail: "tell the customer what was wrong and what was done"}
	for _, check := range []string{"explanation", "education"} { // the one is part of the other
		if c, ok := p.checks[check]; ok && c.Verdict != grammar.Fail {
			explain.state, explain.detail = stepDone, ""
		}
	}
	return append(out, explain)
}

func checkWords(c grammar.Check) string {
	switch c.Verdict {
	case grammar.Pass:
		return "passed" + remark(c)
	case grammar.Fail:
		return "failed" + remark(c)
	case grammar.NotApplicable:
		return "not applicable" + remark(c)
	}
	return "done" + remark(c)
}

func remark(c grammar.Check) string {
	if c.Remark == "" {
		return ""
	}
	return ", " + c.Remark
}

// repairWords says what a repair did: "replaced the ground block".
func (c Call) repairWords(r Repair) string {
	a := r.Action
	verb := strings.ReplaceAll(a.Action, "_", "-")
	what := "the " + kindWords(a.Element)
	switch {
	case a.Quantity > 1:
		what = numeral(a.Quantity) + " " + kindWords(a.Element) + "s"
	case a.Number > 0 && a.Element == grammar.Receiver:
		what = partWords(grammar.Point{Element: a.Element, Number: a.Number})
	case a.Number > 0:
		what = "the " + partWords(grammar.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	case a.Room != "":
		what = "the " + a.Room + " " + kindWords(a.Element)
	case a.LengthFt.Said():
		what = a.LengthFt.String() + " ft of " + kindWords(a.Element)
	case a.Action == "added":
		what = "a " + kindWords(a.Element)
	}
	switch {
	case a.At != nil && a.To != nil:
		return verb + " " + what + " between " + theEnd(*a.At) + " and " + theEnd(*a.To)
	case a.At != nil && a.At.Element != "":
		return verb + " " + what + " " + atPoint(*a.At)
	}
	return verb + " " + what
}
