package diagnose

import (
	"slices"

	"downlead/journal"
)

// The states of a step.
const (
	stepDone    = "done"
	stepNow     = "now"
	stepMissing = "missing"
	stepNA      = "not_applicable"
)

// Plan returns the steps of the call in order, from its records alone. At
// most one step is "now"; every other open step is "missing".
func Plan(records []journal.Record) []Step {
	steps, _ := newProgress(Replay(records)).plan()
	return steps
}

// PhaseOf returns where the call stands, from its records alone.
func PhaseOf(records []journal.Record) Phase {
	return newProgress(Replay(records)).phase()
}

// item is a step on its way into the plan.
type item struct {
	step, detail string
	phase        Phase
	state        string // stepMissing while open
	held         bool   // waits for better weather
}

// plan returns the steps and the phase.
func (p *progress) plan() ([]Step, Phase) {
	items := p.items()
	phase := p.phaseOf(items)
	steps := make([]Step, len(items))
	now := slices.IndexFunc(items, func(i item) bool { return i.state == stepMissing && i.phase == phase && !i.held })
	if now < 0 {
		now = slices.IndexFunc(items, func(i item) bool { return i.state == stepMissing && i.phase == phase })
	}
	for k, i := range items {
		steps[k] = Step{Step: i.step, State: i.state, Detail: i.detail}
		if k == now {
			steps[k].State = stepNow
		}
	}
	return steps, phase
}

// phase returns where the call stands.
func (p *progress) phase() Phase { return p.phaseOf(p.items()) }

func (p *progress) phaseOf(items []item) Phase {
	if p.closed {
		return Closed
	}
	for _, want := range []Phase{Tracing, Repairing, Baseline, Proving, Outlet, InputTest, OtherReceivers, Inspection} {
		if want == Baseline && p.noAccess {
			continue
		}
		// A fail that is not repaired comes before all else, even a baseline.
		if slices.ContainsFunc(items, func(i item) bool { return i.phase == want && i.state == stepMissing && p.ripe(want) }) {
			return want
		}
	}
	return Ready
}

// ripe reports whether a phase can be under way: a trace needs a fail, a
// repair a bracket with nothing left to measure in it.
func (p *progress) ripe(phase Phase) bool {
	switch phase {
	case Tracing:
		return len(p.spans) > 0 && p.found() == nil
	case Repairing:
		return p.found() != nil
	}
	return true
}

// found returns a bracket with nothing left to measure in it: one trouble is
// mended before the next is looked for.
func (p *progress) found() *span {
	for i, s := range p.spans {
		if p.call.narrowed(s) {
			return &p.spans[i]
		}
	}
	return nil
}

// missing lists the steps that are not done yet.
func missing(steps []Step) []Missing {
	var out []Missing
	for _, s := range steps {
		if s.State == stepMissing || s.State == stepNow {
			out = append(out, Missing{Step: s.Step, Detail: s.Detail})
		}
	}
	return out
}
