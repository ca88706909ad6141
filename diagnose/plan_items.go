package diagnose

import (
	"fmt"

	"downlead/grammar"
)

// items returns every step of the call with its state.
func (p *progress) items() []item {
	items := []item{p.arrive(), p.baseline()}
	items = append(items, p.trace()...)
	items = append(items, p.power()...)
	items = append(items, p.others()...)
	items = append(items, p.inspection()...)
	if p.noAccess {
		for i := range items {
			if items[i].state == stepMissing {
				items[i].state, items[i].detail = stepNA, "customer not home"
			}
		}
	}
	if p.closed {
		items = append(items, item{step: "close", phase: Closed, state: stepDone, detail: p.reason})
	}
	return items
}

func (p *progress) arrive() item {
	if p.arrived {
		return item{step: "arrive", state: stepDone, phase: Ready}
	}
	return item{step: "arrive", state: stepMissing, phase: Ready, detail: "no time of arrival yet: say \"arrived\""}
}

func (p *progress) baseline() item {
	i := item{step: "baseline", phase: Baseline, state: stepMissing, detail: "measure behind the receiver that fails"}
	if p.first < 0 {
		if len(p.call.Path.Receivers()) == 1 {
			i.detail = "measure behind the receiver"
		}
		return i
	}
	i.state = stepDone
	for _, o := range p.call.Observations {
		if o.Element == p.first && judges(o.Reading) {
			i.detail = atPoint(p.call.Path.Point(p.first, grammar.DishSide)) + ": " + p.call.howFar(o.Reading)
			break
		}
	}
	return i
}

// howFar says how far a reading is from its limit: a baseline far below it is
// a dead path, a little below it a weak one (common practice, no source).
func (c Call) howFar(r grammar.Reading) string {
	const deadDB = 15 // far enough that loss alone, without a break, is unlikely; our choice
	verdict := verdictOf(r, c.Settings)
	below := c.Settings.FloorDBm - r.Level.Float()
	switch {
	case r.NoSignal:
		return "no signal, a dead path"
	case r.Level.Said() && below > deadDB:
		return fmt.Sprintf("%.1f dB below the floor, a dead path", below)
	case r.Level.Said() && below > 0:
		return fmt.Sprintf("%.1f dB below the floor, a weak path", below)
	case r.Level.Said() && verdict == grammar.Pass:
		return fmt.Sprintf("passes with %.1f dB to spare", -below)
	case r.Level.Said():
		return fmt.Sprintf("%s at %s dBm", verdictWords(verdict), r.Level)
	}
	return verdictWords(verdict)
}

func verdictWords(v grammar.Verdict) string {
	switch v {
	case grammar.Pass:
		return "passes"
	case grammar.Fail:
		return "fails"
	}
	return "not judged"
}

// trace returns the steps from a fail to its proof.
func (p *progress) trace() []item {
	trace := item{step: "trace", phase: Tracing, state: stepMissing}
	repair := item{step: "repair", phase: Repairing, state: stepMissing}
	if !p.traced {
		proof := item{step: "proof", phase: Proving}
		out := []item{trace, repair, proof}
		for i := range out {
			out[i].state, out[i].detail = stepNA, "nothing has failed"
		}
		if s, ok := p.behind(max(p.first, 0)); ok && p.first >= 0 && s.stale {
			out[2].state = stepMissing
			out[2].detail = "measure " + atPoint(p.call.Path.Point(p.first, grammar.DishSide)) + " again: work was done on its way"
		}
		return out
	}
	switch {
	case len(p.spans) == 0:
		trace.state, repair.state = stepDone, stepDone
		if len(p.call.Repairs) == 0 {
			repair.state, repair.detail = stepNA, "it passes again without a repair: it may come and go"
		} else {
			repair.detail = p.call.repairWords(p.call.Repairs[len(p.call.Repairs)-1])
		}
	case p.found() != nil:
		repair.detail = clause(p.call.spanClause(*p.found()))
		if len(p.spans) == 1 {
			trace.state = stepDone
		}
	default:
		trace.detail, repair.detail = clause(p.call.brackets()[0].clause), "once the trace ends"
	}
	return append([]item{trace, repair}, p.proof()...)
}

