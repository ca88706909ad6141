package diagnose

import (
	"fmt"

	"downlead/grammar"
)

// BringBack returns the findings that, left alone, are likely to cause another
// visit.
func (d Diagnosis) BringBack() []Finding {
	var out []Finding
	for _, f := range d.Findings {
		switch f.Code {
		case FindingDiffers, FindingRepeat, FindingNoSupply, FindingHighSupply, FindingSlot, FindingPolarity:
		default:
			out = append(out, f)
		}
	}
	return out
}

// findings lists what the technician should know, what is dangerous first.
func (c Call) findings(o Options) []Finding {
	t := tablesOr(o.Tables)
	var out []Finding
	out = append(out, c.checkFindings()...)
	out = append(out, c.differing()...)
	out = append(out, c.supplyFindings(t)...)
	out = append(out, c.excessFindings(t)...)
	for _, s := range c.spots() {
		if !s.stale {
			out = append(out, c.patterns(s, t)...)
		}
	}
	out = append(out, c.marginalFindings(t)...)
	out = append(out, c.barrelFindings()...)
	out = append(out, c.cladFindings(t)...)
	return append(out, c.repeatFindings(o.History)...)
}

// checkFindings reports a dangerous outlet and what the inspection failed.
func (c Call) checkFindings() []Finding {
	last := map[string]checked{}
	for _, r := range c.Records {
		if k, ok := r.Entry.(grammar.Check); ok {
			last[k.Check] = checked{seq: r.Seq, Check: k}
		}
	}
	var out []Finding
	if k, ok := last["outlet"]; ok && k.Verdict == grammar.Fail {
		out = append(out, Finding{Code: FindingOutlet, Entries: []int64{k.seq}, Text: outletText(k.Remark)})
	}
	for _, s := range inspectionSteps() {
		if k, ok := last[s.check]; ok && k.Verdict == grammar.Fail {
			text := fmt.Sprintf("The %s check failed%s.", s.check, remark(k.Check))
			if s.check == "grounding" {
				text += " This is a report, not a judgement: the local code and a licensed electrician decide."
			}
			out = append(out, Finding{Code: FindingCheck, Entries: []int64{k.seq}, Text: text})
		}
	}
	return out
}

// differing finds the readings whose verdict and numbers do not agree.
func (c Call) differing() []Finding {
	var out []Finding
	for _, o := range c.Observations {
		computed, why := VerdictOf(o.Reading, c.Settings)
		if o.Reading.Verdict == "" || computed == "" || computed == o.Reading.Verdict {
			continue
		}
		where := atPoint(c.pointOf(o))
		out = append(out, Finding{
			Code: FindingDiffers, Entries: []int64{o.Seq},
			Text: fmt.Sprintf("%s was said %s, but %s. Both stand; the word counts.", saidWord(o.Reading.Verdict), where, why),
		})
	}
	return out
}

func saidWord(v grammar.Verdict) string {
	if v == grammar.Fail {
		return "Fail"
	}
	return "Pass"
}

// excessFindings reports the stretches that lose more than a healthy path by
// over two spreads, even when everything passes.
func (c Call) excessFindings(t *Tables) []Finding {
	var out []Finding
	for _, s := range c.stretches(t) {
		if s.Excess <= 2*s.SD {
			continue
		}
		from, to := c.pointOf(s.from), c.pointOf(s.to)
		text := fmt.Sprintf("%.1f dB too much %s (%.1f dB measured, %.1f dB expected).", s.Excess, stretchWords(from, to), s.Measured, s.Expected)
		if verdictOf(s.to.Reading, c.Settings) == grammar.Pass {
			text += " It passes now, and is likely to fail in rain."
		}
		out = append(out, Finding{Code: FindingExcess, Entries: []int64{s.from.Seq, s.to.Seq}, Text: text})
	}
	return out
}

// stretchWords names a stretch: "across the ground block", "between … and …".
func stretchWords(from, to grammar.Point) string {
	if from.Element == to.Element && from.Number == to.Number && from.Room == to.Room {
		return "across the " + partWords(from)
	}
	return "between " + endOf(from) + " and " + endOf(to)
}

func endOf(p grammar.Point) string {
	switch {
	case p.Element == grammar.Receiver:
		return "the point " + pointWords(p)
	case p.Port > 0, p.Number > 0 && p.Room == "":
		return pointWords(p)
	}
	return "the " + pointWords(p)
}
