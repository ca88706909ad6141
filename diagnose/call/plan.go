package call

import (
	"slices"

	"downlead/diagnose/trace"
	"downlead/journal/record"
)

// The states of a step.
const (
	StepDone    = "done"
	StepNow     = "now"
	StepMissing = "missing"
	stepNA      = "not_applicable"
)

// Plan returns the steps of the call in order, from its records alone. At
// most one step is "now"; every other open step is "missing".
func Plan(records []record.Record) []Step {
	steps, _ := NewProgress(trace.Replay(records)).Plan()
	return steps
}

// PhaseOf returns where the call stands, from its records alone.
func PhaseOf(records []record.Record) Phase {
	return NewProgress(trace.Replay(records)).Phase()
}

// item is a step on its way into the plan.
type item struct {
	step, detail string
	phase        Phase
	state        string // stepMissing while open
	held         bool   // waits for better weather
}

// Plan returns the steps and the phase.
func (p *Progress) Plan() ([]Step, Phase) {
	items := p.items()
	phase := p.phaseOf(items)
	steps := make([]Step, len(items))
	now := slices.IndexFunc(items, func(i item) bool { return i.state == StepMissing && i.phase == phase && !i.held })
	if now < 0 {
		now = slices.IndexFunc(items, func(i item) bool { return i.state == StepMissing && i.phase == phase })
	}
	for k, i := range items {
		steps[k] = Step{Step: i.step, State: i.state, Detail: i.detail}
		if k == now {
			steps[k].State = StepNow
		}
	}
	return steps, phase
}

// Phase returns where the call stands.
func (p *Progress) Phase() Phase { return p.phaseOf(p.items()) }

func (p *Progress) phaseOf(items []item) Phase {
	if p.closed {
		return Closed
	}
	for _, want := range []Phase{Tracing, Repairing, Baseline, Proving, Outlet, InputTest, OtherReceivers, Inspection} {
		if want == Baseline && p.NoAccess {
			continue
		}
		// A fail that is not repaired comes before all else, even a baseline.
		if slices.ContainsFunc(items, func(i item) bool { return i.phase == want && i.state == StepMissing && p.ripe(want) }) {
			return want
		}
	}
	return Ready
}

// ripe reports whether a phase can be under way: a trace needs a fail, a
// repair a bracket with nothing left to measure in it.
func (p *Progress) ripe(phase Phase) bool {
	switch phase {
	case Tracing:
		return len(p.Spans) > 0 && p.found() == nil
	case Repairing:
		return p.found() != nil
	}
	return true
}

// found returns a bracket with nothing left to measure in it: one trouble is
// mended before the next is looked for.
func (p *Progress) found() *trace.Span {
	for i, s := range p.Spans {
		if p.Call.Narrowed(s) {
			return &p.Spans[i]
		}
	}
	return nil
}

// MissingOf lists the steps that are not done yet.
func MissingOf(steps []Step) []Missing {
	var out []Missing
	for _, s := range steps {
		if s.State == StepMissing || s.State == StepNow {
			out = append(out, Missing{Step: s.Step, Detail: s.Detail})
		}
	}
	return out
}
