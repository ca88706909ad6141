package call

import (
	"strings"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// InspectionStep is a closing check and what to look at.
type InspectionStep struct{ Check, detail string }

// InspectionSteps returns the closing checks, in order.
func InspectionSteps() []InspectionStep {
	return []InspectionStep{
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
func (p *Progress) inspection() []item {
	var out []item
	for _, s := range InspectionSteps() {
		i := item{step: s.Check, phase: Inspection, state: StepMissing, detail: s.detail}
		c, ok := p.Checks[s.Check] // its last result
		switch {
		case ok && c.Verdict == entry.NotApplicable:
			i.state, i.detail = stepNA, strings.TrimPrefix(Remark(c.Check), ", ")
		case ok:
			i.state, i.detail = StepDone, checkWords(c.Check)
		case roofStep(s.Check) && trace.BadOnRoof(p.Call.Settings.Weather) != "":
			i.held = true
			i.detail = "held back: no climbing in " + trace.BadOnRoof(p.Call.Settings.Weather) + "; look from the ground, or say it is not applicable"
		}
		out = append(out, i)
	}
	explain := item{step: "explanation", phase: Inspection, state: StepMissing, detail: "tell the customer what was wrong and what was done"}
	for _, check := range []string{"explanation", "education"} { // the one is part of the other
		if c, ok := p.Checks[check]; ok && c.Verdict != entry.Fail {
			explain.state, explain.detail = StepDone, ""
		}
	}
	return append(out, explain)
}

func checkWords(c entry.Check) string {
	switch c.Verdict {
	case entry.Pass:
		return "passed" + Remark(c)
	case entry.Fail:
		return "failed" + Remark(c)
	case entry.NotApplicable:
		return "not applicable" + Remark(c)
	}
	return "done" + Remark(c)
}

func Remark(c entry.Check) string {
	if c.Remark == "" {
		return ""
	}
	return ", " + c.Remark
}

// repairWords says what a repair did: "replaced the ground block".
func repairWords(c trace.Call, r trace.Repair) string {
	a := r.Action
	verb := strings.ReplaceAll(a.Action, "_", "-")
	what := "the " + path.KindWords(a.Element)
	switch {
	case a.Quantity > 1:
		what = path.Numeral(a.Quantity) + " " + path.KindWords(a.Element) + "s"
	case a.Number > 0 && a.Element == entry.Receiver:
		what = path.PartWords(entry.Point{Element: a.Element, Number: a.Number})
	case a.Number > 0:
		what = "the " + path.PartWords(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	case a.Room != "":
		what = "the " + a.Room + " " + path.KindWords(a.Element)
	case a.LengthFt.Said():
		what = a.LengthFt.String() + " ft of " + path.KindWords(a.Element)
	case a.Action == "added":
		what = "a " + path.KindWords(a.Element)
	}
	switch {
	case a.At != nil && a.To != nil:
		return verb + " " + what + " between " + path.TheEnd(*a.At) + " and " + path.TheEnd(*a.To)
	case a.At != nil && a.At.Element != "":
		return verb + " " + what + " " + path.AtPoint(*a.At)
	}
	return verb + " " + what
}
