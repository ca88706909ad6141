package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
)

// Answer is the spoken answer after an entry: where the fault is and what is
// next, in one or two short sentences.
func Answer(d Diagnosis) string {
	if len(d.Contradictions) > 0 {
		return fmt.Sprintf("Two readings disagree. Measure again %s.", path.AtPoint(d.Contradictions[0].Repeat))
	}
	switch d.Phase {
	case call.Baseline:
		return "Next: " + detailOf(d, "baseline") + "."
	case call.Tracing:
		return tracingAnswer(d)
	case call.Repairing:
		return narrowedAnswer(d)
	case call.Proving:
		return path.Sentence(firstDetail(d, "proof"))
	case call.Outlet:
		return "It passes. Next: " + detailOf(d, "outlet") + "."
	case call.InputTest:
		return path.Sentence(detailOf(d, "input_test"))
	case call.OtherReceivers:
		return unsafeOutlet(d) + path.Sentence(firstDetail(d, "receiver_"))
	case call.Inspection:
		open := openChecks(d)
		if len(open) == len(call.InspectionSteps()) { // nothing looked at yet: the outlet came just before
			return unsafeOutlet(d) + "Still to do: " + path.List(open, "and") + "."
		}
		return "Still to do: " + path.List(open, "and") + "."
	case call.Closed:
		return "The job is closed."
	}
	if len(d.Missing) > 0 {
		return "Only this is missing: " + d.Missing[0].Detail + "."
	}
	if d.noAccess {
		return "Customer not home. The job can be closed."
	}
	if back := d.BringBack(); len(back) > 0 {
		return "Everything is done, but this will bring you back: " + back[0].Text
	}
	return "Everything is done. The job can be closed."
}

// unsafeOutlet says once more that a failing outlet is left alone.
func unsafeOutlet(d Diagnosis) string {
	if slices.ContainsFunc(d.Findings, func(f trace.Finding) bool { return f.Code == trace.FindingOutlet }) {
		return "The outlet failed: do not plug in; it is for a licensed electrician. "
	}
	return ""
}

func tracingAnswer(d Diagnosis) string {
	if len(d.Brackets) == 0 {
		return "Measure behind the receiver again."
	}
	text := d.Brackets[0].Clause + "."
	if text == "." { // read back from the machine form
		text = d.Brackets[0].Text
	}
	switch {
	case d.Next == nil || d.Next.Why == "" && d.Next.Point.Element == "":
	case isRepair(*d.Next):
		text += " " + path.Sentence(d.Next.Why)
	default:
		text += " Next: " + path.PointWords(d.Next.Point) + "."
	}
	return text
}

// isRepair reports whether the next step is anything but a reading.
func isRepair(n next.Next) bool { return n.Act != next.ActRead }

func narrowedAnswer(d Diagnosis) string {
	for _, m := range d.Missing {
		if m.Step == "repair" {
			return path.Sentence(m.Detail) + " Mend it, then measure behind the receiver again."
		}
	}
	return tracingAnswer(d)
}

// detailOf returns the detail of a missing step.
func detailOf(d Diagnosis, step string) string {
	for _, m := range d.Missing {
		if m.Step == step {
			return m.Detail
		}
	}
	return strings.ReplaceAll(step, "_", " ")
}

// firstDetail returns the detail of the first missing step of a kind.
func firstDetail(d Diagnosis, prefix string) string {
	for _, m := range d.Missing {
		if strings.HasPrefix(m.Step, prefix) {
			return m.Detail
		}
	}
	return "measure behind the receiver again"
}

// openChecks names the closing checks that are missing.
func openChecks(d Diagnosis) []string {
	var out []string
	for _, m := range d.Missing {
		closing := slices.ContainsFunc(call.InspectionSteps(), func(s call.InspectionStep) bool { return s.Check == m.Step })
		if closing {
			out = append(out, m.Step)
		}
	}
	if len(out) == 0 {
		return []string{"explanation to the customer"}
	}
	return out
}
