package call

import (
	"slices"

	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Caution is a warning that applies to a job, to be shown once. Local codes
// and licensed practice prevail.
type Caution struct {
	Code string `json:"code"` // ladder power_lines outlet grounding power_off recording
	Text string `json:"text"`
	Step string `json:"step"` // the step of the plan at which it comes up
}

// Cautions returns the cautions that apply to the call as far as it has come,
// each once, in the order in which they came up in the plan.
//
// They come before the act that they belong to: goal is the element that the
// next step leads to, or -1, and step is its code, such as outlet.
func Cautions(p *Progress, goal int, step string) []Caution {
	steps, _ := p.Plan()
	now := ""
	if i := slices.IndexFunc(steps, func(s Step) bool { return s.State == StepNow }); i >= 0 {
		now = steps[i].Step
	}
	var out []Caution
	add := func(code, step, text string) { out = append(out, Caution{code, text, step}) }
	if p.recorded() {
		add("recording", "arrive", "The microphone may take in other people. The law on consent differs by place; clips are kept only when asked for, and can be deleted.")
	}
	if len(p.Call.Observations) > 0 || now == "baseline" || p.Traced {
		add("power_off", "baseline", "Power off the receiver before parting a coax that feeds power to the dish.")
	}
	if p.climbs(now) || p.high(goal) {
		weather := ""
		if w := trace.BadOnRoof(p.Call.Settings.Weather); w != "" {
			weather = " The weather entry says " + w + ": stay off the ladder and the roof."
		}
		add("ladder", "dish", "Ladder: firm and level, about 1 ft out for 4 ft up, 3 ft above the landing, three points of contact; not in lightning, high wind, ice or rain on a roof."+weather)
		add("power_lines", "dish", "Power lines: stay, and keep ladder, mast and cable, at least 10 ft away; more for higher voltages.")
	}
	if _, tested := p.outlet(); tested || step == "outlet" {
		add("outlet", "outlet", "A failing outlet is for a licensed electrician; never repair mains wiring on this call. "+OutletBlind)
	}
	if _, done := p.Checks["grounding"]; done || now == "grounding" {
		add("grounding", "grounding", "Grounding is only reported, never certified; the local electrical code and the licensed electrician decide.")
	}
	return out
}

// recorded reports whether sound was kept, or was asked to be.
func (p *Progress) recorded() bool {
	return slices.ContainsFunc(p.Call.Records, func(r record.Record) bool {
		c, ok := r.Entry.(entry.Consent)
		return r.Clip != "" || ok && c.Given
	})
}

// high reports whether an element is reached by a ladder: the dish, the LNB
// and what hangs on them.
func (p *Progress) high(i int) bool {
	return i >= 0 && i < len(p.Call.Path.Elements) && p.Call.Path.Elements[i].Element.Rank() <= entry.LNB.Rank()
}

// climbs reports whether the call has led, or now leads, to the dish.
func (p *Progress) climbs(now string) bool {
	high := p.high
	switch {
	case roofStep(now):
		return true
	case slices.ContainsFunc(p.Call.Observations, func(o trace.Observation) bool { return high(o.Element) }):
		return true
	case slices.ContainsFunc(p.Call.Repairs, func(r trace.Repair) bool { return slices.ContainsFunc(r.Elements, high) }):
		return true
	case slices.ContainsFunc(p.Spans, func(s trace.Span) bool { return slices.ContainsFunc(s.Elements, high) && len(s.Elements) <= 3 }):
		return true
	}
	for _, check := range []string{"dish", "mount"} {
		if c, ok := p.Checks[check]; ok && c.Verdict != entry.NotApplicable {
			return true
		}
	}
	return false
}
