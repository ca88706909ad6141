package diagnose

import (
	"fmt"
	"slices"
	"strings"
)

// Answer is the spoken answer after an entry: where the fault is and what is
// next, in one or two short sentences.
func Answer(d Diagnosis) string {
	if len(d.Contradictions) > 0 {
		return fmt.Sprintf("Two readings disagree. Measure again %s.", atPoint(d.Contradictions[0].Repeat))
	}
	switch d.Phase {
	case Baseline:
		return "Next: " + detailOf(d, "baseline") + "."
	case Tracing:
		return tracingAnswer(d)
	case Repairing:
		return narrowedAnswer(d)
	case Proving:
		return sentence(firstDetail(d, "proof"))
	case Outlet:
		return "It passes. Next: " + detailOf(d, "outlet") + "."
	case InputTest:
		return sentence(detailOf(d, "input_test"))
	case OtherReceivers:
		return unsafeOutlet(d) + sentence(firstDetail(d, "receiver_"))
	case Inspection:
		open := openChecks(d)
		if len(open) == len(inspectionSteps()) { // nothing looked at yet: the outlet came just before
			return unsafeOutlet(d) + "Still to do: " + list(open, "and") + "."
		}
		return "Still to do: " + list(open, "and") + "."
	case Closed:
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
	if slices.ContainsFunc(d.Findings, func(f Finding) bool { return f.Code == FindingOutlet }) {
		return "The outlet failed: do not plug in; it is for a licensed electrician. "
	}
	return ""
}

func tracingAnswer(d Diagnosis) string {
	if len(d.Brackets) == 0 {
		return "Measure behind the receiver again."
	}
	text := d.Brackets[0].clause + "."
	if text == "." { // read back from the machine form
		text = d.Brackets[0].Text
	}
	switch {
	case d.Next == nil || d.Next.Why == "" && d.Next.Point.Element == "":
	case d.Next.isRepair():
		text += " " + sentence(d.Next.Why)
	default:
		text += " Next: " + pointWords(d.Next.Point) + "."
	}
	return text
}

// isRepair reports whether the next step is anything but a reading.
func (n Next) isRepair() bool { return n.Act != ActRead }

func narrowedAnswer(d Diagnosis) string {
	for _, m := range d.Missing {
		if m.Step == "repair" {
			return sentence(m.Detail) + " Mend it, then measure behind the receiver again."
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
		closing := slices.ContainsFunc(inspectionSteps(), func(s inspectionStep) bool { return s.check == m.Step })
		if closing {
			out = append(out, m.Step)
		}
	}
	if len(out) == 0 {
		return []string{"explanation to the customer"}
	}
	return out
}
