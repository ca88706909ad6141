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
	text := between(d.Brackets[0]) + "."
	if d.Next != nil && d.Next.Point.Element != "" {
		text += " Next: " + pointWords(d.Next.Point) + "."
	}
	return text
}

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

// Explain says, in at most a screen of text, what is known, where the fault
// is, what is suspected and how strongly, why the next point is next, and what
// would change its mind.
func Explain(d Diagnosis, c Call) string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	explainKnown(d, line)
	for i, x := range d.Contradictions {
		if i == 2 {
			line("  and %d more like it.", len(d.Contradictions)-2)
			break
		}
		line("Readings disagree: %s", x.Text)
	}
	for i, br := range d.Brackets {
		if i == 3 {
			line("  and %d more stretches that fail.", len(d.Brackets)-3)
			break
		}
		line("%s", br.Text)
	}
	explainSuspects(d, c, line)
	explainNext(d, c, line)
	explainFindings(d, line)
	return strings.TrimRight(b.String(), "\n")
}

func explainKnown(d Diagnosis, line func(string, ...any)) {
	if len(d.Points) == 0 {
		line("Nothing is measured yet. Measure behind the receiver that fails.")
		return
	}
	const most = 6
	for i, p := range d.Points {
		if i == most {
			line("  and %d more points; see path.", len(d.Points)-most)
			break
		}
		line("  %-34s %s", pointWords(p.Point), stateWords(p))
	}
}

func stateWords(p PointState) string {
	verdict := string(p.Verdict)
	if verdict == "" {
		verdict = "not judged"
	}
	if p.Level != nil {
		verdict += fmt.Sprintf(", %s dBm", trim(*p.Level))
		if p.Expected != nil {
			verdict += fmt.Sprintf(" (about %.0f expected)", *p.Expected)
		}
	}
	if p.Stale {
		verdict += ", before the last repair on its way"
	}
	return verdict
}

func explainSuspects(d Diagnosis, c Call, line func(string, ...any)) {
	if len(d.Suspects) == 0 || len(d.Brackets) == 0 && d.Healthy > 0.5 {
		return
	}
	line("Suspects:")
	for i, s := range d.Suspects {
		if i == 4 || i > 0 && s.P < 0.01 {
			break
		}
		line("  %-34s %s (%s)", suspectWords(s, c.Path), oddsWords(s.P), percent(s.P))
	}
	if d.Beyond > 0.01 {
		line("  More than three faults at once: %s, not looked at.", percent(d.Beyond))
	}
	if judged := judgedPoints(d); judged < 2 {
		line("This rests on %s only: the odds are mostly how often each part fails.", plural(judged, "reading"))
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return numeral(n) + " " + what + "s"
}

func judgedPoints(d Diagnosis) int {
	n := 0
	for _, p := range d.Points {
		if p.Verdict != "" && !p.Stale {
			n++
		}
	}
	return n
}

// suspectWords names a suspect: "ground block: loses level".
func suspectWords(s Suspect, p Path) string {
	var names []string
	for _, id := range s.Elements {
		if i := p.Index(id); i >= 0 {
			names = append(names, p.name(i))
			continue
		}
		names = append(names, strings.ReplaceAll(id, "_", " "))
	}
	text := list(names, "and")
	if s.Mode != "" {
		text += ": " + modeWords(s.Mode)
	}
	return text
}

// modeWords says a failure mode in a technician's words.
func modeWords(mode string) string {
	switch mode {
	case ModeFlat:
		return "loses level"
	case ModeTilt:
		return "loses the high end"
	case ModeOpen:
		return "open or shorted"
	case ModeIntermittent:
		return "loses level now and then"
	case ModeDropout:
		return "opens now and then"
	case ModeMisaligned:
		return "out of aim"
	case ModePolarity:
		return "one polarisation lost"
	}
	return strings.ReplaceAll(mode, "_", " ")
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

func percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", p*100)
}

func explainNext(d Diagnosis, c Call, line func(string, ...any)) {
	if d.Next == nil || d.Phase != Tracing && d.Phase != Repairing && d.Phase != Baseline {
		line("%s", Answer(d))
		return
	}
	line("Next: %s (about %.0f min).", pointWords(d.Next.Point), d.Next.Minutes)
	if d.Next.Why != "" {
		line("  %s", d.Next.Why)
	}
	if d.PlanMinutes > 0 {
		line("  Finding the fault should take about %.0f more minutes of measuring.", d.PlanMinutes)
	}
	explainChange(d, c, line)
}

// explainChange says what each result at the next point would mean.
func explainChange(d Diagnosis, c Call, line func(string, ...any)) {
	if d.Phase != Tracing || d.Next.Point.Element == "" || len(d.Brackets) == 0 {
		return
	}
	found := c.Path.Find(d.Next.Point)
	if len(found) != 1 {
		return
	}
	reach := c.Path.Reach(found[0], d.Next.Point.Side)
	var before, after []string
	for _, id := range d.Brackets[0].Elements {
		i := c.Path.Index(id)
		switch {
		case i < 0:
		case c.Path.Above(i, reach):
			before = append(before, c.Path.name(i))
		default:
			after = append(after, c.Path.name(i))
		}
	}
	if len(before) == 0 || len(after) == 0 {
		return
	}
	line("  A pass there leaves: %s. A fail leaves: %s.", shortList(after), shortList(before))
}

// shortList names a run of parts by its ends when it is long.
func shortList(names []string) string {
	if len(names) > 3 {
		return names[0] + " to " + names[len(names)-1]
	}
	return list(names, "or")
}

func explainFindings(d Diagnosis, line func(string, ...any)) {
	const most = 4
	for i, f := range d.Findings {
		if i == most {
			line("  and %d more findings.", len(d.Findings)-most)
			return
		}
		line("- %s", f.Text)
	}
}
