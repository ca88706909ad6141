package claim

import (
	"fmt"
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// BringBack returns the findings that, left alone, are likely to cause another
// visit.
func (d Diagnosis) BringBack() []trace.Finding {
	var out []trace.Finding
	for _, f := range d.Findings {
		switch f.Code {
		case trace.FindingUnsteady:
			if d.Outcome.Code != Unexplained { // which says so itself
				out = append(out, f)
			}
		case trace.FindingDiffers, trace.FindingRises, trace.FindingUnused, trace.FindingRepeat, trace.FindingNoSupply, trace.FindingHighSupply, trace.FindingSlot, trace.FindingPolarity:
		default:
			out = append(out, f)
		}
	}
	return out
}

// Findings lists what the technician should know, what is dangerous first.
func Findings(c trace.Call, o level.Options) []trace.Finding {
	t := level.TablesOr(o.Tables)
	var out []trace.Finding
	out = append(out, checkFindings(c)...)
	out = append(out, ungrounded(c)...)
	out = append(out, cutOff(c)...)
	out = append(out, differing(c)...)
	out = append(out, unsteadyFindings(c, t)...)
	out = append(out, rises(c, t)...)
	out = append(out, supplyFindings(c, t)...)
	out = append(out, excessFindings(c, t)...)
	for _, s := range c.Spots() {
		if !s.Stale {
			out = append(out, patterns(c, s, t)...)
		}
	}
	out = append(out, marginalFindings(c, t)...)
	out = append(out, barrelFindings(c)...)
	out = append(out, cladFindings(c, t)...)
	return append(out, call.RepeatFindings(c, o.History)...)
}

// checkFindings reports a dangerous outlet and what the inspection failed.
func checkFindings(c trace.Call) []trace.Finding {
	last := map[string]call.Checked{}
	var outlet call.Checked // the last that failed
	for _, r := range c.Records {
		if k, ok := r.Entry.(entry.Check); ok {
			last[k.Check] = call.Checked{Seq: r.Seq, Check: k}
			if k.Check == "outlet" && k.Verdict == entry.Fail {
				outlet = last[k.Check]
			}
		}
	}
	var out []trace.Finding
	switch k := last["outlet"]; {
	case outlet.Seq == 0:
	case k.Seq == outlet.Seq:
		out = append(out, trace.Finding{Code: trace.FindingOutlet, Entries: []int64{k.Seq}, Text: call.OutletText(k.Remark)})
	default:
		out = append(out, trace.Finding{
			Code: trace.FindingOtherOutlet, Entries: []int64{outlet.Seq, k.Seq},
			Text: fmt.Sprintf("An outlet failed its test%s, and one passed after it. Unless a licensed electrician has put it right, nobody is to use the one that failed.", call.Remark(outlet.Check)),
		})
	}
	for _, s := range call.InspectionSteps() {
		if k, ok := last[s.Check]; ok && k.Verdict == entry.Fail {
			text := fmt.Sprintf("The %s check failed%s.", s.Check, call.Remark(k.Check))
			if s.Check == "grounding" {
				text += " This is a report, not a judgement: the local code and a licensed electrician decide."
			}
			out = append(out, trace.Finding{Code: trace.FindingCheck, Entries: []int64{k.Seq}, Text: text})
		}
	}
	return out
}

// cutOff reports the rooms that a fork which was taken out may leave without
// coax: what came to it goes on to one output at most.
func cutOff(c trace.Call) []trace.Finding {
	var out []trace.Finding
	for _, l := range c.ForksOut() {
		var rooms []string
		for _, r := range l.Dark {
			rooms = append(rooms, receiverName(c.Path, r))
		}
		text := fmt.Sprintf("Without %s only one room can be joined there: see what feeds %s now.", c.Path.The(l.Element), path.List(rooms, "and"))
		if !l.Lit {
			text = fmt.Sprintf("Without %s only one of %s can be joined there.", c.Path.The(l.Element), path.List(rooms, "and"))
		}
		out = append(out, trace.Finding{Code: trace.FindingCutOff, Entries: []int64{l.Repair.Seq}, Text: text})
	}
	return out
}

// differing finds the readings whose verdict and numbers do not agree.
func differing(c trace.Call) []trace.Finding {
	var out []trace.Finding
	stands := func(o trace.Observation) bool {
		return slices.ContainsFunc(c.Spots(), func(s trace.Spot) bool {
			return !s.Stale && slices.ContainsFunc(s.Now, func(now trace.Observation) bool { return now.Seq == o.Seq })
		})
	}
	for _, o := range c.Observations {
		computed, why := trace.VerdictOf(o.Reading, c.Settings)
		if o.Reading.Verdict == "" || computed == "" || computed == o.Reading.Verdict {
			continue
		}
		where, both := path.AtPoint(c.PointOf(o)), "Both stand; the word counts."
		if !stands(o) {
			both = "The word counted; neither stands since."
		}
		out = append(out, trace.Finding{
			Code: trace.FindingDiffers, Entries: []int64{o.Seq},
			Text: fmt.Sprintf("%s was said %s, but %s. %s", saidWord(o.Reading.Verdict), where, why, both),
		})
	}
	return out
}

func saidWord(v entry.Verdict) string {
	if v == entry.Fail {
		return "Fail"
	}
	return "Pass"
}

// excessFindings reports the stretches that lose more than a healthy path by
// over two spreads, even when everything passes.
func excessFindings(c trace.Call, t *level.Tables) []trace.Finding {
	var out []trace.Finding
	for _, s := range level.Stretches(c, t) {
		if s.Excess <= 2*s.SD {
			continue
		}
		from, to := c.PointOf(s.From), c.PointOf(s.To)
		if c.Unused(s.To) {
			out = append(out, trace.Finding{
				Code: trace.FindingUnused, Entries: []int64{s.From.Seq, s.To.Seq},
				Text: fmt.Sprintf("%s loses %.1f dB too much, and what hung on it was moved to another output: mark it, so that nobody uses it.", upper(path.PointWords(to)), s.Excess),
			})
			continue
		}
		text := fmt.Sprintf("%.1f dB too much %s (%.1f dB measured, %.1f dB expected).", s.Excess, stretchWords(from, to), s.Measured, s.Expected)
		if trace.Counts(s.To.Reading, c.Settings) == entry.Pass && len(c.Spans()) == 0 {
			text += " It passes now" + spareWords(s.To, c) + "."
		}
		out = append(out, trace.Finding{Code: trace.FindingExcess, Entries: []int64{s.From.Seq, s.To.Seq}, Text: text})
	}
	return out
}

// spareWords says how much a level has to spare, and what takes it.
func spareWords(o trace.Observation, c trace.Call) string {
	spare := o.Reading.Level.Float() - c.Settings.FloorDBm
	if spare < thinDB {
		if spare < 0.05 {
			return " with nothing to spare, and is likely to fail in rain"
		}
		return fmt.Sprintf(" with only %.1f dB to spare, and is likely to fail in rain", spare)
	}
	return fmt.Sprintf(" with %.1f dB to spare", spare)
}

// stretchWords names a stretch: "across the ground block", "between … and …".
func stretchWords(from, to entry.Point) string {
	if from.Element == to.Element && from.Number == to.Number && from.Room == to.Room {
		return "across the " + path.PartWords(from)
	}
	return "between " + endOf(from) + " and " + endOf(to)
}

func endOf(p entry.Point) string {
	switch {
	case p.Element == entry.Receiver:
		return "the point " + path.PointWords(p)
	case p.Port > 0, p.Number > 0 && p.Room == "":
		return path.PointWords(p)
	}
	return "the " + path.PointWords(p)
}
