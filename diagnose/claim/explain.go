package claim

import (
	"slices"
	"strconv"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
)

// Answer is the spoken answer after an entry: how it stands and what is next,
// in one or two short sentences.
func Answer(d Diagnosis) string {
	if len(d.Contradictions) > 0 && d.Phase != call.Closed {
		return d.NextWords()
	}
	switch d.Phase {
	case call.Tracing, call.Repairing:
		return swapWords(d) + whereWords(d) + d.NextWords()
	case call.Baseline, call.Proving:
		return d.NextWords()
	case call.Outlet, call.InputTest, call.OtherReceivers:
		return unsafeOutlet(d) + swapWords(d) + join(d.standing, d.NextWords())
	case call.Inspection:
		return unsafeOutlet(d) + ownTestFails(d) + "Still to do: " + path.List(openChecks(d), "and") + "."
	case call.Closed:
		return "The job is closed."
	}
	if len(d.Missing) > 0 {
		return "Only this is missing: " + d.Missing[0].Detail + "."
	}
	if d.noAccess {
		return "Customer not home. The job can be closed."
	}
	if len(d.Unanswered) > 0 {
		return "Everything else is done. " + d.UnansweredWords()
	}
	if back := d.BringBack(); len(back) > 0 {
		return "Everything is done, but this may bring you back: " + back[0].Text
	}
	return "Everything is done. The job can be closed."
}

// UnansweredWords names the entries that wait for an answer; "" where none do.
func (d Diagnosis) UnansweredWords() string {
	if len(d.Unanswered) == 0 {
		return ""
	}
	var numbers []string
	for _, seq := range d.Unanswered {
		numbers = append(numbers, strconv.FormatInt(seq, 10))
	}
	if len(numbers) == 1 {
		return "Entry " + numbers[0] + " waits for a yes or a no, and counts for nothing."
	}
	return "Entries " + path.List(numbers, "and") + " wait for a yes or a no, and count for nothing."
}

// NextWords says what to do next; "" when there is nothing.
func (d Diagnosis) NextWords() string {
	switch {
	case d.Next != nil && d.Next.Text != "":
		return d.Next.Text
	case d.Phase == call.Tracing || d.Phase == call.Repairing || len(d.Missing) == 0: // only outlined
		return "Next: measure behind the receiver again."
	}
	return "Next: " + d.Missing[0].Detail + "."
}

func join(sentences ...string) string {
	return strings.Join(slices.DeleteFunc(sentences, func(s string) bool { return s == "" }), " ")
}

// whereWords says where the fault is: one claim, the one that explains the
// others.
func whereWords(d Diagnosis) string {
	for _, c := range d.Claims {
		switch c.Code {
		case SupplyLost, Explains, WeakAhead:
			return c.Text + " "
		}
	}
	if len(d.Brackets) == 0 {
		return ""
	}
	b := d.Brackets[0]
	switch n := d.Next; {
	case n != nil && n.Code == next.WhyAtFault && !slices.Contains(b.Elements, n.ID):
		return "" // the odds say it, and the bracket would contradict them
	case b.Clause == "": // read back from the machine form
		return d.hedged(b, b.Text) + " "
	}
	return d.hedged(b, b.Clause) + ". "
}

// Steps returns the steps of the call with what the search for the fault has
// come to.
func Steps(steps []call.Step, d Diagnosis) []call.Step {
	out := slices.Clone(steps)
	where := path.Clause(strings.TrimRight(whereWords(d), ". "))
	if where == "" && len(d.Where()) > 0 {
		where = path.Clause(strings.TrimRight(d.Where()[0], ". "))
	}
	for i, s := range out {
		search := s.Step == "trace" || s.Step == "repair" && (d.Phase == call.Repairing || d.Phase == call.Closed && strings.Contains(s.Detail, "fault is "))
		if where != "" && search && (s.State == call.StepNow || s.State == call.StepMissing) {
			out[i].Detail = where
		}
	}
	return out
}

// swapWords says what the last exchange told.
func swapWords(d Diagnosis) string {
	said := ""
	for _, c := range d.Claims {
		if c.Code == WentWith || c.Code == Stayed {
			said = c.Text + " "
		}
	}
	return said
}

// unsafeOutlet says once more that a failing outlet is left alone.
func unsafeOutlet(d Diagnosis) string {
	if slices.ContainsFunc(d.Findings, func(f trace.Finding) bool { return f.Code == trace.FindingOutlet }) {
		return "The outlet failed: do not plug in; it is for a licensed electrician. "
	}
	return ""
}

// ownTestFails says which receivers fail their own test.
func ownTestFails(d Diagnosis) string {
	said := ""
	for _, c := range d.Claims {
		if c.Code == TestFailed {
			said += c.Text + " "
		}
	}
	return said
}

// isRepair reports whether the next step is anything but a reading.
func isRepair(n next.Next) bool { return n.Act != next.ActRead }

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
