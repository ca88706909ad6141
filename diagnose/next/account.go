package next

import (
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
)

// Excess is a stretch between two measured points with what it loses too much.
type Excess struct {
	level.Segment
	Elements []string // the parts between the points
	Spreads  float64  // the excess in standard deviations
	P        float64  // probability that a part between is at fault
}

// Account puts what the verdicts bracket beside what the levels and the odds
// say, so that one can be given as the cause of the other.
type Account struct {
	Elements []string // those in the bracket
	Inside   float64  // probability that one of them is at fault
	// Cause is the stretch, partly or wholly outside the bracket, that loses
	// over two spreads too much and holds more of the probability than the
	// bracket does: it explains why the bracket's far point fails. Nil where the
	// bracket stands for itself.
	Cause *Excess
}

// tooMuch is the excess loss of a stretch, in spreads, that is a finding.
const tooMuch = 2

// excesses lists the stretches with their share of the probability.
func excesses(m *fault.Model, con fault.Conclusion) []Excess {
	var out []Excess
	for _, s := range level.Stretches(m.Call, m.Tables) {
		e := Excess{Segment: s.Segment, P: con.Within(s.Elements)}
		if s.SD > 0 {
			e.Spreads = s.Excess / s.SD
		}
		for _, i := range s.Elements {
			e.Elements = append(e.Elements, m.Call.Path.Elements[i].ID)
		}
		out = append(out, e)
	}
	return out
}

// accounts gives every bracket its account.
func (p *planner) accounts() []Account {
	all := excesses(p.Model, p.all)
	var out []Account
	for _, s := range p.Spans {
		a := Account{Inside: p.all.Within(s.Elements)}
		for _, i := range s.Elements {
			a.Elements = append(a.Elements, p.Call.Path.Elements[i].ID)
		}
		for k, e := range all {
			within := !slices.ContainsFunc(e.Elements, func(id string) bool { return !slices.Contains(a.Elements, id) })
			if within || e.Spreads <= tooMuch || e.P <= a.Inside || a.Cause != nil && e.P <= a.Cause.P {
				continue
			}
			a.Cause = &all[k]
		}
		out = append(out, a)
	}
	return out
}