// proof returns one step for each receiver that failed.
func (p *progress) proof() []item {
	var out []item
	receivers := p.toProve()
	for _, r := range receivers {
		i := item{step: "proof", phase: Proving, state: stepMissing}
		if len(receivers) > 1 {
			i.step = fmt.Sprintf("proof_%d", p.call.Path.Number(r))
		}
		where := atPoint(p.call.Path.Point(r, grammar.DishSide))
		switch s, ok := p.behind(r); {
		case p.passes(r):
			i.state = stepDone
			i.detail = where + ": " + p.call.howFar(s.last().Reading)
		case ok && !s.stale && len(p.call.Repairs) > 0:
			i.detail = "still fails " + where
		default:
			i.detail = "measure " + where
			if ok || len(p.call.Repairs) > 0 {
				i.detail += " again, after the repair"
			}
		}
		out = append(out, i)
	}
	return out
}

// power returns the outlet, plugging in, and the receiver's own test.
func (p *progress) power() []item {
	outlet := item{step: "outlet", phase: Outlet, state: stepMissing, detail: "test the power outlet before plugging in"}
	plug := item{step: "plug_in", phase: InputTest, state: stepMissing, detail: "join the coax and plug the receiver in"}
	test := item{step: "input_test", phase: InputTest, state: stepMissing, detail: "run the receiver's own input test"}
	if o, ok := p.outlet(); ok {
		outlet.state, outlet.detail = stepDone, checkWords(o.Check)
		if o.Verdict == grammar.Fail {
			stop := "the outlet failed: do not plug in; it is for a licensed electrician"
			outlet.detail = "failed" + remark(o.Check) + ": leave it, tell the customer, a licensed electrician must see to it"
			plug.state, plug.detail, test.state, test.detail = stepNA, stop, stepNA, stop
			return []item{outlet, plug, test}
		}
	}
	subject := p.subject()
	recorded, done := p.inputTest(subject)
	switch {
	case p.notTheCoax(subject):
		plug.state, plug.detail = stepDone, ""
		test.detail = p.notTheCoaxWords(subject)
	case done && recorded.Verdict == grammar.Fail:
		plug.state, plug.detail = stepDone, ""
		test.detail = "failed; measure behind the receiver first"
	case done:
		plug.state, plug.detail = stepDone, ""
		test.state, test.detail = stepDone, checkWords(recorded.Check)
	case recorded.seq > 0:
		plug.state, plug.detail = stepDone, ""
		test.detail = "run the input test again: work was done after the last one"
	}
	return []item{outlet, plug, test}
}

// notTheCoax reports whether a receiver passes behind it and fails its own test.
func (p *progress) notTheCoax(receiver int) bool {
	t, counts := p.inputTest(receiver)
	return counts && t.Verdict == grammar.Fail && receiver >= 0 && p.passes(receiver)
}

func (p *progress) notTheCoaxWords(receiver int) string {
	return fmt.Sprintf("the signal passes %s, yet the input test fails: look at the receiver, its wiring to the television and the television, not the coax",
		atPoint(p.call.Path.Point(receiver, grammar.DishSide)))
}

// others returns a step for every receiver that has not failed: each found
// weak now saves a second visit.
func (p *progress) others() []item {
	var out []item
	subject := p.subject()
	for _, r := range p.call.Path.Receivers() {
		if r == subject || p.failed[r] || subject < 0 && len(p.call.Path.Receivers()) == 1 {
			continue
		}
		where := atPoint(p.call.Path.Point(r, grammar.DishSide))
		i := item{step: fmt.Sprintf("receiver_%d", p.call.Path.Number(r)), phase: OtherReceivers, state: stepMissing, detail: "measure " + where}
		switch s, ok := p.behind(r); {
		case p.notTheCoax(r):
			i.detail = p.notTheCoaxWords(r)
		case p.passes(r):
			i.state, i.detail = stepDone, where+": "+p.call.howFar(s.last().Reading)
		case ok && s.stale:
			i.detail = "measure " + where + " again: a repair on its way came after"
		}
		out = append(out, i)
	}
	return out
}
